"""What all findings together say of a record."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from ..editions.edition import Edition, Procedure
from ..lang.kernel import Field
from ..lang.limits import LIMITS
from ..lang.problem import Problem, did_you_mean
from ..lang.values import Data, Group, Items, data_at
from ..lang.work import Size, size
from ..records.data import Observed, observed
from ..records.record import Record
from .could_be import VERDICTS, Listed, VerdictWord, Weight, could_be
from .evidence import RestsOn, rests_on
from .findings import Finding, findings_of
from .voiding import with_voiding
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
    seen, evidence, problems = observe(record, edition, procedure)
    if seen is None:
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
        verdict, ordered, with_voiding(findings), ignored, record, edition, procedure, seen, lists,
        evidence.verdicts,
    ), ()  # fmt: skip


def observe(
    record: Record, edition: Edition, procedure: Procedure
) -> tuple[Observed | None, RestsOn, tuple[Problem, ...]]:
    """The data of ``record`` as the rules of ``procedure`` read it, with what it rests on; or why there is none."""
    evidence, wrong = rests_on(record, edition, judge_record)
    seen, problems = observed(record, procedure.asks, edition.ruleset, procedure.own, evidence.data)
    problems = (*wrong, *problems)
    return (None if problems else seen), evidence, problems


def _weight(finding: Finding) -> Weight:
    of = finding.requirement
    over = of.over if of.kind == "acceptance" else frozenset()
    return Weight(of.kind, finding.can, of.voids, finding.item, finding.listed, over)


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
