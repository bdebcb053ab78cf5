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

import datetime
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Literal

from ..editions.edition import Edition, Procedure
from ..explaining.comparisons import Comparison, FromCell, FromReading, Side, comparisons_of
from ..judging.findings import Finding
from ..judging.verdict import Verdict, judge_record
from ..lang import operations as do
from ..lang.evaluate import evaluate
from ..lang.kernel import Rules
from ..lang.quantity import Quantity
from ..lang.values import Data, Group, Items, Leaf, Open, Plain, data_at
from ..records.derived import sense
from ..records.record import Record
from ..shape.vocabulary import FieldInfo, Vocabulary, vocabulary
from .boundary_rules import CellKey, Watch, Watched, rule_text, watched

What = Literal["at", "inside", "outside", "missing"]
Key = tuple[str, str, str, CellKey | None, What]
"""Procedure, requirement, rule, cell, what."""

_NEAR = 12
"""So many marks around the limit are looked through where the rule corrects the reading first."""


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
class Study:
    """The rules of an edition, looked through once."""

    watches: Mapping[tuple[str, str], Watch]
    """By procedure and requirement, of those that have boundaries."""
    texts: dict[tuple[int, bool], str]
    """The comparisons that were met so far, as text; by identity, since the edition keeps them."""

    def rule(self, comparison: Comparison) -> str:
        assert comparison.node is not None
        key = (id(comparison.node), comparison.wanted)
        if key not in self.texts:
            self.texts[key] = rule_text(comparison.node, comparison.wanted)
        return self.texts[key]


def study(edition: Edition) -> Study:
    watches = {
        (procedure.id, each.id): watched(each, procedure)
        for procedure in edition.procedures.values()
        for each in procedure.requirements
        if each.kind != "advice" and each.require is not None and not each.covers
    }
    return Study(watches, {})


@dataclass(frozen=True, slots=True)
class Coverage:
    boundaries: tuple[Boundary, ...]
    """In the order of the edition: each comparison, then each cell of it."""
    share: Fraction
    """Of the boundaries that a record can show, those that one does; 1 where there are none."""
    judged: tuple[Verdict, ...] = field(default=(), repr=False, compare=False)
    study: Study | None = field(default=None, repr=False, compare=False)

    @property
    def uncovered(self) -> tuple[Boundary, ...]:
        return tuple(each for each in self.boundaries if each.covered_by is None and each.never is None)


@dataclass(frozen=True, slots=True)
class Place:
    """One comparison of a reading with its limit, in one finding on a record."""

    rule: str
    verdict: Verdict
    finding: Finding
    comparison: Comparison
    plain: bool
    """Whether the comparison can be worked out by itself: it stands in no term that is given something, and in no list
    but the one that the requirement speaks of."""

    @property
    def reading(self) -> Leaf | None:
        return _reading(self.comparison.observed)

    @property
    def cells(self) -> tuple[CellKey, ...]:
        return _cells(self.comparison)


def boundaries(edition: Edition, records: Iterable[Record]) -> Coverage:
    """The coverage of ``edition`` by worked ``records``; those of procedures that it has no rules for, and those that
    cannot be judged, show nothing."""
    verdicts = [judge_record(each, edition)[0] for each in records if each.procedure in edition.procedures]
    judged = tuple(each for each in verdicts if each is not None)
    rules = study(edition)
    shown: dict[Key, str] = {}
    places: dict[tuple[str, str, str], list[Place]] = {}
    for verdict in judged:
        for key in shown_by(verdict, rules):
            shown.setdefault(key, verdict.record.id)
        for place in places_of(verdict, rules):
            places.setdefault(_about(place), []).append(place)
    found = tuple(
        _boundary(key, shown, places.get(key[:3], []))
        for procedure in edition.procedures.values()
        for key in _asked(procedure, rules)
    )
    counted = [each for each in found if each.never is None]
    covered = sum(each.covered_by is not None for each in counted)
    return Coverage(found, Fraction(covered, len(counted)) if counted else Fraction(1), judged, rules)


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


def _boundary(key: Key, shown: Mapping[Key, str], places: list[Place]) -> Boundary:
    procedure, requirement, rule, cell, what = key
    by, never = shown.get(key), None
    if by is None and rule and what != "missing":
        never = _never(what, [each for each in places if cell is None or cell in each.cells])
    return Boundary(requirement, procedure, cell, what, by, rule, never)


