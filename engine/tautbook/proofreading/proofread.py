"""All that is wrong with one edition."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from ..editions.edition import Edition
from ..lang.problem import Problem, in_order
from .galley import Galley, galley
from .report import Counts, Finding, Report, sorted_findings
from .worked import Worked, worked_records


def proofread(edition: Edition, data: bytes, path: Path | None, name: str) -> Report:
    """The report on ``edition``, which was read from ``data``; ``path`` is that of its file, ``name`` what it was
    called on the command line."""
    copy = galley(edition, data, path)
    worked = Worked() if path is None else worked_records(edition, path.parent)
    findings = [*worked.findings, *_checks(copy)]
    counts = Counts(records=worked.records, as_stated=worked.as_stated)
    return Report(name, edition, path, sorted_findings(findings), in_order(worked.unread), counts)


def unreadable(name: str, path: Path | None, problems: Sequence[Problem]) -> Report:
    """The report on what is no edition as it stands."""
    return Report(name, None, path, unread=tuple(problems))


def _checks(copy: Galley) -> list[Finding]:
    return []
