"""Kernel tree and data -> value, with the derivation kept beside it: which reading, which cell, which limit."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import assert_never

from . import operations as do
from .kernel import (
    Absolute,
    Add,
    Band,
    Both,
    Cell,
    Compare,
    Constant,
    DaysBetween,
    Divide,
    Either,
    Field,
    If,
    Interpolate,
    Lookup,
    Multiply,
    Negate,
    Node,
    NoRule,
    Not,
    Over,
    Parameter,
    Recorded,
    Round,
    Rules,
    Shift,
    Term,
    key_of,
)  # fmt: skip
from .kinds import QuantityKind
from .quantity import Quantity, coherent
from .values import Data, Group, Items, Leaf, Open, Pending, Value


@dataclass(frozen=True, slots=True)
class Step:
    """One node, what it came to, and the steps it was made from."""

    node: Node
    value: Value
    parts: tuple[Step, ...] = ()
    reading: Leaf | None = None
    """For a field: what was recorded, as written, and where."""
    cell: Cell | None = None
    """For a look-up: the cell that was found."""
    between: tuple[tuple[Leaf, Leaf], ...] = ()
    """For an interpolation: the points on both sides, or the one that was met, each by its place and its value."""
    bound: Mapping[str, Data] = field(default_factory=dict, hash=False, compare=False, repr=False)
    """For a comparison: the items that names stood for."""


def steps_below(step: Step, parts: Callable[[Step], tuple[Step, ...]] = lambda step: step.parts) -> Iterator[Step]:
    """``step`` and all that it was made from, each once, a step before its parts.

    A parameter leads to its argument, so that a derivation can be far deeper than its rule is long: no recursion.
    """
    seen: set[int] = set()
    stack = [step]
    while stack:
        at = stack.pop()
        if id(at) not in seen:
            seen.add(id(at))
            yield at
            stack += reversed(parts(at))


@dataclass(frozen=True, slots=True)
class _Place:
    """Where evaluation stands: what names mean here, and the values of terms already worked out."""

    rules: Rules
    record: Group
    bound: Mapping[str, Data]
    parameters: Mapping[str, Step]
    done: dict[tuple[object, ...], Step]


def evaluate(node: Node, rules: Rules, record: Group, bound: Mapping[str, Data] | None = None) -> Step:
    """The derivation of ``node`` on ``record``, with list items bound to their singular names in ``bound``."""
    return _step(node, _Place(rules, record, bound or {}, {}, {}))


def resolve(node: Field, record: Group, bound: Mapping[str, Data]) -> Data | str:
    """The data at a field, or the path at which nothing was recorded."""
    data: Data = record if node.root is None else bound[node.root]
    for i, name in enumerate(node.path):
        below = data.fields.get(name) if isinstance(data, Group) else None
        if below is None:
            return ".".join(filter(None, [data.path, *node.path[i:]]))
        data = below
    if isinstance(data, Group) and not data.fields:
        return data.path
    return data


def _step(node: Node, at: _Place) -> Step:
    match node:
        case Constant(value=value):
            return Step(node, value)
        case NoRule(reason=reason):
            return Step(node, Open(frozenset({reason})))
        case Field():
            data = resolve(node, at.record, at.bound)
            if isinstance(data, Leaf):
                return Step(node, data.value, reading=data)
            if isinstance(data, Pending):
                return Step(node, data.open)
            return Step(node, do.missing(data if isinstance(data, str) else data.path))
        case Recorded(of=of):
            data = resolve(of, at.record, at.bound)
            if isinstance(data, Items) and not data.written:
                return Step(node, do.missing(data.path))
            if isinstance(data, Pending):
                return Step(node, data.open)
            reading = data if isinstance(data, Leaf) else None
            return Step(node, do.missing(data) if isinstance(data, str) else True, reading=reading)
        case Parameter(name=name):
            return Step(node, at.parameters[name].value, (at.parameters[name],))
        case Term():
            return _term(node, at)
        case Lookup(table=table, keys=keys):
            parts = tuple(_step(key, at) for key in keys)
            found = at.rules.tables[table]
            figure = do.looked_up(found, [part.value for part in parts])
            known = [part.value for part in parts if not isinstance(part.value, Open)]
            cell = None if isinstance(figure, Open) else found.cells[tuple(key_of(key) for key in known)]
            return Step(node, figure, parts, cell=cell)
        case Band(table=table, axis=axis, of=of):
            part = _step(of, at)
            bands = at.rules.tables[table].axes[axis].bands
            assert bands is not None
            return Step(node, do.band_of(bands, part.value, table), (part,))
        case Negate(of=of):
            part = _step(of, at)
            return Step(node, do.negate(part.value), (part,))
        case Absolute(of=of):
            part = _step(of, at)
            return Step(node, do.absolute(part.value), (part,))
        case Round(way=way, of=of, step=step, ties=ties):
            part = _step(of, at)
            return Step(node, do.rounded(way, part.value, step, ties), (part,))
        case Not(of=of):
            part = _step(of, at)
            return Step(node, do.negated(part.value), (part,))
        case Add(left=left, right=right):
            a, b = _step(left, at), _step(right, at)
            return Step(node, do.add(a.value, b.value), (a, b))
        case Multiply(left=left, right=right):
            a, b = _step(left, at), _step(right, at)
            return Step(node, do.multiply(a.value, b.value), (a, b))
        case Divide(left=left, right=right):
            a, b = _step(left, at), _step(right, at)
            return Step(node, do.divide(a.value, b.value), (a, b))
        case Shift(date=date, by=by):
            a, b = _step(date, at), _step(by, at)
            return Step(node, do.moved(a.value, b.value, at.rules), (a, b))
        case DaysBetween(left=left, right=right):
            a, b = _step(left, at), _step(right, at)
            return Step(node, do.days(a.value, b.value), (a, b))
        case Compare(left=left, relation=relation, right=right):
            a, b = _step(left, at), _step(right, at)
            return Step(node, do.compare(a.value, relation, b.value), (a, b), bound=at.bound)
        case Both(parts=nodes):
            steps = tuple(_step(part, at) for part in nodes)
            return Step(node, do.all_of([step.value for step in steps]), steps)
        case Either(parts=nodes):
            steps = tuple(_step(part, at) for part in nodes)
            return Step(node, do.any_of([step.value for step in steps]), steps)
        case If():
            return _conditional(node, at)
        case Over():
            return _over(node, at)
        case Interpolate():
            return _interpolate(node, at)
        case _:
            assert_never(node)


def _term(node: Term, at: _Place) -> Step:
    arguments = tuple(_step(argument, at) for argument in node.arguments)
    key = (node.name, *(argument.value for argument in arguments))
    if key not in at.done:
        definition = at.rules.terms[node.name]
        parameters = {name: step for (name, _), step in zip(definition.parameters, arguments, strict=True)}
        # A term reads the record, never the item that its caller happens to speak of.
        body = _step(definition.body, _Place(at.rules, at.record, {}, parameters, at.done))
        at.done[key] = body
    # The body is worked out once; the call itself is this one, with its own place and arguments.
    return Step(node, at.done[key].value, (at.done[key], *arguments))


def _conditional(node: If, at: _Place) -> Step:
    condition = _step(node.condition, at)
    if isinstance(condition.value, Open):
        then, otherwise = _branch(node.then, condition, at), _branch(node.otherwise, condition, at)
        return Step(node, do.chosen(condition.value, then.value, otherwise.value), (condition, then, otherwise))
    branch = _branch(node.then if condition.value else node.otherwise, condition, at)
    return Step(node, branch.value, (condition, branch))


def _branch(node: Node, condition: Step, at: _Place) -> Step:
    """The branch; as it was worked out in the condition, if it is one of the two that were compared there.

    ``largest(a, b)`` shares its parts so, and working them out twice would double the work at every level.
    """
    return next((part for part in condition.parts if part.node is node), None) or _step(node, at)


def _over(node: Over, at: _Place) -> Step:
    data = resolve(node.of, at.record, at.bound)
    if not isinstance(data, Items):
        return Step(node, do.missing(data if isinstance(data, str) else data.path))
    steps = tuple(
        _step(node.body, _Place(at.rules, at.record, {**at.bound, node.singular: item}, at.parameters, at.done))
        for item in data.items
    )
    if node.what == "sum" and not steps and isinstance(node.kind, QuantityKind):
        return Step(node, Quantity(Fraction(0), coherent(node.kind.dimension)))
    return Step(node, do.over(node.what, [step.value for step in steps], data.path), steps)


def _interpolate(node: Interpolate, at: _Place) -> Step:
    where = _step(node.at, at)
    data = resolve(node.points, at.record, at.bound)
    if not isinstance(data, Items):
        found = do.united((where.value, do.missing(data if isinstance(data, str) else data.path)))
        assert found is not None
        return Step(node, found, (where,))
    points = [(_part(item, node.where), _part(item, node.value)) for item in data.items]
    value = do.interpolated(points, where.value, data.path)
    return Step(node, value, (where,), between=_between(data, node, where.value))


def _between(points: Items, node: Interpolate, at: Value) -> tuple[tuple[Leaf, Leaf], ...]:
    """The last point that is not beyond ``at``, and the next one unless that one was met."""
    below: tuple[Leaf, Leaf] | None = None
    for item in points.items:
        place, value = (item.fields.get(name) if isinstance(item, Group) else None for name in (node.where, node.value))
        if not isinstance(place, Leaf) or not isinstance(value, Leaf):
            return ()
        if not isinstance(place.value, Quantity) or not isinstance(at, Quantity):
            return ()
        if place.value.value == at.value:
            return ((place, value),)
        if place.value.value > at.value:
            return () if below is None else (below, (place, value))
        below = (place, value)
    return ()


def _part(item: Data, name: str) -> Value:
    assert isinstance(item, Group)
    found = item.fields.get(name)
    return found.value if isinstance(found, Leaf) else do.missing(item.below(name))
