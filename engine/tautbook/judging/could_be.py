"""Every verdict that open findings still allow, without trying every combination.

Findings are taken as independent of each other, so that the set may be too wide, never too narrow. What decides
is carried along as a few yes/no facts: of each item, of each list, of the record. Each finding, item and list
is looked at once.

A failed acceptance never goes by in silence: one that a fault voids makes its item void (or the record invalid),
also where the fault leaves passes alone. A met acceptance over a whole list that a fault voids makes the record
invalid, since nothing but the same test again can meet it. A waived finding is neither met nor not met, so
that no fault voids it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from .outcomes import Outcome

VerdictWord = Literal["pass", "fail", "invalid", "incomplete"]
VERDICTS: tuple[VerdictWord, ...] = ("pass", "fail", "invalid", "incomplete")


@dataclass(frozen=True, slots=True)
class Weight:
    """What one finding weighs in the verdict."""

    kind: Literal["setup", "acceptance", "advice"]
    can: frozenset[Outcome]
    voids: Literal["both", "passes", "failures"] | None = None
    item: str | None = None
    """The item that it speaks of; None for the whole record."""
    listed: str | None = None
    """The list of that item."""
    over: frozenset[str] = frozenset()
    """For an acceptance of the whole record: the lists whose items it speaks of, all at once."""


@dataclass(frozen=True, slots=True)
class Listed:
    """How many items of a list count, those still to come included; how many are asked for; how many are recorded."""

    there: int
    asked: int
    recorded: int = 0


@dataclass(frozen=True, slots=True)
class _Facts:
    """Of one item, or of the record: what its findings come to together."""

    voids_passes: bool = False
    voids_failures: bool = False
    met: bool = False
    not_met: bool = False
    waived: bool = False
    open: bool = False
    over_met: frozenset[str] = frozenset()
    """Lists that a met finding of the record speaks of."""
    over_not_met: tuple[frozenset[str], ...] = ()
    """The lists of each finding of the record that is not met and speaks of lists."""


@dataclass(frozen=True, slots=True)
class _ListFacts:
    """Of all items of a list together."""

    voids_passes: bool = False
    voids_failures: bool = False
    fails: bool = False
    """An acceptance is not met, and no fault of its own item voids failures."""
    judged: bool = False
    """In an item that is not void an acceptance is met or waived."""
    open: bool = False
    """In an item that is not void something is open."""


def could_be(weights: Iterable[Weight], lists: Mapping[str, Listed]) -> frozenset[VerdictWord]:
    """The verdicts over every combination of what each finding can come to. ``lists`` by path."""
    of_record: list[Weight] = []
    of_items: dict[str, dict[str, list[Weight]]] = {path: {} for path in lists}
    for weight in weights:
        if weight.item is None or weight.listed is None:
            of_record.append(weight)
        else:
            of_items[weight.listed].setdefault(weight.item, []).append(weight)
    states: list[tuple[dict[str, _ListFacts], bool]] = [({}, False)]
    for path, items in of_items.items():
        slack = lists[path].there - lists[path].asked if lists[path].asked else None
        facts = _list_facts(items.values(), slack)
        states = [({**known, path: fact}, few or short) for known, few in states for fact, short in facts]
    records = _facts(of_record)
    return frozenset(_verdict(record, listed, few) for record in records for listed, few in states)


def _facts(weights: Iterable[Weight]) -> set[_Facts]:
    """What the findings of one item, or of the record, can come to together."""
    found = {_Facts()}
    for weight in weights:
        if weight.kind != "advice":
            found = {_with(facts, weight, outcome) for facts in found for outcome in weight.can}
    return found


def _with(facts: _Facts, weight: Weight, outcome: Outcome) -> _Facts:
    if outcome == "open":
        return replace(facts, open=True)
    if weight.kind == "setup":
        if outcome != "not met":
            return facts
        return replace(
            facts,
            voids_passes=facts.voids_passes or weight.voids != "failures",
            voids_failures=facts.voids_failures or weight.voids != "passes",
        )
    match outcome:
        case "met":
            return replace(facts, met=True, over_met=facts.over_met | weight.over)
        case "waived":
            return replace(facts, waived=True)
        case "not met" if weight.over:
            sets = {*facts.over_not_met, weight.over}
            return replace(facts, over_not_met=tuple(sorted(sets, key=sorted)))
        case "not met":
            return replace(facts, not_met=True)
        case _:
            return facts


def _list_facts(items: Iterable[list[Weight]], slack: int | None) -> set[tuple[_ListFacts, bool]]:
    """What all items can come to together, each with whether more than ``slack`` of them are void.

    Of the number of void items only the least and the most that go with the same facts matter: any number
    between them decides nothing that these two do not.
    """
    found: dict[_ListFacts, tuple[int, int]] = {_ListFacts(): (0, 0)}
    for weights in items:
        after: dict[_ListFacts, tuple[int, int]] = {}
        for item in _facts(weights):
            void = item.voids_passes or item.not_met
            for facts, (least, most) in found.items():
                joined = _ListFacts(
                    voids_passes=facts.voids_passes or item.voids_passes,
                    voids_failures=facts.voids_failures or item.voids_failures,
                    fails=facts.fails or (item.not_met and not item.voids_failures),
                    judged=facts.judged or (not void and (item.met or item.waived)),
                    open=facts.open or (not void and item.open),
                )
                low, high = after.get(joined, (least + void, most + void))
                after[joined] = (min(low, least + void), max(high, most + void))
        found = after
    states = set()
    for facts, (least, most) in found.items():
        if slack is None or least <= slack:
            states.add((facts, False))
        if slack is not None and most > slack:
            states.add((facts, True))
    return states


def _verdict(record: _Facts, lists: Mapping[str, _ListFacts], few: bool) -> VerdictWord:
    """The verdict on one combination. ``few``: of some list too few items are left that are not void."""
    voids_failures = {path for path, facts in lists.items() if facts.voids_failures}
    voids_passes = {path for path, facts in lists.items() if facts.voids_passes}
    if not record.voids_failures:
        over = any(not (paths & voids_failures) for paths in record.over_not_met)
        if record.not_met or over or any(facts.fails for facts in lists.values()):
            return "fail"
    voided = record.not_met or bool(record.over_not_met) or bool(record.over_met & voids_passes)
    if record.voids_passes or voided or few:
        return "invalid"
    if record.open or any(facts.open for facts in lists.values()):
        return "incomplete"
    judged = record.met or record.waived or any(facts.judged for facts in lists.values())
    return "pass" if judged else "incomplete"
