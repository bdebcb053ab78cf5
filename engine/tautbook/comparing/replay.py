"""A recorded test judged under two editions: what each says of it, and the findings that make the difference."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from ..editions.edition import Edition, RequirementKind
from ..explaining.explain import Explained, Explanation, deciding_findings, explain
from ..judging.could_be import VerdictWord
from ..judging.outcomes import Outcome
from ..judging.verdict import Verdict, judge_record
from ..lang.problem import Problem, in_order
from ..records.record import Record

NO_RULES: Literal["no rules"] = "no rules"
"""What stands for the verdict of an edition that knows no such test."""

Key = tuple[str, str | None]
"""Requirement and item of a finding."""


@dataclass(frozen=True, slots=True)
class Side:
    """What one edition says of a record."""

    verdict: VerdictWord | Literal["no rules"]
    advisory: bool
    """Whether it is not for acceptance, since a figure that decides is only from memory."""
    headline: str

    @property
    def words(self) -> str:
        """The verdict, and whether it is for acceptance; what makes two sides alike."""
        aside = self.advisory and self.verdict in ("pass", "fail", "invalid")
        return f"{self.verdict}, not for acceptance" if aside else self.verdict


@dataclass(frozen=True, slots=True)
class Says:
    """What one edition finds by one requirement."""

    kind: RequirementKind
    outcome: Outcome
    voided: bool
    clause: str | None
    sentence: str


@dataclass(frozen=True, slots=True)
class Decides:
    """A requirement that decides under one edition at least; None of the edition that has no such finding."""

    requirement: str
    title: str
    item: str | None
    old: Says | None
    new: Says | None


@dataclass(frozen=True, slots=True)
class Replayed:
    """One record under two editions. INVARIANT: at most one of them has no rules for it."""

    record: Record
    old: Side
    new: Side
    deciding: tuple[Decides, ...]
    """What decides where they differ; empty where the verdict is the same."""
    other_reasons: bool
    """Whether the verdict is the same, and rests on other requirements or on other gaps."""

    @property
    def differs(self) -> bool:
        return self.old.words != self.new.words


@dataclass(slots=True)
class Counts:
    """How many records came out how. Grows as records come; nothing of the records is kept."""

    pairs: Counter[tuple[str, str]] = field(default_factory=Counter)
    """By the words of the old and of the new edition."""
    other_reasons: int = 0
    not_used: int = 0

    def add(self, replayed: Replayed) -> None:
        self.pairs[replayed.old.words, replayed.new.words] += 1
        self.other_reasons += replayed.other_reasons

    @property
    def judged(self) -> int:
        return self.pairs.total()

    @property
    def different(self) -> int:
        return sum(number for (old, new), number in self.pairs.items() if old != new)

    @property
    def same(self) -> int:
        return self.judged - self.different


def replay_record(record: Record, old: Edition, new: Edition) -> tuple[Replayed | None, tuple[Problem, ...]]:
    """``record`` under both; or why it cannot be judged: by neither edition, or not by one that has rules for it."""
    ruled = [each for each in (old, new) if record.procedure in each.procedures]
    if not ruled:
        at = record.shaped.entries["procedure"].span
        message = f"neither {old.name} nor {new.name} has rules for `{record.procedure}`"
        return None, (Problem("procedure-not-in-edition", message, at, "leave the record out"),)
    verdicts: dict[str, Verdict | None] = {}
    problems: list[Problem] = []
    for edition in ruled:
        verdicts[edition.digest], wrong = judge_record(record, edition)
        problems += wrong
    if problems:
        return None, in_order(problems)
    before, after = verdicts.get(old.digest), verdicts.get(new.digest)
    if before is not None and after is not None and before.verdict == after.verdict and not _any_from_memory(old, new):
        # Most records come out the same: nothing of them needs to be explained.
        side = Side(before.verdict, False, before.verdict)
        return Replayed(record, side, side, (), _reasons(before) != _reasons(after)), ()
    was, now = (None if each is None else explain(each) for each in (before, after))
    sides = _side(was), _side(now)
    if sides[0].words == sides[1].words:
        return Replayed(record, *sides, (), _reasons(before) != _reasons(after)), ()
    return Replayed(record, *sides, tuple(_deciding(was, now)), False), ()


def _any_from_memory(*editions: Edition) -> bool:
    """Whether any figure or rule is only from memory, so that a verdict may not be for acceptance."""
    for edition in editions:
        origins = [each.origin for each in (*edition.tables.values(), *edition.terms.values())]
        origins += [each.origin for procedure in edition.procedures.values() for each in procedure.requirements]
        if any(each.standing == "from memory" for each in origins):
            return True
    return False


def _side(explanation: Explanation | None) -> Side:
    if explanation is None:
        return Side(NO_RULES, False, "no rules for this kind of test")
    return Side(explanation.verdict.verdict, explanation.advisory, explanation.headline)


def _reasons(verdict: Verdict | None) -> set[str]:
    """What a verdict rests on: the requirements that are not met, or what is not known; a pass on all alike."""
    if verdict is None or verdict.verdict == "pass":
        return set()
    findings = deciding_findings(verdict)
    if verdict.verdict == "incomplete":
        return {reason for each in findings for reason in (*each.missing, *(stuck.told for stuck in each.no_rule))}
    return {each.id for each in findings}


def _deciding(old: Explanation | None, new: Explanation | None) -> Iterator[Decides]:
    """What decides under the edition that does not pass the record, with what the other finds there.

    What both find alike explains no difference, and is left out as long as something else is left.
    """
    before, after = _findings(old), _findings(new)
    keys = dict.fromkeys(
        key for explanation, found in ((old, before), (new, after)) for key, each in found.items()
        if each.decides and explanation is not None and explanation.verdict.verdict != "pass"
    )  # fmt: skip
    told = [
        Decides(key[0], (after.get(key) or before[key]).finding.requirement.title, key[1],
                _says(before.get(key)), _says(after.get(key)))
        for key in keys
    ]  # fmt: skip
    yield from [each for each in told if not _same(each.old, each.new)] or told


def _findings(explanation: Explanation | None) -> dict[Key, Explained]:
    return {} if explanation is None else {(each.finding.id, each.finding.item): each for each in explanation.findings}


def _same(old: Says | None, new: Says | None) -> bool:
    if old is None or new is None:
        return False
    return (old.kind, old.outcome, old.voided) == (new.kind, new.outcome, new.voided)


def _says(explained: Explained | None) -> Says | None:
    if explained is None:
        return None
    finding = explained.finding
    of = finding.requirement
    return Says(of.kind, finding.outcome, finding.voided, of.origin.clause, explained.sentence)
