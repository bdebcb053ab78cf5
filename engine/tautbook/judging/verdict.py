"""What all findings together say of a record."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ..editions.edition import Edition, Procedure
from ..lang.kernel import Field
from ..lang.limits import LIMITS
from ..lang.problem import Problem, did_you_mean, in_order
from ..lang.values import Data, Group, Items, Leaf, Missing, Open, Pending, Reason, data_at
from ..lang.work import Size, size
from ..records.data import Observed, observed
from ..records.record import Record
from .could_be import VERDICTS, Listed, VerdictWord, Weight, could_be
from .findings import Finding, findings_of
from .waivers import Ignored, waivers_of, with_waivers


@dataclass(frozen=True, slots=True)
class Verdict:
    """A judged record, with all that the verdict rests on.

    INVARIANT: ``verdict`` is the only member of ``could_be``, or *incomplete*.
    """

    verdict: VerdictWord
    could_be: tuple[VerdictWord, ...]
    findings: tuple[Finding, ...]
    ignored_waivers: tuple[Ignored, ...]
    record: Record
    edition: Edition
    procedure: Procedure
    observed: Observed = field(repr=False)
    lists: Mapping[str, Listed] = field(hash=False)
    """By path, of the lists whose length is asked for or whose items are spoken of one by one."""
    evidence: Mapping[str, Verdict] = field(default_factory=dict, hash=False)
    """By slot, the verdicts on the records that this one rests on, by the same edition."""


def judge_record(record: Record, edition: Edition) -> tuple[Verdict | None, tuple[Problem, ...]]:
    """The verdict on ``record`` by ``edition``; or why it cannot be judged."""
    procedure = edition.procedures.get(record.procedure)
    if procedure is None:
        known = f"it has rules for: {', '.join(edition.procedures)}"
        message = f"{edition.name} has no rules for `{record.procedure}`"
        at = record.shaped.entries["procedure"].span
        help = did_you_mean(record.procedure, edition.procedures, known)
        return None, (Problem("procedure-not-in-edition", message, at, help),)
    rests_on, verdicts, wrong = _evidence(record, edition)
    seen, problems = observed(record, procedure.asks, edition.ruleset, procedure.own, rests_on)
    problems = (*wrong, *problems)
    if seen is None or problems:
        return None, problems
    too_much = _too_much(procedure, seen.group, record)
    if too_much is not None:
        return None, (too_much,)
    findings, ignored = with_waivers(
        findings_of(procedure, seen.group), waivers_of(seen.group), procedure.requirements
    )
    lists = _lists(procedure, seen.group)
    possible = could_be(map(_weight, findings), lists)
    ordered = tuple(word for word in VERDICTS if word in possible)
    verdict = ordered[0] if len(ordered) == 1 else "incomplete"
    if verdict == "pass" and any(listed.recorded < listed.asked for listed in lists.values()):
        verdict = "incomplete"
    return Verdict(
        verdict, ordered, with_voiding(findings), ignored, record, edition, procedure, seen, lists, verdicts
    ), ()  # fmt: skip


def _evidence(
    record: Record, edition: Edition
) -> tuple[dict[str, Group], dict[str, Verdict], tuple[Problem, ...]]:
    """The data of the records that ``record`` rests on, and the verdicts on them where the edition has rules."""
    data: dict[str, Group] = {}
    verdicts: dict[str, Verdict] = {}
    problems: list[Problem] = []
    for slot, other in record.evidence.items():
        if other.procedure in edition.procedures:
            verdict, wrong = judge_record(other, edition)
            if verdict is not None:
                verdicts[slot] = verdict
                data[slot] = Group("", {**verdict.observed.group.fields, "verdict": _as_data(verdict)})
        else:
            seen, wrong = observed(other, {}, edition.ruleset, None, {})
            if seen is not None:
                data[slot] = seen.group
        problems += wrong
    return data, verdicts, in_order(problems)


def _as_data(verdict: Verdict) -> Data:
    """A verdict as a rule can read it. One that something can still change is open for the same reasons."""
    if verdict.verdict != "incomplete":
        return Leaf("verdict", verdict.verdict, verdict.verdict)
    reasons: set[Reason] = set()
    for each in verdict.findings:
        if each.requirement.kind != "advice" and each.outcome == "open":
            reasons |= {Missing(path) for path in each.missing} | set(each.no_rule)
    short = {Missing(path) for path, listed in verdict.lists.items() if listed.recorded < listed.asked}
    return Pending("verdict", Open(frozenset(reasons or short or {Missing("verdict")})))


def _weight(finding: Finding) -> Weight:
    of = finding.requirement
    over = of.over if of.kind == "acceptance" else frozenset()
    return Weight(of.kind, finding.can, of.voids, finding.item, finding.listed, over)


def with_voiding(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings, those marked that a fault of the test voids."""
    faults = [each for each in findings if each.requirement.kind == "setup" and each.outcome == "not met"]
    return tuple(replace(each, voided=any(_voids(fault, each) for fault in faults)) for each in findings)


def _voids(fault: Finding, finding: Finding) -> bool:
    if finding.requirement.kind != "acceptance" or finding.outcome not in ("met", "not met"):
        return False
    what = "passes" if finding.outcome == "met" else "failures"
    if fault.requirement.voids not in (what, "both"):
        return False
    return fault.item is None or fault.item == finding.item or fault.listed in finding.requirement.over


def _lists(procedure: Procedure, group: Group) -> dict[str, Listed]:
    """The lists that are asked for, and those that requirements speak of item by item."""
    paths = {*procedure.asks, *(each.each for each in procedure.requirements if each.each is not None)}
    found = {}
    for path in sorted(paths):
        items = _items(group, path)
        # Items still to come are empty.
        recorded = sum(not isinstance(item, Group) or bool(item.fields) for item in items)
        found[path] = Listed(len(items), procedure.asks.get(path, 0), recorded)
    return found


def _items(group: Group, path: str) -> tuple[Data, ...]:
    data = data_at(group, path)
    return data.items if isinstance(data, Items) else ()


def _too_much(procedure: Procedure, group: Group, record: Record) -> Problem | None:
    """What is wrong if judging would take more steps than any real test needs."""
    longest = max(_lengths(group), default=0)

    def length(listed: Field) -> int:
        return len(_items(group, ".".join(listed.path))) if listed.root is None else longest

    sizes: dict[str, Size] = {}
    for name, definition in procedure.rules.terms.items():
        sizes[name] = size(definition.body, sizes, length)
    steps = 0
    for requirement in procedure.requirements:
        rules = [requirement.require, requirement.applies, *(each.when for each in requirement.unless)]
        times = len(_items(group, requirement.each)) if requirement.each else 1
        steps += times * sum(size(rule, sizes, length).steps for rule in rules if rule is not None)
    if steps <= LIMITS.steps:
        return None
    message = f"judging this record takes up to {steps} steps, and {LIMITS.steps} are allowed"
    return Problem("steps-many", message, record.shaped.span.at(0, 0), "split the record")


def _lengths(data: Data) -> Iterator[int]:
    match data:
        case Items(items=items):
            yield len(items)
            for item in items:
                yield from _lengths(item)
        case Group(fields=fields):
            for below in fields.values():
                yield from _lengths(below)
