"""Findings and verdict of one edition over the unknowns: the outcome of each requirement, and when the verdict is
certain to be pass or fail. The same as ``judging/outcomes.py`` and ``judging/could_be.py``, as formulas.

A verdict is looked at as pass, fail, or neither. Findings are independent of each other there, so that a verdict is
certain only if each finding alone leaves no other way.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import z3

from ..editions.edition import Requirement
from ..lang.kernel import Node
from ..lang.values import Open, Stuck
from .side import Side
from .symbols import Flag, Symbol, all_flags, any_flag, conj, disj, fails, holds, neg, pick, symbol
from .translate import Here, Translation, items_of


@dataclass(frozen=True, slots=True)
class Found:
    """The outcome of one requirement on the record, or on one item."""

    requirement: Requirement
    item: str | None
    there: Flag
    """Whether the list has the item."""
    met: Flag
    not_met: Flag
    accepted: Flag
    """Met, or not applicable."""
    can_be_met: Flag
    can_fail: Flag
    """Whether it is not met, or open and can still come to it."""
    can_stay_open: Flag

    @property
    def rank(self) -> tuple[Flag, Flag]:
        """Whether it is accepted, and whether it is not refused: what a stricter rule takes away."""
        return self.accepted, neg(self.not_met)


NOTHING_ASKED: tuple[Flag, Flag] = (True, True)
"""The rank where an edition has no such requirement."""


def found_of(requirement: Requirement, translation: Translation, item: str | None, there: Flag = True) -> Found:
    """The finding as formulas."""
    unknowns = translation.unknowns
    bound = {} if item is None or requirement.singular is None else {requirement.singular: item}

    def worked(node: Node | None, otherwise: Symbol) -> Symbol:
        return otherwise if node is None else translation.symbol(node, Here(bound))

    absent = symbol(Open(frozenset({Stuck("no rule", "")})), unknowns.words)
    require = worked(requirement.require, absent)
    applies = worked(requirement.applies, Symbol(True))
    unless = [worked(each.when, absent) for each in requirement.unless]
    met = holds(require)
    excepted = disj(fails(applies), any_flag(map(holds, unless)))
    not_met = conj(fails(require), holds(applies), all_flags(map(fails, unless)))
    free = neg(disj(met, excepted))
    can_be_met = disj(met, conj(neg(not_met), require.missing, neg(excepted)))
    can_fail = conj(
        free, disj(fails(require), require.missing), disj(holds(applies), applies.missing),
        all_flags(disj(fails(each), each.missing) for each in unless),
    )  # fmt: skip
    stays = any_flag([require.stuck, applies.stuck, *(each.stuck for each in unless)])
    can_stay_open = conj(
        free, stays, disj(fails(require), require.stuck, require.missing),
        disj(holds(applies), applies.stuck, applies.missing),
    )  # fmt: skip
    return Found(requirement, item, there, met, not_met, disj(met, excepted), can_be_met, can_fail, can_stay_open)


@dataclass(frozen=True, slots=True)
class Judged:
    """All findings of one edition, and what the verdict is certain to be."""

    found: tuple[Found, ...]
    passes: Flag
    failing: Flag

    @property
    def rank(self) -> tuple[Flag, Flag]:
        return self.passes, neg(self.failing)


def judged(side: Side, translation: Translation) -> Judged:
    """The verdict as formulas, with no waivers and no specimen set aside."""
    found = tuple(each for requirement in side.requirements.values() for each in findings(requirement, translation))
    return Judged(found, _passes(found, side, translation), _fails(found))


def findings(requirement: Requirement, translation: Translation) -> Iterable[Found]:
    if requirement.each is None:
        yield found_of(requirement, translation, None)
        return
    for there, item in items_of(requirement.each, translation)[1]:
        if there is not False:
            yield found_of(requirement, translation, item, there)


def _counts(found: Sequence[Found], *kinds: str) -> list[Found]:
    return [each for each in found if each.requirement.kind in kinds]


def _voids(fault: Found, what: str) -> bool:
    return fault.requirement.kind == "setup" and fault.requirement.voids in (what, "both")


def _fails(found: Sequence[Found]) -> Flag:
    """Some acceptance is not met, and nothing that could void it can come about."""
    cases = []
    for each in _counts(found, "acceptance"):
        voiding = [fault for fault in found if _voids(fault, "failures") and _reaches(fault, each)]
        safe = all_flags(neg(conj(fault.there, fault.can_fail)) for fault in voiding)
        cases.append(conj(each.there, each.not_met, safe))
    return any_flag(cases)


def _reaches(fault: Found, each: Found) -> bool:
    """Whether a fault is one of the whole record, of the same item, or of an item of a list that is spoken of."""
    if fault.item is None or fault.item == each.item:
        return True
    return each.item is None and fault.requirement.each in each.requirement.over


def _passes(found: Sequence[Found], side: Side, translation: Translation) -> Flag:
    """No way is left to anything but a pass."""
    whole = [each for each in found if each.item is None]
    parts = [
        conj(neg(each.can_stay_open), neg(each.can_fail) if each.requirement.kind == "acceptance" else True)
        for each in _counts(whole, "setup", "acceptance")
    ]
    parts += [neg(each.can_fail) for each in whole if _voids(each, "passes")]
    lists = {each.requirement.each for each in found if each.requirement.each is not None} | set(side.asks)
    judged_somewhere: list[Flag] = [each.met for each in _counts(whole, "acceptance")]
    for path in sorted(lists):
        fine, of_list = _list_passes([each for each in found if each.requirement.each == path], side, path, translation)
        parts.append(fine)
        judged_somewhere.append(of_list)
    for each in _counts(whole, "acceptance"):
        faults = [
            conj(fault.there, fault.can_fail)
            for fault in found
            if fault.item is not None and fault.requirement.each in each.requirement.over and _voids(fault, "passes")
        ]
        parts.append(disj(neg(each.can_be_met), neg(any_flag(faults))))
    return conj(all_flags(parts), any_flag(judged_somewhere))


def _list_passes(
    found: Sequence[Found], side: Side, path: str, translation: Translation
) -> tuple[Flag, Flag]:  # fmt: skip
    """Whether the items of a list leave no way but a pass; and whether one of them is certain to be judged."""
    asks = side.asks.get(path, 0)
    listed, places = items_of(path, translation)
    fine: list[Flag] = []
    void: list[Flag] = []
    judged_here: list[Flag] = []
    for there, item in places:
        here = [each for each in found if each.item == item]
        acceptance, setup = _counts(here, "acceptance"), _counts(here, "setup")
        voiding = [each for each in setup if _voids(each, "passes")]
        sparing = any_flag(each.not_met for each in setup if _voids(each, "failures"))
        can_fail = any_flag(each.can_fail for each in acceptance)
        can_be_void = disj(can_fail, *(each.can_fail for each in voiding))
        is_void = disj(*(each.not_met for each in voiding), conj(sparing, *[any_flag(e.not_met for e in acceptance)]))
        nothing_open = all_flags(neg(each.can_stay_open) for each in [*acceptance, *setup])
        ok = conj(disj(neg(can_fail), sparing), disj(is_void, nothing_open))
        fine.append(disj(neg(there), ok))
        void.append(conj(there, can_be_void))
        judged_here.append(conj(there, neg(can_be_void), any_flag(each.met for each in acceptance)))
    parts = [all_flags(fine)]
    if asks:
        parts.append(listed.length - _number(void) >= asks)
    return all_flags(parts), any_flag(judged_here)


def _number(flags: Sequence[Flag]) -> Any:
    total: Any = 0
    for flag in flags:
        if flag is not False:
            total = total + pick(flag, _ONE, _ZERO)
    return total


_ONE, _ZERO = z3.IntVal(1), z3.IntVal(0)
