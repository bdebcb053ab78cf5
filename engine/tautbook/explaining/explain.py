"""Verdict -> explanation: everything that a report of it says, as data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ..editions.edition import Edition
from ..judging.findings import Finding
from ..judging.verdict import Verdict
from ..judging.voiding import void_items
from ..lang.evaluate import Step, steps_below
from ..lang.kernel import Lookup, Term
from .comparisons import Comparison, comparisons_of, conditions_of
from .sentences import sentence, told_of_exception

NOT_FOR_ACCEPTANCE = "would pass; not for acceptance"
DEMONSTRATION = "demonstration figures"
DRAFT = "draft rules, not enacted"


@dataclass(frozen=True, slots=True)
class Explained:
    finding: Finding
    comparisons: tuple[Comparison, ...]
    sentence: str
    next: str | None
    """What happens next: of a requirement that is not met, what the edition says; of an open one, what to record."""
    decides: bool
    """Whether the verdict, such as it is, rests on this finding."""
    exceptions: tuple[tuple[Comparison, ...], ...] = ()
    """What each named exception of the requirement came down to."""

    @property
    def telling(self) -> tuple[Comparison, ...]:
        """What the outcome rests on: of a finding that is not met also what kept exceptions from holding."""
        if self.finding.exception is None and self.finding.outcome not in ("not met", "waived"):
            return self.comparisons
        return (*self.comparisons, *(each for told in self.exceptions for each in told_of_exception(told)))


@dataclass(frozen=True, slots=True)
class Explanation:
    verdict: Verdict
    void: frozenset[str]
    """Items that do not count, since a fault of the test voids them."""
    headline: str
    advisory: bool
    """Whether a figure that decides is only from memory."""
    demonstration: bool
    """Whether a figure that decides is invented."""
    waived: int
    """How many requirements were waived, those of the records that this one rests on included."""
    findings: tuple[Explained, ...]
    evidence: Mapping[str, Explanation]
    """By slot, the records that this one rests on, as far as the edition has rules for them."""
    remarks: tuple[str, ...] = ()
    """What else is to be known of how it was judged: it never touches the verdict."""

    @property
    def deciding(self) -> tuple[Explained, ...]:
        return tuple(each for each in self.findings if each.decides)


def explain(verdict: Verdict) -> Explanation:
    """The explanation of a verdict."""
    standings = set(_standings(verdict))
    evidence = {slot: explain(other) for slot, other in verdict.evidence.items()}
    advisory = "from memory" in standings or any(each.advisory for each in evidence.values())
    demonstration = "invented" in standings or any(each.demonstration for each in evidence.values())
    void = void_items(verdict.findings)
    found = tuple(_explained(each, verdict, void) for each in verdict.findings)
    waived = sum(each.finding.outcome == "waived" for each in found) + sum(each.waived for each in evidence.values())
    headline = _headline(verdict, found, waived, advisory, demonstration)
    return Explanation(verdict, void, headline, advisory, demonstration, waived, found, evidence)


def _explained(finding: Finding, verdict: Verdict, void: frozenset[str]) -> Explained:
    step = finding.require
    told = () if step is None else comparisons_of(step, finding.requirement)
    words = verdict.record.words
    next = finding.requirement.otherwise if finding.outcome == "not met" and not finding.voided else None
    if finding.outcome == "open" and finding.missing:
        next = f"Record {', '.join(finding.missing)}."
    elif finding.outcome == "open" and finding.requirement.covers:
        next = finding.requirement.otherwise
    exceptions = tuple(map(conditions_of, finding.exceptions))
    text = sentence(finding, told, exceptions, words)
    return Explained(finding, told, text, next, _decides(finding, verdict, void), exceptions)


def deciding_findings(verdict: Verdict) -> tuple[Finding, ...]:
    """The findings that the verdict rests on, without the work of explaining them."""
    void = void_items(verdict.findings)
    return tuple(each for each in verdict.findings if _decides(each, verdict, void))


def _decides(finding: Finding, verdict: Verdict, void: frozenset[str]) -> bool:
    kind, outcome = finding.requirement.kind, finding.outcome
    if kind == "advice":
        return False
    match verdict.verdict:
        case "fail":
            return kind == "acceptance" and outcome == "not met" and not finding.voided
        case "invalid":
            fault = outcome == "not met" and finding.requirement.voids in ("both", "passes")
            return fault or (finding.voided and (outcome == "not met" or bool(finding.requirement.over)))
        case "incomplete":
            # What is open on a void item can still show a failure that nothing voids.
            return outcome == "open" and (finding.item not in void or len(verdict.could_be) > 1)
        case "pass":
            return kind == "acceptance" and outcome in ("met", "waived")


def _standings(verdict: Verdict) -> Iterator[str | None]:
    """Where the figures come from that decide: of the requirements, and of the tables and terms they used."""
    for finding in verdict.findings:
        if finding.requirement.kind == "advice":
            continue
        applies = finding.outcome != "not applicable"
        # An exception that holds decides as well: without it the requirement would.
        if applies or finding.exception is not None:
            yield finding.requirement.origin.standing
        for step in (finding.require if applies else None, finding.applies, *finding.exceptions):
            if step is not None:
                yield from standings_of(step, verdict.edition)


def standings_of(step: Step, edition: Edition) -> Iterator[str | None]:
    """The standings of the tables and terms that a derivation used."""
    for at in steps_below(step):
        match at.node:
            case Lookup(table=table) if table in edition.tables:
                yield edition.tables[table].origin.standing
            case Term(name=name) if name in edition.terms:
                yield edition.terms[name].origin.standing


def _headline(
    verdict: Verdict, found: tuple[Explained, ...], waived: int, advisory: bool, demonstration: bool
) -> str:
    match verdict.verdict:
        case "pass" if advisory:
            text = NOT_FOR_ACCEPTANCE
        case "incomplete":
            text = f"incomplete: {_what_is_open(verdict, found)}"
        case word:
            text = word
    if waived and verdict.verdict == "pass":
        text += f", {waived} requirement{'s' * (waived > 1)} waived (as stated, not verified)"
    aside = len(verdict.observed.set_aside)
    if aside and verdict.verdict == "pass":
        text += f", {aside} set aside"
    if verdict.verdict in ("fail", "invalid"):
        deciding = [each.finding for each in found if each.decides]
        # A failure that a fault voids is no reason; the fault is. It is named where there is nothing else to name.
        reasons = [each for each in deciding if not each.voided] or deciding
        names = list(dict.fromkeys(each.id for each in reasons))
        text += f": {', '.join(names[:3])}{f' and {len(names) - 3} more' if len(names) > 3 else ''}"
        if advisory:
            text += "; figures from memory, not for acceptance"
    if verdict.edition.enacted is None:
        text += f"; {DRAFT}"
    return f"{text}; {DEMONSTRATION}" if demonstration else text


def _what_is_open(verdict: Verdict, found: tuple[Explained, ...]) -> str:
    missing = {path for each in found if each.decides for path in each.finding.missing}
    no_rule = {reason for each in found if each.decides for reason in each.finding.no_rule}
    parts = []
    if missing:
        parts.append(f"{len(missing)} observation{'s' * (len(missing) > 1)} not recorded")
    if no_rule:
        first = min(no_rule)
        parts.append(f"{first.by} ({first.detail})")
    parts += [
        f"{listed.recorded} of {listed.asked} {path} recorded"
        for path, listed in verdict.lists.items()
        if listed.recorded < listed.asked
    ]
    if not parts:
        parts.append("nothing was judged")
    if "pass" not in verdict.could_be:
        parts.append("it cannot pass any more" if missing else "nothing that is recorded can change this")
    return "; ".join(parts)
