"""The comparisons that a finding rests on: what was observed, the limit, where each comes from, what is to spare."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from ..editions.edition import Requirement
from ..lang.evaluate import Step, steps_below
from ..lang.kernel import (
    Both,
    Cell,
    Compare,
    Constant,
    Either,
    Field,
    If,
    Interpolate,
    Lookup,
    Node,
    Not,
    Over,
    Recorded,
    Term,
)
from ..lang.kernel import Relation as Sign
from ..lang.kinds import dimension_of
from ..lang.operations import FLIPPED, NEGATED, words
from ..lang.quantity import Quantity
from ..lang.values import Leaf, Open, Plain, Value

Relation = Literal["=", "!=", "<", "<=", ">", ">=", "is one of", "is none of", "recorded", "is covered"]
Held = Literal["met", "not met", "open"]



@dataclass(frozen=True, slots=True)
class FromCell:
    table: str
    cell: Cell


@dataclass(frozen=True, slots=True)
class FromTerm:
    term: str
    value: Plain


@dataclass(frozen=True, slots=True)
class FromRule:
    """A figure written in the rule itself."""

    value: Plain
    written: str


@dataclass(frozen=True, slots=True)
class FromReading:
    reading: Leaf


From = FromCell | FromTerm | FromRule | FromReading


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a comparison. ``value`` is None where it is not known."""

    value: Plain | None
    written: str | None
    """As written in the record or the edition; worked-out values in full."""
    path: str | None = None
    """Where in the record, if one reading is the whole side."""
    origins: tuple[From, ...] = ()
    open: Open | None = None
    """Why it is not known."""
    term: str | None = None
    """The term that gives the whole side."""
    over: tuple[str, str] | None = None
    """What is taken over which list, if that is the whole side: ("count", path)."""
    raw: Leaf | None = None
    """The one reading that the term was given, as it was read: say a dial, where the side is the corrected tension."""


@dataclass(frozen=True, slots=True)
class Comparison:
    observed: Side
    relation: Relation
    limit: Side | None
    outcome: Held
    margin: Quantity | int | None = None
    """What is to spare, in the unit of the limit; whole days between dates. Below nothing: how far over or short."""
    tie: bool = False
    """Exactly at the limit."""
    node: Compare | None = None
    """The rule compared, if it is one; it holds where ``node`` comes to ``wanted``."""
    wanted: bool = True

    @property
    def unknown(self) -> str | None:
        """The path of the one reading that the observed side still lacks."""
        missing = self.observed.open.missing if self.observed.open is not None else ()
        return missing[0] if len(missing) == 1 else None


def comparisons_of(step: Step, requirement: Requirement) -> tuple[Comparison, ...]:
    """The comparisons that ``step``, the derivation of a condition, came down to."""
    if requirement.covers:
        return tuple(_covered(part) for part in (step.parts if isinstance(step.node, Both) else (step,)))
    return conditions_of(step)


def conditions_of(step: Step) -> tuple[Comparison, ...]:
    """The comparisons of a condition that is no requirement, say of an exception."""
    return tuple(_walk(step, True))


def _held(value: Value, positive: bool = True) -> Held:
    if isinstance(value, Open):
        return "open"
    return "met" if value is positive else "not met"


def _covered(step: Step) -> Comparison:
    """Of a covered field: whether its value is one that the edition covers."""
    lookup = step.parts[0].parts[0]
    raw = next(_readings(lookup), None)
    observed = Side(None, None) if raw is None else _of_reading(raw)
    if raw is None and isinstance(lookup.value, Open) and lookup.value.missing:
        observed = Side(None, None, lookup.value.missing[0])
    missing = isinstance(lookup.value, Open) and lookup.value.missing
    held: Held = "met" if step.value is True else "open" if missing else "not met"
    return Comparison(observed, "is covered", None, held)


