"""Checking functions: ``abs``, ``recorded``, ``interpolate``, and those that run over a list or pick one of two."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal, cast

from .check_amounts import amount
from .kernel import Absolute, Compare, Field, If, Interpolate, Node, Over, Recorded, Relation
from .kinds import GroupKind, Kind, ListKind, NumberKind, YesNoKind, common, dimension_of, named
from .surface import Expression, Function, Name

if TYPE_CHECKING:
    from .check import Checker

_Over = Literal["count", "every", "some", "smallest", "largest", "sum", "mean"]


def function(checker: Checker, e: Function) -> Node | None:
    """The node of a function with its arguments; None where there is a problem."""
    count = 1 if e.name in {"abs", "recorded"} else 2
    if len(e.arguments) != count:
        takes = f"{count} argument{'s' * (count > 1)}"
        checker.add("arguments", f"`{e.name}` takes {takes}, {len(e.arguments)} given", e.span)
        return None
    if e.name == "abs":
        of = amount(checker, e.arguments[0], "abs")
        return None if of is None else Absolute(of, kind=of.kind, span=e.span)
    if e.name == "recorded":
        return recorded(checker, e)
    items = listed(checker, e.arguments[0])
    if e.name == "interpolate":
        return interpolate(checker, e, items)
    if items is not None:
        return over(checker, e, items)
    if e.name in {"smallest", "largest"}:
        return pick(checker, e)
    if checker.node(e.arguments[0]) is not None:
        checker.add("kind", f"`{e.name}` takes a list first", e.arguments[0].span)
    return None


def listed(checker: Checker, e: Expression) -> Field | None:
    """The list that a name stands for; None (and no problem) for anything else."""
    if not isinstance(e, Name):
        return None
    node = checker.within(checker.scope).name(e)
    return node if isinstance(node, Field) and isinstance(node.kind, ListKind) else None


def recorded(checker: Checker, e: Function) -> Node | None:
    of = e.arguments[0]
    node = checker.within(replace(checker.scope, instead={})).name(of) if isinstance(of, Name) else None
    if not isinstance(node, Field):
        if isinstance(of, Name) and checker.name(of) is None:
            return None
        checker.add("kind", "`recorded` takes a field of the record", of.span)
        return None
    return Recorded(node, kind=YesNoKind(), span=e.span)


def interpolate(checker: Checker, e: Function, points: Field | None) -> Node | None:
    kind = points.kind if points is not None else None
    if points is None or not isinstance(kind, ListKind) or kind.points is None:
        if not isinstance(e.arguments[0], Name) or checker.name(e.arguments[0]) is not None:
            checker.add("kind", "`interpolate` takes a list of points first", e.arguments[0].span)
        return None
    at = amount(checker, e.arguments[1], "interpolate")
    if at is None:
        return None
    assert isinstance(kind.item, GroupKind)
    where, value = kind.points
    if dimension_of(at.kind) != dimension_of(kind.item.fields[where]):
        message = f"the points stand at {named(kind.item.fields[where])}, this is {named(at.kind)}"
        checker.add("dimension", message, e.arguments[1].span)
        return None
    return Interpolate(points, where, value, at, kind=kind.item.fields[value], span=e.span)


def over(checker: Checker, e: Function, items: Field) -> Node | None:
    kind = items.kind
    assert isinstance(kind, ListKind)
    inner = checker.within(replace(checker.scope, bound={**checker.scope.bound, kind.singular: kind.item}))
    if e.name in {"count", "every", "some"}:
        body = inner.condition(e.arguments[1], e.name)
        result: Kind = NumberKind(whole=True) if e.name == "count" else YesNoKind()
    else:
        plain = e.name in {"smallest", "largest"}
        body = inner.node(e.arguments[1]) if plain else amount(inner, e.arguments[1], e.name)
        if body is not None and dimension_of(body.kind) is None:
            message = f"`{e.name}` takes numbers and quantities, this is {named(body.kind)}"
            inner.add("kind", message, e.arguments[1].span)
            body = None
        result = NumberKind() if body is None else body.kind
        if e.name == "mean" and isinstance(result, NumberKind):
            result = NumberKind()
    checker.problems += inner.problems
    if body is None:
        return None
    return Over(cast(_Over, e.name), items, kind.singular, body, kind=result, span=e.span)


def pick(checker: Checker, e: Function) -> Node | None:
    """``largest(a, b)`` is ``if a >= b then a else b``."""
    a, b = checker.node(e.arguments[0]), checker.node(e.arguments[1])
    if a is None or b is None:
        return None
    dimensions = dimension_of(a.kind), dimension_of(b.kind)
    if None in dimensions:
        wrong, at = (a, e.arguments[0]) if dimensions[0] is None else (b, e.arguments[1])
        message = f"`{e.name}` takes a list first, or two numbers or quantities; this is {named(wrong.kind)}"
        checker.add("kind", message, at.span)
        return None
    kind = common(a.kind, b.kind)
    if kind is None:
        checker.add("dimension", f"{named(a.kind)} and {named(b.kind)} cannot be compared", e.span)
        return None
    relation: Relation = ">=" if e.name == "largest" else "<="
    return If(Compare(a, relation, b, kind=YesNoKind(), span=e.span), a, b, kind=kind, span=e.span)
