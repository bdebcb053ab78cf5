"""Records for boundaries that no worked record shows, each with the verdict that the edition gives now.

A record is made from one that comes to the comparison by changing one reading: moved to the mark that stands so, left
out, or answered otherwise. One record can show many boundaries: it is then changed further, reading by reading, as
long as it shows what it did before; one that passes goes on passing, so that it stays clear what a fault would change.
Every record made is written out, read back and judged by the ordinary judge, and kept only if that shows the boundary
it is for.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence, Set
from dataclasses import dataclass, field
from typing import NamedTuple

from ..editions.edition import Edition
from ..judging.verdict import Verdict
from ..lang.operations import words as written_as
from ..records.record import Record, content
from .boundaries import Boundary, Coverage, Shown
from .boundary_bases import Bases, comes_to
from .boundary_changes import Change, answers, left_out
from .boundary_marks import mark_for
from .boundary_places import Key
from .record_data import changed, example_text, read_back

_MOST_TRIES = 150
"""So many further changes of one record are tried."""


@dataclass(frozen=True, slots=True)
class Example:
    """A record to be confirmed."""

    verdict: Verdict
    """The record, as judged by the edition that it was made for."""
    shows: frozenset[Key]
    """Of the boundaries that were uncovered."""

    @property
    def file(self) -> str:
        return f"{self.verdict.record.id}-{self.verdict.verdict}.yaml"


class Unmade(NamedTuple):
    """A boundary for which no record was made, and why."""

    boundary: Boundary
    why: str


@dataclass(frozen=True, slots=True)
class Made:
    examples: tuple[Example, ...]
    unmade: tuple[Unmade, ...]


def made_for(edition: Edition, coverage: Coverage, taken: Iterable[str]) -> Made:
    """Records that show the uncovered boundaries, as few as come out of trying, and the boundaries for which none
    could be made. No record made has a number that is ``taken``."""
    bases = Bases(edition, coverage.study)
    for each in sorted(coverage.judged, key=lambda each: each.verdict.verdict != "pass"):
        bases.know(each)
    return _Maker(bases, set(taken), coverage.uncovered).made()


@dataclass(slots=True)
class _Maker:
    bases: Bases
    taken: set[str]
    uncovered: tuple[Boundary, ...]
    closed: set[Key] = field(default_factory=set)

    def made(self) -> Made:
        examples: list[Example] = []
        unmade: list[Unmade] = []
        wanted = {each.key for each in self.uncovered}
        for boundary in self.uncovered:
            if boundary.key in self.closed:
                continue
            found = self.one(boundary)
            if isinstance(found, str):
                unmade.append(Unmade(boundary, found))
                continue
            grown = self.grown(found)
            why = _not_as_written(grown.verdict.record)
            if why is not None:
                unmade.append(Unmade(boundary, why))
                continue
            examples.append(Example(grown.verdict, grown.keys & wanted))
            self.taken.add(grown.verdict.record.id)
            self.closed |= grown.keys
        # A record made later may show one that could not be made for itself.
        left = tuple(each for each in unmade if each.boundary.key not in self.closed)
        kept = needed([each.shows for each in examples])
        return Made(tuple(examples[n] for n in kept), left)

    def one(self, boundary: Boundary) -> Shown | str:
        """A record that shows it, or why none could be made."""
        why = "no worked record that passes comes to it"
        for base in self.bases.of(boundary):
            if isinstance(base, str):
                why = base
                continue
            for change in _changes(boundary, base):
                if isinstance(change, str):
                    why = change
                    continue
                found = self.with_change(base, change, _name(boundary, self.taken))
                if isinstance(found, str):
                    why = found
                elif boundary.key not in found.keys:
                    why = "one other reading is not enough: what else is recorded decides"
                else:
                    return found
        return why

    def grown(self, made: Shown) -> Shown:
        """The record changed further, to show more of what is uncovered."""
        name, tries = made.verdict.record.id, 0
        passes = made.verdict.verdict == "pass"
        for boundary in self.uncovered:
            if boundary.key in self.closed or boundary.key in made.keys or boundary.key[:4] not in comes_to(made):
                continue
            if passes and boundary.what in ("outside", "missing"):
                continue
            kept = (made.keys & {each.key for each in self.uncovered}) - self.closed
            for change in _changes(boundary, made):
                if isinstance(change, str):
                    continue
                if tries >= _MOST_TRIES:
                    return made
                tries += 1
                found = self.with_change(made, change, name)
                if isinstance(found, str) or not kept | {boundary.key} <= found.keys:
                    continue
                if passes == (found.verdict.verdict == "pass"):
                    made = found
                    break
        return made

    def with_change(self, base: Shown, change: Change, name: str) -> Shown | str:
        """The record with that change."""
        whole = changed(content(base.verdict.record.shaped), dict([change]))
        if whole is None:
            return f"`{change[0]}` is not written in a record that could be changed"
        whole["id"] = name
        return self.bases.judge(whole)


def _changes(boundary: Boundary, base: Shown) -> Iterator[Change | str]:
    """Changes of one reading that may show it, or why one is not possible."""
    if not boundary.rule:
        for finding in base.verdict.findings:
            if finding.id == boundary.requirement and boundary.what != "inside":
                yield from answers(finding, base.verdict, leave_out=boundary.what == "missing")
        return
    for place in base.places:
        if place.about != boundary.key[:3] or (boundary.cell is not None and boundary.cell not in place.cells):
            continue
        reading = place.reading
        if reading is None:
            yield "it is not one reading"
        elif boundary.what == "missing":
            yield from left_out(reading.path)
        else:
            mark = mark_for(place, boundary.what)
            yield mark if isinstance(mark, str) else (reading.path, written_as(mark))


def needed(shows: Sequence[Set[object]]) -> list[int]:
    """Of records that show so much each, the numbers of those that are left without any of which the others show all
    that it does."""
    times = Counter(key for each in shows for key in each)
    kept = list(range(len(shows)))
    for n, each in enumerate(shows):
        if all(times[key] > 1 for key in each):
            kept.remove(n)
            times.subtract(each)
    return kept


def _not_as_written(record: Record) -> str | None:
    """Why the text of a record does not read back as it."""
    written, problems = read_back(example_text(content(record.shaped)), f"{record.id}.yaml")
    if written is not None and written.digest == record.digest:
        return None
    return f"it cannot be written: {problems[0].message if problems else 'it reads back as another record'}"


def _name(boundary: Boundary, taken: Collection[str]) -> str:
    parts = [boundary.procedure, boundary.requirement, *([str(boundary.cell)] if boundary.cell else ()), boundary.what]
    name = re.sub(r"[^a-z0-9]+", "-", "-".join(parts).lower()).strip("-")
    number = 1
    while (found := name if number == 1 else f"{name}-{number}") in taken:
        number += 1
    return found