def _walk(step: Step, positive: bool) -> Iterator[Comparison]:
    match step.node:
        case Compare():
            yield _compared(step, positive)
        case Not():
            yield from _walk(step.parts[0], not positive)
        case Both() | Either():
            yield from _joined(step, positive)
        case Term():
            yield from _walk(step.parts[0], positive)
        case If():
            if not isinstance(step.parts[0].value, Open):
                yield from _walk(step.parts[-1], positive)
        case Over():
            yield from _decisive(step, positive, any_of=(step.node.what == "some") is positive)
        case Recorded(of=of):
            yield _recorded(step, of, positive)
        case Constant():
            return
        case _:
            yield _yes_no(step, positive)


def _joined(step: Step, positive: bool) -> Iterator[Comparison]:
    any_of = isinstance(step.node, Either) is positive
    options = _options(step)
    if options is None:
        yield from _decisive(step, positive, any_of)
        return
    observed = _side(step.parts[0].parts[0])
    origins = tuple(FromRule(option, option) for option in options)
    limit = Side(", ".join(options), " or ".join([", ".join(options[:-1]), *options[-1:]]), origins=origins)
    yield Comparison(observed, "is one of" if positive else "is none of", limit, _held(step.value, positive))


def _options(step: Step) -> tuple[str, ...] | None:
    """The words of an ``is one of``; None for anything else."""
    if not isinstance(step.node, Either):
        return None
    found = []
    for part in step.parts:
        match part.node:
            case Compare(left=left, relation="=", right=Constant(value=str() as word)):
                if left != step.parts[0].parts[0].node:
                    return None
                found.append(word)
            case _:
                return None
    return tuple(found)


def _decisive(step: Step, positive: bool, any_of: bool) -> Iterator[Comparison]:
    """Of alternatives only those that hold, where one does; of things asked together, all."""
    parts = step.parts
    if any_of:
        parts = tuple(part for part in parts if part.value is positive) or parts
    for part in parts:
        yield from _walk(part, positive)


def _compared(step: Step, positive: bool) -> Comparison:
    assert isinstance(step.node, Compare)
    left, right = step.parts
    relation = step.node.relation if positive else NEGATED[step.node.relation]
    if not _observes(left) and _observes(right):
        left, right, relation = right, left, FLIPPED[relation]
    observed, limit = _side(left), _side(right)
    if limit.raw is not None:
        limit = replace(limit, raw=None, path=None)
    limit = _in_unit_of(observed, limit)
    held = _held(step.value, positive)
    margin, tie = _margin(observed.value, relation, limit.value)
    return Comparison(observed, relation, limit, held, margin, tie, step.node, positive)


def _in_unit_of(observed: Side, limit: Side) -> Side:
    """A limit that was worked out in a unit that nobody wrote is shown in that of the reading."""
    value, unit = limit.value, observed.value.unit if isinstance(observed.value, Quantity) else None
    if unit is None or not isinstance(value, Quantity) or value.unit.dimension != unit.dimension or value.unit == unit:
        return limit
    written = {given.unit for given in map(_figure, limit.origins) if isinstance(given, Quantity)}
    if limit.path is not None or value.unit in written:
        return limit
    shown = Quantity(value.value, unit)
    return replace(limit, value=shown, written=words(shown))


def _figure(origin: From) -> Plain:
    match origin:
        case FromCell(cell=cell):
            return cell.value
        case FromTerm() | FromRule():
            return origin.value
        case FromReading(reading=reading):
            return reading.value


def _margin(observed: Plain | None, relation: Sign, limit: Plain | None) -> tuple[Quantity | int | None, bool]:
    if relation in ("=", "!="):
        return None, False
    sign = 1 if relation in ("<", "<=") else -1
    if isinstance(observed, Quantity) and isinstance(limit, Quantity):
        # A difference of temperatures is not a temperature: it has no place on the scale.
        if limit.unit.offset or observed.unit.offset:
            return None, observed == limit
        return Quantity(sign * (limit.value - observed.value), limit.unit), observed == limit
    if isinstance(observed, datetime.date) and isinstance(limit, datetime.date):
        return sign * (limit - observed).days, observed == limit
    return None, False


