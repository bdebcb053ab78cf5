"""Boundaries that no worked record shows, requirement by requirement."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from .boundaries import Boundary, Coverage
from .galley import Galley
from .report import Finding, listed, remark


def uncovered(copy: Galley, coverage: Coverage) -> Iterator[Finding]:
    """A remark for each requirement. Where no record was worked at all, that is remarked elsewhere."""
    if not coverage.judged:
        return
    for (procedure, requirement), those in groupby(coverage.boundaries, lambda each: each.key[:2]):
        every = [each for each in those if each.never is None]
        wanting = [each for each in every if each.covered_by is None]
        if wanting:
            message = f"no worked record shows {len(wanting)} of {len(every)} boundaries of `{requirement}`"
            message += f": {_told(wanting)}"
            help = "write records for them with --write-examples DIR, and confirm what they give"
            place = copy.place("procedures", procedure, "requirements", requirement)
            yield remark("boundaries", "boundary-uncovered", message, place, help)


def _told(boundaries: Iterable[Boundary]) -> str:
    """By comparison and cell, what is not shown there."""
    found = []
    for (rule, cell), those in groupby(boundaries, lambda each: (each.rule, each.cell)):
        found.append(f"{cell or rule or 'the whole'}: {', '.join(each.what for each in those)}")
    return listed(found, most=4)