def _never(what: What, places: list[Place]) -> str | None:
    """Why no reading in any of these places can show it; None if one can, or there is none to tell by."""
    whys: list[str] = []
    tried: set[object] = set()
    for place in places:
        reading, limit = place.reading, place.comparison.limit
        if reading is None:
            continue
        step = step_of(reading, place.verdict)
        # One place stands for all with the same dial and limit, unless a certificate lies between.
        value = None if limit is None else limit.value
        same = (step, value, id(place.verdict) if place.comparison.observed.raw is not None else None)
        if same in tried:
            continue
        tried.add(same)
        mark = mark_for(place, what)
        if not isinstance(mark, str):
            return None
        whys.append(mark)
    return whys[0] if whys else None


# What a judged record shows


def shown_by(verdict: Verdict, rules: Study) -> Iterator[Key]:
    """The boundaries that a record shows, by its own findings."""
    for finding in verdict.findings:
        if not _counts(finding):
            continue
        about = (verdict.procedure.id, finding.id)
        broken, wanting = False, set(finding.missing)
        for place in _places(finding, verdict, rules):
            what = what_is(place)
            broken = broken or place.comparison.outcome == "not met"
            wanting -= set(_missing(place.comparison))
            if what is not None:
                for cell in (None, *place.cells):
                    yield *about, place.rule, cell, what
        if finding.outcome == "met":
            yield *about, "", None, "inside"
        elif finding.outcome in ("not met", "waived") and not broken:
            yield *about, "", None, "outside"
        elif finding.outcome == "open" and wanting:
            yield *about, "", None, "missing"


def places_of(verdict: Verdict, rules: Study) -> Iterator[Place]:
    """The comparisons of a reading that was made, where they count."""
    for finding in verdict.findings:
        if _counts(finding):
            yield from (each for each in _places(finding, verdict, rules) if each.comparison.observed.value is not None)


def _counts(finding: Finding) -> bool:
    requirement = finding.requirement
    if requirement.kind == "advice" or requirement.covers or finding.require is None:
        return False
    applies = finding.applies is None or finding.applies.value is True
    return applies and not any(step.value is True for step in finding.exceptions)


def _places(finding: Finding, verdict: Verdict, rules: Study) -> Iterator[Place]:
    assert finding.require is not None
    watch = rules.watches[verdict.procedure.id, finding.id]
    known = {each.rule for each in watch.comparisons}
    for comparison in comparisons_of(finding.require, finding.requirement):
        if comparison.node is not None and rules.rule(comparison) in known:
            yield Place(rules.rule(comparison), verdict, finding, comparison, id(comparison.node) in watch.plain)


def _about(place: Place) -> tuple[str, str, str]:
    return place.verdict.procedure.id, place.finding.id, place.rule


def _cells(comparison: Comparison) -> tuple[CellKey, ...]:
    origins = () if comparison.limit is None else comparison.limit.origins
    return tuple(CellKey(each.table, each.cell.keys) for each in origins if isinstance(each, FromCell))


def _missing(comparison: Comparison) -> tuple[str, ...]:
    """The reading that is wanting, if it alone is."""
    side = comparison.observed
    missing = side.open.missing if side.open is not None and side.raw is None else ()
    return missing if len(missing) == 1 and side.path in (None, *missing) else ()


def what_is(place: Place) -> What | None:
    """Where a comparison stands; None if it is farther off than a step."""
    side, limit = place.comparison.observed, place.comparison.limit
    if limit is None or limit.value is None:
        return None
    if side.value is None:
        return "missing" if place.finding.outcome == "open" and _missing(place.comparison) else None
    found = Now(place.comparison.outcome, side.value == limit.value)
    if side.over is not None:
        assert isinstance(side.value, Quantity)
        unit, count = side.value.unit, side.value.value
        return _standing(found, (_directly(place, Quantity(count + by, unit)) for by in (-1, 1)))
    reading = place.reading
    return None if reading is None else _standing(found, _Tried(place, reading).neighbours(reading.value))


@dataclass(frozen=True, slots=True)
class Now:
    """How a comparison comes out with some reading."""

    outcome: Literal["met", "not met", "open"]
    tie: bool


def _standing(found: Now | None, neighbours: Iterable[Now | None]) -> What | None:
    if found is None or found.outcome == "open":
        return None
    if found.tie:
        return "at"
    for moved in neighbours:
        if moved is not None and moved.outcome != "open" and (moved.outcome != found.outcome or moved.tie):
            return "inside" if found.outcome == "met" else "outside"
    return None


