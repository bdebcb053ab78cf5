"""Boundary coverage: which worked records stand at the limits of an edition, one step to either side, and without the
reading.

What is asked of each comparison of one reading with a limit that is known from the edition or from other readings:

- *at*: the reading, or what the rule makes of it, is exactly at the limit;
- *inside*: the comparison holds, and one step of the reading towards the limit meets the limit or breaks it;
- *outside*: it does not hold, and one step of the reading towards the limit meets the limit or mends it;
- *missing*: the reading was not made, and the finding is open for want of it.

The step is that of the reading itself: the graduation of the dial where the field says what it is read in, else its
usual resolution in the unit that it was written in; a day for a date; 1 for a whole number or a count. Where a rule
corrects the reading first, it is the dial that moves by its step, and the corrected value that is compared. Of ``=``
with a figure *outside* is a step to either side, and nothing is inside.

What is left of a rule (words, yes or no, several readings at once) has three boundaries of the whole requirement: it
holds (*inside*), it does not (*outside*), or it is open for want of an observation (*missing*). Of a requirement that
has both, a record counts as *outside* here where no comparison of a reading is what breaks it.

A record counts only where the requirement applies and no exception holds. Where the limit comes from tables, every
cell of them has boundaries of its own. Advice, what an edition declares absent, and the requirement that all is
covered have none.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from ..editions.edition import Edition, Procedure
from ..judging.verdict import Verdict, judge_record
from ..records.record import Record
from .boundary_never import Beside, never
from .boundary_places import Key, Looked, Place, What, looked_at, missing_alone, what_is
from .boundary_rules import CellKey, Study, Watched, study


@dataclass(frozen=True, slots=True)
class Boundary:
    requirement: str
    procedure: str
    cell: CellKey | None
    """The cell that the limit comes from; None: any."""
    what: What
    covered_by: str | None
    """The first record that shows it."""
    rule: str = ""
    """The comparison as text; nothing for what is asked of the requirement whole."""
    never: str | None = None
    """Why no record like the worked ones can show it. Such a boundary does not count in the share."""

    @property
    def key(self) -> Key:
        return (self.procedure, self.requirement, self.rule, self.cell, self.what)


@dataclass(frozen=True, slots=True)
class Shown:
    """A judged record: the findings on it that count, and the boundaries that they show."""

    verdict: Verdict
    looked: tuple[Looked, ...]
    keys: frozenset[Key]

    @property
    def places(self) -> Iterator[Place]:
        """The comparisons of a reading that was made."""
        return (place for each in self.looked for place in each.places)


@dataclass(frozen=True, slots=True)
class Coverage:
    boundaries: tuple[Boundary, ...]
    """In the order of the edition: each comparison, then each cell of it."""
    judged: tuple[Shown, ...] = field(repr=False, compare=False)
    study: Study = field(repr=False, compare=False)
    beside: Beside = field(default=frozenset(), repr=False, compare=False)

    @property
    def share(self) -> Fraction:
        """Of the boundaries that a record can show, those that one does; 1 where there are none."""
        counted = len(self.boundaries) - len(self.never)
        return Fraction(counted - len(self.uncovered), counted) if counted else Fraction(1)

    @property
    def uncovered(self) -> tuple[Boundary, ...]:
        return tuple(each for each in self.boundaries if each.covered_by is None and each.never is None)

    @property
    def never(self) -> tuple[Boundary, ...]:
        return tuple(each for each in self.boundaries if each.never is not None)


def boundaries(edition: Edition, records: Iterable[Record]) -> Coverage:
    """The coverage of ``edition`` by worked ``records``; those of procedures that it has no rules for, and those that
    cannot be judged, show nothing."""
    verdicts = (judge_record(each, edition)[0] for each in records if each.procedure in edition.procedures)
    return coverage_of(edition, (each for each in verdicts if each is not None))


def coverage_of(edition: Edition, judged: Iterable[Verdict], beside: Beside = frozenset()) -> Coverage:
    """The coverage of ``edition`` by worked records that were judged by it."""
    rules = study(edition)
    return _coverage(edition, rules, tuple(shown(each, rules) for each in judged), beside)


def with_more(edition: Edition, coverage: Coverage, more: Iterable[Verdict]) -> Coverage:
    """The coverage with records besides."""
    rules = coverage.study
    return _coverage(edition, rules, (*coverage.judged, *(shown(each, rules) for each in more)), coverage.beside)


def _coverage(edition: Edition, rules: Study, judged: tuple[Shown, ...], beside: Beside) -> Coverage:
    by: dict[Key, str] = {}
    looked: dict[tuple[str, str], list[Looked]] = {}
    for each in judged:
        for key in each.keys:
            by.setdefault(key, each.verdict.record.id)
        for finding in each.looked:
            looked.setdefault((each.verdict.procedure.id, finding.finding.id), []).append(finding)
    found = []
    for procedure in edition.procedures.values():
        for key in _asked(procedure, rules):
            _, requirement, rule, cell, what = key
            why = None if key in by else never(key, looked.get(key[:2], ()), beside)
            found.append(Boundary(requirement, procedure.id, cell, what, by.get(key), rule, why))
    return Coverage(tuple(found), judged, rules, beside)


def _asked(procedure: Procedure, rules: Study) -> Iterator[Key]:
    """The boundaries that the rules of a procedure have."""
    for requirement in procedure.requirements:
        found = rules.watches.get((procedure.id, requirement.id))
        if found is None:
            continue
        for each in found.comparisons:
            whats = _whats(each)
            for cell in (None, *each.cells):
                yield from ((procedure.id, requirement.id, each.rule, cell, what) for what in whats)
        for what in found.words:
            yield procedure.id, requirement.id, "", None, what


def _whats(each: Watched) -> tuple[What, ...]:
    sides: tuple[What, ...] = ("outside",) if each.sign == "=" else ("inside",) if each.sign == "!=" else (
        "inside", "outside",
    )  # fmt: skip
    return ("at", *sides) if each.always else ("at", *sides, "missing")


# What a judged record shows


def shown(verdict: Verdict, rules: Study) -> Shown:
    looked = looked_at(verdict, rules)
    return Shown(verdict, looked, frozenset(key for each in looked for key in _keys(each, verdict.procedure.id)))


def _keys(looked: Looked, procedure: str) -> Iterator[Key]:
    finding = looked.finding
    about = (procedure, finding.id)
    broken, wanting = False, set(finding.missing)
    for place in looked.all:
        what = what_is(place)
        broken = broken or place.comparison.outcome == "not met"
        wanting -= set(missing_alone(place.comparison))
        if what is not None:
            for cell in (None, *place.cells):
                yield *about, place.rule, cell, what
    if finding.outcome == "met":
        yield *about, "", None, "inside"
    elif finding.outcome in ("not met", "waived") and not broken:
        yield *about, "", None, "outside"
    elif finding.outcome == "open" and wanting:
        yield *about, "", None, "missing"
