"""Kernel tree -> surface tree: a rule that was reduced or folded, as people write one.

The way back for expressions: reading what ``print_kernel`` gives and checking it makes the same kernel tree, as long
as the tree holds no ``NoRule`` and only figures that can be written (not the spelled units of products, nor
temperatures below zero, nor texts with a quotation mark in them). A figure below zero comes back as the negative of
one, an endless fraction without a unit as a division.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import assert_never

from .kernel import (
    Absolute,
    Add,
    Band,
    Both,
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
    Shift,
    Term,
)  # fmt: skip
from .kinds import NumberKind, QuantityKind
from .printing import print_expression
from .quantity import TEMPERATURE, Quantity
from .source import Source, Span
from .surface import (
    Arithmetic,
    Call,
    Cell,
    Comparison,
    Conditional,
    Expression,
    Function,
    Given,
    Junction,
    Name,
    Negation,
    Negative,
    Rounding,
    Sign,
)  # fmt: skip
from .values import Plain

_NOWHERE = Span(Source("", ""), 0, 0)


def print_kernel(node: Node) -> str:
    """The canonical text of a kernel tree, say ``force >= 28 kip``."""
    return print_expression(surface_of(node))


def surface_of(node: Node) -> Expression:
    """The surface tree, with no place in any text.

    An ``and`` of two comparisons stays one even if it was written as a chain. ``if a >= b then a else b`` is
    ``largest(a, b)`` where both ``a`` are one node, as the checker makes it. ``NoRule`` has no form in the language;
    it becomes a name spelled ``no rule``, which prints so and cannot be read back.
    """
    at = _NOWHERE
    match node:
        case Constant(value=value):
            return _given(value)
        case NoRule():
            return Name(("no rule",), span=at)
        case Field(root=root, path=path):
            return Name(path if root is None else (root, *path), span=at)
        case Term(name=name, arguments=()) if " " in name:
            # No name of an edition has a space: this is a field that is read through a term of the engine.
            return Name((name.rpartition(" ")[2],), span=at)
        case Parameter(name=name) | Term(name=name, arguments=()):
            return Name((name,), span=at)
        case Term(name=name, arguments=arguments):
            return Call(name, tuple(map(surface_of, arguments)), span=at)
        case Lookup(table=table, keys=keys):
            return Cell(table, tuple(map(surface_of, keys)), span=at)
        case Band(of=of):
            return surface_of(of)
        case Negate(of=of):
            return Negative(surface_of(of), span=at)
        case Add(left=left, right=Negate(of=of)):
            return _arithmetic(left, "-", of)
        case Add(left=left, right=right):
            return _arithmetic(left, "+", right)
        case Multiply(left=left, right=right):
            return _arithmetic(left, "*", right)
        case Divide(left=left, right=right):
            return _arithmetic(left, "/", right)
        case Shift(date=date, by=by):
            return _arithmetic(date, "+", by)
        case DaysBetween(left=left, right=right):
            return _arithmetic(left, "-", right)
        case Absolute(of=of):
            return Function("abs", (surface_of(of),), span=at)
        case Round(way=way, of=of, step=step, ties=ties):
            return Rounding(way, surface_of(of), _given(step), ties, span=at)
        case Compare(left=left, relation=relation, right=right):
            return Comparison(surface_of(left), ((relation, surface_of(right)),), span=at)
        case Not(of=of):
            return Negation(surface_of(of), span=at)
        case Both(parts=parts):
            return Junction("and", tuple(map(surface_of, parts)), span=at)
        case Either(parts=parts):
            return Junction("or", tuple(map(surface_of, parts)), span=at)
        case If():
            return _conditional(node)
        case Over(what=what, of=field, body=body):
            return Function(what, (surface_of(field), surface_of(body)), span=at)
        case Interpolate(points=points, at=where):
            return Function("interpolate", (surface_of(points), surface_of(where)), span=at)
        case Recorded(of=field):
            return Function("recorded", (surface_of(field),), span=at)
        case _:
            assert_never(node)


def _given(value: Plain) -> Expression:
    """A literal. There are none below zero: those are the negative of one."""
    if isinstance(value, Quantity) and value.value < 0 and value.dimension != TEMPERATURE:
        positive = replace(value, value=Fraction(-value.value))
        return Negative(Given(positive, span=_NOWHERE), span=_NOWHERE)
    return Given(value, span=_NOWHERE)


def _arithmetic(left: Node, sign: Sign, right: Node) -> Expression:
    return Arithmetic(surface_of(left), sign, surface_of(right), span=_NOWHERE)


def _conditional(node: If) -> Expression:
    """``largest`` and ``smallest`` by the identity of their parts: comparing two trees could take very long."""
    match node.condition:
        case Compare(left=left, relation=">=" | "<=" as relation, right=right) if (
            left is node.then and right is node.otherwise and isinstance(left.kind, NumberKind | QuantityKind)
        ):
            word = "largest" if relation == ">=" else "smallest"
            return Function(word, (surface_of(left), surface_of(right)), span=_NOWHERE)
    parts = (surface_of(part) for part in (node.condition, node.then, node.otherwise))
    return Conditional(*parts, span=_NOWHERE)