@dataclass(frozen=True, slots=True)
class _Tried:
    """The comparison with other readings, each worked out once."""

    place: Place
    reading: Leaf
    done: dict[Plain, Now | None] = field(default_factory=dict)

    def now(self, value: Plain) -> Now | None:
        if value not in self.done:
            self.done[value] = _now(self.place, self.reading, value)
        return self.done[value]

    def neighbours(self, value: Plain) -> Iterator[Now | None]:
        """With the reading a step less and a step more than ``value``."""
        step = step_of(self.reading, self.place.verdict)
        for by in (-1, 1):
            moved = None if step is None else _shifted(value, step, by)
            yield None if moved is None else self.now(moved)

    def stands(self, value: Plain, what: What) -> bool:
        found = self.now(value)
        if found is None or found.tie is not (what == "at"):
            return False
        if not found.tie and found.outcome != ("met" if what == "inside" else "not met"):
            return False
        return _standing(found, self.neighbours(value)) == what


def _now(place: Place, reading: Leaf, value: Plain) -> Now | None:
    """How the comparison comes out where its reading is ``value``."""
    side = place.comparison.observed
    if side.raw is None and side.term is None and side.value == reading.value:
        return _directly(place, value)
    verdict, finding = place.verdict, place.finding
    requirement, node = finding.requirement, place.comparison.node
    leaf = Leaf(reading.path, value, reading.written)
    group = with_reading(verdict.observed.group, leaf)
    assert isinstance(group, Group) and requirement.require is not None and node is not None
    bound: dict[str, Data] = {}
    if requirement.singular is not None and requirement.each is not None:
        listed = data_at(group, requirement.each)
        items = listed.items if isinstance(listed, Items) else ()
        bound.update((requirement.singular, item) for item in items if item.path == finding.item)
    if place.plain:
        step = evaluate(node, verdict.procedure.rules, group, bound)
        held: Literal["met", "not met"] = "met" if step.value is place.comparison.wanted else "not met"
        left, right = (part.value for part in step.parts)
        return Now("open" if isinstance(step.value, Open) else held, left == right)
    step = evaluate(requirement.require, verdict.procedure.rules, group, bound)
    for found in comparisons_of(step, requirement):
        again = _reading(found.observed)
        same = found.node is node and found.wanted is place.comparison.wanted
        if same and again is not None and again.path == leaf.path and found.limit is not None:
            return Now(found.outcome, found.observed.value == found.limit.value)
    return None


def _directly(place: Place, value: Plain) -> Now:
    limit, relation = place.comparison.limit, place.comparison.relation
    assert limit is not None and limit.value is not None
    assert relation in ("=", "!=", "<", "<=", ">", ">=")
    held = do.compare(value, relation, limit.value)
    return Now("met" if held is True else "not met", value == limit.value)


def with_reading(data: Data, leaf: Leaf) -> Data:
    """``data`` with another value where ``leaf`` stands."""
    match data:
        case Leaf(path=path) if path == leaf.path:
            return leaf
        case Group(fields=fields) if _leads(data.path, leaf.path):
            return replace(data, fields={name: with_reading(below, leaf) for name, below in fields.items()})
        case Items(items=items) if _leads(data.path, leaf.path):
            return replace(data, items=tuple(with_reading(item, leaf) for item in items))
        case _:
            return data


def _leads(path: str, to: str) -> bool:
    return not path or to.startswith((f"{path}.", f"{path}["))


def _reading(side: Side) -> Leaf | None:
    """The one reading that a side comes from."""
    if side.raw is not None:
        return side.raw
    if side.value is None:
        return None
    if side.path is not None:
        return Leaf(side.path, side.value, side.written or "")
    readings = {each.reading for each in side.origins if isinstance(each, FromReading)}
    return readings.pop() if len(readings) == 1 else None


# Steps and marks


def step_of(reading: Leaf, verdict: Verdict) -> Fraction | None:
    """The step in which it is read, in base units; of a date in days."""
    if isinstance(reading.value, datetime.date):
        return Fraction(1)
    info, prefix = field_info(reading.path, verdict.record.words)
    if info is None or not isinstance(reading.value, Quantity):
        return None
    if info.read_in is not None:
        dial = data_at(verdict.observed.group, prefix + info.read_in)
        if isinstance(dial, Leaf) and isinstance(dial.value, Quantity) and dial.value.value > 0:
            return dial.value.value
    unit = reading.value.unit
    step = info.resolution.get(unit.name)
    return None if step is None else step * unit.scale


