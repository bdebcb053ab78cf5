"""What the solver looks for and what the evaluator says of one record, brought beside each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import z3

from tautbook.comparing.judged import Found, Judged, judged
from tautbook.comparing.likes import leaves
from tautbook.comparing.paths import at_path
from tautbook.comparing.side import Side
from tautbook.comparing.solving import Solver
from tautbook.comparing.soundness import sound
from tautbook.comparing.symbols import Flag, NotReached, Words
from tautbook.comparing.translate import Translation
from tautbook.comparing.unknowns import Unknowns, is_value
from tautbook.editions.edition import Edition
from tautbook.judging.verdict import Verdict
from tautbook.lang.values import Data, Group, Items, Missing, Pending, Stuck


def pinned(unknowns: Unknowns, group: Group, ruleset: str) -> Iterator[Flag]:
    """That what is looked for is this record."""
    data = {leaf.path.replace(f"local.{ruleset}.", "local."): leaf.value for leaf in leaves(group)}
    for path, listed in unknowns.lists.items():
        items = at_path(group, path)
        found = items.items if isinstance(items, Items) else ()
        # Of a list that is asked for, what is still to come is not counted.
        count = sum(bool(item.fields) if isinstance(item, Group) else True for item in found)
        yield listed.length == count
        yield listed.written == (isinstance(items, Items) and items.written)
    for path, unknown in unknowns.fields.items():
        yield is_value(unknown, data[path], unknowns.words) if path in data else z3.Not(unknown.known)
    for path, (missing, stuck) in unknowns.open_verdicts.items():
        found = at_path(group, path)
        reasons = found.open.reasons if isinstance(found, Pending) else ()
        yield stuck == any(isinstance(each, Stuck) for each in reasons)
        yield missing == (found is None or any(isinstance(each, Missing) for each in reasons))
    for path, there in unknowns.there.items():
        found = at_path(group, path)
        yield there == (isinstance(found, Group) and bool(found.fields))


def fits(unknowns: Unknowns, group: Group) -> bool:
    """Whether the lists of the record are within the bounds, and numbered from 1 on."""
    for path, listed in unknowns.lists.items():
        items = at_path(group, path)
        found = items.items if isinstance(items, Items) else ()
        filled = [not isinstance(item, Group) or bool(item.fields) for item in found]
        numbers = [item.path for item in found] == [f"{path}[{number}]" for number in range(1, len(found) + 1)]
        if len(found) > listed.most or not numbers or sorted(filled, reverse=True) != filled:
            return False
    return True


def _lengths(data: Data) -> Iterator[tuple[str, int]]:
    """Lists by path, through the records that a record rests on, with the number of their items."""
    if isinstance(data, Items):
        yield data.path, len(data.items)
    elif isinstance(data, Group):
        for below in data.fields.values():
            yield from _lengths(below)


@dataclass
class Formulas:
    """All that one edition makes of records with lists of these lengths; made once, since it takes the most time."""

    unknowns: Unknowns
    judged: Judged
    solver: Solver


MADE: dict[tuple[object, ...], Formulas | None] = {}
KEPT = 12
"""So many are kept, those that were made last."""


def formulas(edition: Edition, procedure: str, lengths: dict[str, int]) -> Formulas | None:
    """None: the translation does not reach."""
    key = (edition.digest, procedure, *sorted(lengths.items()))
    if key not in MADE:
        MADE[key] = _formulas(edition, procedure, lengths)
        while len(MADE) > KEPT:
            del MADE[next(iter(MADE))]
    return MADE[key]


def _formulas(edition: Edition, procedure: str, lengths: dict[str, int]) -> Formulas | None:
    side = Side.of(edition.procedures[procedure], edition)
    most = {path: max(side.asks.get(path, 0), number) for path, number in lengths.items()}
    unknowns = Unknowns(side.procedure, Words(), {}, {**side.asks, **most})
    translation = Translation.of(side, unknowns)
    try:
        found = judged(side, translation)
    except NotReached:
        return None
    must = [*sound(unknowns)]  # makes more unknowns
    return Formulas(unknowns, found, Solver([*must, *unknowns.must, *translation.must, *translation.lines]))


def disagreements(verdict: Verdict, edition: Edition) -> list[str] | None:
    """Where the formulas, with the values of the record put in, say otherwise than the evaluator; None: the record is
    beyond the bounds of the proof."""
    if verdict.observed.set_aside or any(each.waiver for each in verdict.findings):
        return None
    group = verdict.observed.group
    made = formulas(edition, verdict.record.procedure, dict(_lengths(group)))
    if made is None or not fits(made.unknowns, group):
        return None
    made.solver.push()
    try:
        made.solver.add(pinned(made.unknowns, group, edition.ruleset))
        if made.solver.check() != "sat":
            return ["no such record is looked for"]
        found, model = made.judged, made.solver.model()
        return list(_differences(model, found.found, found.passes, found.failing, verdict))
    finally:
        made.solver.pop()


def _differences(
    model: Any, found: tuple[Found, ...], passes: Flag, failing: Flag, verdict: Verdict
) -> Iterator[str]:  # fmt: skip
    def yes(flag: Flag) -> bool:
        return flag if isinstance(flag, bool) else bool(z3.is_true(model.eval(flag, model_completion=True)))

    evaluated = {(each.id, each.item): each for each in verdict.findings}
    there = {(each.requirement.id, each.item): each for each in found if yes(each.there)}
    if there.keys() != evaluated.keys():
        yield f"findings: {there.keys() ^ evaluated.keys()}"
    for key in there.keys() & evaluated.keys():
        each, other = there[key], evaluated[key]
        outcome = (
            "met" if yes(each.met) else "not met" if yes(each.not_met)
            else "not applicable" if yes(each.accepted) else "open"
        )  # fmt: skip
        if outcome != other.outcome:
            yield f"{key}: {outcome}, and the evaluator says {other.outcome}"
        can = {"met": each.can_be_met, "not met": each.can_fail, "open": each.can_stay_open}
        said = {word for word, flag in can.items() if yes(flag)}
        if said != other.can - {"not applicable"}:
            yield f"{key}: can become {said}, and the evaluator says {set(other.can)}"
    word = "pass" if yes(passes) else "fail" if yes(failing) else "neither"
    if word != (verdict.verdict if verdict.verdict in ("pass", "fail") else "neither"):
        yield f"verdict: {word}, and the evaluator says {verdict.verdict} of {verdict.could_be}"
