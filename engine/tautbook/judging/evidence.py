"""The records that a record rests on, as its rules read them: judged first, by the same edition."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ..editions.edition import Edition
from ..lang.problem import Problem, in_order
from ..lang.values import Data, Group, Items, Leaf, Missing, Open, Pending, Reason, Stuck
from ..records.data import observed
from ..records.record import Record
from ..shape.shaped import as_map
from .voiding import void_items

if TYPE_CHECKING:
    from .verdict import Verdict

Judge = Callable[[Record, Edition], "tuple[Verdict | None, tuple[Problem, ...]]"]


@dataclass(frozen=True, slots=True)
class RestsOn:
    """By slot, the data of the other records; and the verdicts on them, where the edition has rules."""

    data: Mapping[str, Group]
    verdicts: Mapping[str, Verdict]


def rests_on(record: Record, edition: Edition, judge: Judge) -> tuple[RestsOn, tuple[Problem, ...]]:
    """What ``record`` rests on; or everything that keeps one of these from being judged."""
    data: dict[str, Group] = {}
    verdicts: dict[str, Verdict] = {}
    problems: list[Problem] = []
    for slot, other in record.evidence.items():
        if other.procedure in edition.procedures:
            verdict, wrong = judge(other, edition)
            if verdict is not None:
                verdicts[slot], data[slot] = verdict, as_read(verdict)
        else:
            below, wrong = rests_on(other, edition, judge)
            if not wrong:
                seen, wrong = observed(other, {}, edition.ruleset, None, below.data)
                if seen is not None:
                    data[slot] = seen.group
        if wrong:
            problems += (_named(record, slot, other), *wrong)
    return RestsOn(data, verdicts), in_order(dict.fromkeys(problems))


def _named(record: Record, slot: str, other: Record) -> Problem:
    """Where a record that cannot be judged was named."""
    span = as_map(record.shaped.entries["evidence"]).key_span(slot)
    message = f"record {other.id}, which stands in `evidence.{slot}`, cannot be judged"
    return Problem("evidence-unusable", message, span, "its own problems are told beside")


def as_read(verdict: Verdict) -> Group:
    """The data of a judged record and its verdict. What a pass does not count does not count here either; of a test
    that did not pass all can be read, since a failure that is voided there may still be asked about here."""
    void = void_items(verdict.findings) if verdict.verdict == "pass" else frozenset()
    fields = {name: _counting(data, void) for name, data in verdict.observed.group.fields.items()}
    return Group("", {**fields, "verdict": _verdict(verdict)})


def _counting(data: Data, void: frozenset[str]) -> Data:
    if isinstance(data, Items):
        return replace(data, items=tuple(item for item in data.items if item.path not in void))
    return data


def _verdict(verdict: Verdict) -> Data:
    """A verdict as a rule can read it. One that something can still change is open for the same reasons."""
    if verdict.verdict != "incomplete":
        return Leaf("verdict", verdict.verdict, verdict.verdict)
    reasons: set[Reason] = set()
    for each in verdict.findings:
        if each.requirement.kind != "advice" and each.outcome == "open":
            reasons |= {Missing(path) for path in each.missing} | set(each.no_rule)
    # Where nothing is open, items are too few, or there are none that anything could be said of.
    few = {Missing(path) for path, listed in verdict.lists.items() if listed.recorded < max(listed.asked, 1)}
    nothing = Stuck("no rule", f"nothing of {verdict.record.id} is judged by this edition")
    return Pending("verdict", Open(frozenset(reasons or few or {nothing})))
