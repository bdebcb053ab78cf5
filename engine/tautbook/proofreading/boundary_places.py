"""The comparisons of a reading with its limit that a judged record comes to, and where each stands: at the limit, a
step to either side, or without the reading."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Literal

from ..explaining.comparisons import Comparison, FromCell, FromReading, Side, comparisons_of
from ..judging.findings import Finding
from ..judging.verdict import Verdict
from ..lang import operations as do
from ..lang.evaluate import evaluate
from ..lang.quantity import Quantity
from ..lang.values import Data, Group, Items, Leaf, Open, Plain, data_at
from .boundary_rules import CellKey, Study
from .boundary_steps import shifted, step_of

What = Literal["at", "inside", "outside", "missing"]
Key = tuple[str, str, str, CellKey | None, What]
"""Procedure, requirement, rule, cell, what."""


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

    @property
    def about(self) -> tuple[str, str, str]:
        """Procedure, requirement, rule."""
        return self.verdict.procedure.id, self.finding.id, self.rule

    @property
    def alike(self) -> object:
        """The same for all places with the same dial and limit, unless a certificate lies between."""
        limit, reading = self.comparison.limit, self.reading
        step = None if reading is None else step_of(reading, self.verdict)
        value = None if limit is None else limit.value
        return step, value, id(self.verdict) if self.comparison.observed.raw is not None else None


@dataclass(frozen=True, slots=True)
class Looked:
    """A finding that counts, and the comparisons in it that have boundaries."""

    verdict: Verdict
    finding: Finding
    all: tuple[Place, ...]

    @property
    def places(self) -> tuple[Place, ...]:
        """Those of a reading that was made."""
        return tuple(each for each in self.all if each.comparison.observed.value is not None)


def looked_at(verdict: Verdict, rules: Study) -> tuple[Looked, ...]:
    return tuple(
        Looked(verdict, each, tuple(_places(each, verdict, rules))) for each in verdict.findings if _counts(each)
    )


def _counts(finding: Finding) -> bool:
    """Whether the requirement has boundaries, applies, and no exception holds."""
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


def _cells(comparison: Comparison) -> tuple[CellKey, ...]:
    origins = () if comparison.limit is None else comparison.limit.origins
    return tuple(CellKey(each.table, each.cell.keys) for each in origins if isinstance(each, FromCell))


def missing_alone(comparison: Comparison) -> tuple[str, ...]:
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
        return "missing" if place.finding.outcome == "open" and missing_alone(place.comparison) else None
    found = Now(place.comparison.outcome, side.value == limit.value)
    if side.over is not None:
        assert isinstance(side.value, Quantity)
        unit, count = side.value.unit, side.value.value
        return _standing(found, (_directly(place, Quantity(count + by, unit)) for by in (-1, 1)))
    reading = place.reading
    return None if reading is None else _standing(found, Tried(place, reading).neighbours(reading.value))


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
class Tried:
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
            moved = None if step is None else shifted(value, step, by)
            yield None if moved is None else self.now(moved)

    def stands(self, value: Plain, what: What) -> bool:
        found = self.now(value)
        if found is None or found.tie is not (what == "at"):
            return False
        if not found.tie and found.outcome != ("met" if what == "inside" else "not met"):
            return False
        return _standing(found, self.neighbours(value)) == what

    def stepped_over(self, value: Plain) -> bool:
        """Whether the limit lies between this mark and the next to it. As a reading rises, so does what a rule makes of
        it, and no other mark can be at the limit then."""
        found = self.now(value)
        if found is None or found.tie or found.outcome == "open":
            return False
        around = [each for each in self.neighbours(value) if each is not None and each.outcome != "open"]
        return not any(each.tie for each in around) and any(each.outcome != found.outcome for each in around)


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
    bound = item_of(finding, group)
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


def item_of(finding: Finding, group: Group) -> dict[str, Data]:
    """The item of a record that a finding speaks of, by the name that the requirement has for it."""
    requirement = finding.requirement
    if requirement.singular is None or requirement.each is None:
        return {}
    listed = data_at(group, requirement.each)
    items = listed.items if isinstance(listed, Items) else ()
    found = next((item for item in items if item.path == finding.item), None)
    return {} if found is None else {requirement.singular: found}


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
        case Group(fields=fields) if leads(data.path, leaf.path):
            return replace(data, fields={name: with_reading(below, leaf) for name, below in fields.items()})
        case Items(items=items) if leads(data.path, leaf.path):
            return replace(data, items=tuple(with_reading(item, leaf) for item in items))
        case _:
            return data


def leads(path: str, to: str) -> bool:
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
