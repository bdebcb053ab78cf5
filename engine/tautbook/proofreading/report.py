"""What proofreading finds: errors that must be mended, remarks to look at, and what was counted on the way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from ..editions.edition import Edition
from ..lang.problem import Problem
from ..lang.source import Span
from .boundaries import Coverage

Severity = Literal["error", "remark"]
Kind = Literal[
    "reading", "worked records", "unused", "tables", "requirements", "windows", "completeness", "boundaries",
    "provenance",
]  # fmt: skip

KINDS: tuple[Kind, ...] = (
    "reading", "tables", "requirements", "windows", "unused", "completeness", "worked records", "boundaries",
    "provenance",
)  # fmt: skip
"""In the order in which they are told."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is wrong (*error*) or worth a look (*remark*)."""

    kind: Kind
    severity: Severity
    problem: Problem


@dataclass(frozen=True, slots=True)
class Counts:
    """What was looked at."""

    records: int = 0
    """Worked records that were judged, or were found to be of a test that the edition has no rules for."""
    as_stated: int = 0
    """Those with the verdict that is stated of them."""
    combinations: int = 0
    """Combinations of covered values that requirements and figures were tried on."""
    left_out: int = 0
    """Combinations that were too many to try."""
    standings: Mapping[str, int] = field(default_factory=dict, hash=False)
    """Tables, terms and requirements by where they come from."""
    unchecked: int = 0
    """Tables that nobody has compared with the printed page."""


@dataclass(frozen=True, slots=True)
class Report:
    """All of one edition. ``edition`` is None where the file could not be read; ``unread`` then says why."""

    name: str
    """As it was named."""
    edition: Edition | None
    path: Path | None
    findings: tuple[Finding, ...] = ()
    unread: tuple[Problem, ...] = ()
    """What is wrong with files that could not be read: the edition itself, worked records, their verdicts."""
    counts: Counts = Counts()
    coverage: Coverage | None = field(default=None, repr=False)
    """Which boundaries worked records show; None where the edition could not be read."""
    numbers: frozenset[str] = field(default=frozenset(), repr=False)
    """Of the worked records."""

    @property
    def errors(self) -> int:
        return sum(finding.severity == "error" for finding in self.findings)

    @property
    def remarks(self) -> int:
        return len(self.findings) - self.errors


def error(kind: Kind, code: str, message: str, span: Span | None, help: str, file: str | None = None) -> Finding:
    return Finding(kind, "error", Problem(code, message, span, help, file))


def remark(kind: Kind, code: str, message: str, span: Span | None, help: str, file: str | None = None) -> Finding:
    return Finding(kind, "remark", Problem(code, message, span, help, file))


def sorted_findings(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """By kind, then by file and place; the same finding once."""
    return tuple(sorted(dict.fromkeys(findings), key=lambda each: (KINDS.index(each.kind), *each.problem.order)))


def listed(words: Iterable[str], most: int = 6) -> str:
    """The first of many, and how many more there are."""
    every = list(words)
    more = len(every) - most
    return "; ".join(every) if more <= 0 else f"{'; '.join(every[:most])}; and {more} more"
