"""All that is wrong with one edition."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from ..editions.amend import Lookup
from ..editions.edition import Edition
from ..lang.problem import Problem, in_order
from .boundaries import coverage_of
from .boundary_never import beside
from .completeness import completeness
from .galley import galley
from .placeholders import placeholders
from .provenance import provenance, standings, unchecked
from .report import Counts, Report, sorted_findings
from .requirements import requirements
from .shadowed import shadowed
from .survey import survey
from .tables import tables
from .uncovered import uncovered
from .units import units
from .unused import unused
from .windows import windows
from .worked import Worked, worked_records


def proofread(
    edition: Edition, data: bytes, path: Path | None, name: str, lookup: Lookup | None = None
) -> Report:
    """The report on ``edition``, which was read from ``data``; ``path`` is that of its file, ``name`` what it was
    called on the command line. ``lookup`` finds the editions that it amends."""
    copy = galley(edition, data, path, lookup)
    worked = Worked() if path is None else worked_records(edition, path.parent)
    tried = survey(edition)
    coverage = coverage_of(edition, worked.judged, beside(tried))
    findings = [
        *worked.findings,
        *unused(copy),
        *tables(copy, tried),
        *units(copy),
        *requirements(copy, tried),
        *shadowed(copy, tried),
        *completeness(copy, tried),
        *provenance(copy),
        *placeholders(copy),
        *windows(copy, tried),
        *uncovered(copy, coverage),
    ]
    counts = Counts(
        records=worked.records, as_stated=worked.as_stated, combinations=tried.combinations, left_out=tried.left_out,
        standings=standings(edition), unchecked=len(unchecked(copy)),
    )  # fmt: skip
    found, unread = sorted_findings(findings), in_order(worked.unread)
    return Report(name, edition, path, found, unread, counts, coverage, frozenset(worked.numbers))


def unreadable(name: str, path: Path | None, problems: Sequence[Problem]) -> Report:
    """The report on what is no edition as it stands."""
    return Report(name, None, path, unread=tuple(problems))