def _yes_no(step: Step, positive: bool) -> Comparison:
    limit = Side(positive, words(positive), origins=(FromRule(positive, words(positive)),))
    return Comparison(_side(step), "=", limit, _held(step.value, positive))


def _recorded(step: Step, of: Field, positive: bool) -> Comparison:
    held = _held(step.value, positive)
    if step.reading is not None:
        return Comparison(_of_reading(step.reading), "recorded", None, held)
    path = step.value.missing[0] if isinstance(step.value, Open) and step.value.missing else ".".join(of.path)
    return Comparison(Side(None, None, path), "recorded", None, held)


# Sides


def _side(step: Step) -> Side:
    if step.reading is not None:
        return _of_reading(step.reading)
    cover = _is_cover(step.node)
    origins = () if cover else tuple(dict.fromkeys(origins_of(step)))
    if isinstance(step.node, Over) and step.node.of.root is None:
        over = (step.node.what, ".".join(step.node.of.path))
        if isinstance(step.value, Open):
            return Side(None, None, None, origins, step.value, over=over)
        return Side(step.value, words(step.value), None, origins, over=over)
    if isinstance(step.node, Term) and not cover:
        return _of_term(step, step.node, origins)
    if isinstance(step.value, Open):
        alone = isinstance(step.node, Field) or cover
        path = step.value.missing[0] if alone and len(step.value.missing) == 1 else None
        return Side(None, None, path, origins, step.value)
    raw = next(_readings(step.parts[0]), None) if cover else None
    return Side(step.value, words(step.value), None if raw is None else raw.path, origins)


def _of_term(step: Step, term: Term, origins: tuple[From, ...]) -> Side:
    """A side that a term gives. If the term was given one reading, the side is that reading, seen through it."""
    given = step.parts[1] if len(step.parts) == 2 and isinstance(step.parts[1].node, Field) else None
    if given is not None and dimension_of(given.node.kind) != dimension_of(term.kind):
        given = None
    raw = None if given is None else given.reading
    path = None if raw is None else raw.path
    if given is not None and isinstance(given.value, Open):
        path = given.value.missing[0] if given.value.missing else None
    if isinstance(step.value, Open):
        return Side(None, None, path, origins, step.value, term.name, raw=raw)
    return Side(step.value, words(step.value), path, origins, None, term.name, raw=raw)


def _of_reading(reading: Leaf) -> Side:
    written = words(reading.value) if isinstance(reading.value, bool) else reading.written
    return Side(reading.value, written, reading.path)


def _is_cover(node: Node) -> bool:
    """No name of an edition has a space; the engine's own terms, which read covered fields, do."""
    return isinstance(node, Term) and " " in node.name


def origins_of(step: Step) -> Iterator[From]:
    """Where a value comes from: terms, cells, figures of the rule and readings, the nearest first."""
    for at in steps_below(step, _worked_out):
        match at.node:
            case Lookup(table=table):
                if at.cell is not None:
                    yield FromCell(table, at.cell)
            case Term(name=name) if not _is_cover(at.node):
                if not isinstance(at.value, Open):
                    yield FromTerm(name, at.value)
            case Constant(value=value, span=span):
                yield FromRule(value, words(value) if span is None else span.text)
            case Field():
                if at.reading is not None:
                    yield FromReading(at.reading)
            case Interpolate():
                yield from (FromReading(reading) for point in at.between for reading in point)


def _worked_out(step: Step) -> tuple[Step, ...]:
    """What a value was made from: not the keys that a row was found by, nor the condition of a branch."""
    if isinstance(step.node, Lookup):
        return ()
    if isinstance(step.node, If) and not isinstance(step.parts[0].value, Open):
        return step.parts[-1:]
    return step.parts


def _observes(step: Step) -> bool:
    """Whether a side reads the record, other than to find a row of a table."""
    return any(isinstance(at.node, Field | Over) or _is_cover(at.node) for at in steps_below(step, _worked_out))


def _readings(step: Step) -> Iterator[Leaf]:
    yield from (at.reading for at in steps_below(step) if at.reading is not None)