def field_info(path: str, words: Vocabulary) -> tuple[FieldInfo | None, str]:
    """What is said of the field at a path of a record, or of one that it rests on; and where that one stands."""
    names = [name.partition("[")[0] for name in path.split(".")]
    prefix = ""
    while names[0] == "evidence" and len(names) > 2:
        slot = words.fields.get(f"evidence.{names[1]}")
        other = None if slot is None or slot.procedure is None else vocabulary(slot.procedure)
        if other is None:
            return None, prefix
        prefix, names, words = f"{prefix}evidence.{names[1]}.", names[2:], other
    return words.fields.get(".".join(names)), prefix


def _shifted(value: Plain, step: Fraction, by: int) -> Plain | None:
    if isinstance(value, Quantity):
        return Quantity(value.value + by * step, value.unit)
    if isinstance(value, datetime.date):
        return _day(value, by)
    return None


def _day(date: datetime.date, by: int) -> datetime.date | None:
    try:
        return date + datetime.timedelta(days=by)
    except OverflowError:
        return None


def mark_for(place: Place, what: What) -> Plain | str:
    """The reading, on the marks of its dial, that stands so; or why there is none."""
    reading = place.reading
    step = None if reading is None else step_of(reading, place.verdict)
    limit = place.comparison.limit
    if reading is None or step is None or limit is None or limit.value is None:
        return "it is not one reading with a step"
    beyond: str | None = None
    fault: str | None = None
    tried = _Tried(place, reading)
    for value in _candidates(place, reading, step):
        if not _in_range(reading.path, value, place.verdict):
            beyond = beyond or f"`{field_name(reading.path)}` never is {do.words(value)}"
        elif tried.stands(value, what):
            fault = impossible(place.verdict, Leaf(reading.path, value, do.words(value)))
            if fault is None:
                return value
    if what == "at":
        return fault or "no mark of the reading is exactly there"
    return fault or beyond or "no reading is one step from there"


def field_name(path: str) -> str:
    return ".".join(name.partition("[")[0] for name in path.split("."))


def _candidates(place: Place, reading: Leaf, step: Fraction) -> Iterator[Plain]:
    """Marks near the limit, the nearest first."""
    limit = place.comparison.limit
    assert limit is not None
    if isinstance(reading.value, datetime.date):
        assert isinstance(limit.value, datetime.date)
        yield from (date for by in (0, -1, 1) if (date := _day(limit.value, by)) is not None)
        return
    observed = place.comparison.observed.value
    assert isinstance(reading.value, Quantity) and isinstance(limit.value, Quantity) and isinstance(observed, Quantity)
    through = reading.value != observed or place.comparison.observed.term is not None
    about = limit.value.value + (reading.value.value - observed.value if through else 0)
    first = (about - reading.value.unit.offset) / step
    reach = _NEAR if through else 2
    numbers = sorted(range(first.__floor__() - reach, first.__floor__() + reach + 2), key=lambda n: abs(n - first))
    for number in numbers:
        yield Quantity(number * step + reading.value.unit.offset, reading.value.unit)


def _in_range(path: str, value: Plain, verdict: Verdict) -> bool:
    info, _ = field_info(path, verdict.record.words)
    if info is None or info.range is None or not isinstance(value, Quantity):
        return True
    low, high = info.range
    return low.value <= value.value <= high.value


def impossible(verdict: Verdict, leaf: Leaf) -> str | None:
    """What no real test can show, if the record had this reading."""
    group = with_reading(verdict.observed.group, leaf)
    assert isinstance(group, Group)
    for rule in sense(verdict.record.procedure).impossible:
        listed = group if rule.sound.each is None else group.fields.get(rule.sound.each)
        places: tuple[Data, ...] = listed.items if isinstance(listed, Items) else (group,)
        for place in places:
            bound = {} if rule.singular is None else {rule.singular: place}
            if rule.singular is not None and not isinstance(listed, Items):
                continue
            if evaluate(rule.require, _NO_RULES, group, bound).value is False:
                return f"no real test shows it: {rule.sound.message}"
    return None


_NO_RULES = Rules({}, {})
