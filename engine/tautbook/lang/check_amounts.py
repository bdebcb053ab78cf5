"""Checking what is reckoned: arithmetic on numbers, quantities and dates, and rounding."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .kernel import Add, Constant, DaysBetween, Divide, Multiply, Negate, Node, Round, Shift
from .kinds import CalendarSpanKind, DateKind, NumberKind, dimension_of, named, of_dimension
from .quantity import TEMPERATURE, Quantity
from .source import Span
from .surface import Arithmetic, Expression, Rounding

if TYPE_CHECKING:
    from .check import Checker


def amount(checker: Checker, e: Expression, word: str) -> Node | None:
    """A number or quantity that can be reckoned with."""
    return reckonable(checker, checker.node(e), e.span, word)


def reckonable(checker: Checker, node: Node | None, span: Span, word: str) -> Node | None:
    """The node if it can be reckoned with: not a temperature, which has no natural zero here."""
    if node is None:
        return None
    dimension = dimension_of(node.kind)
    if dimension is None:
        checker.add("kind", f"`{word}` takes numbers and quantities, this is {named(node.kind)}", span)
        return None
    if dimension == TEMPERATURE:
        checker.add("kind", f"`{word}` does not take temperatures; they can only be compared", span)
        return None
    return node


def arithmetic(checker: Checker, e: Arithmetic) -> Node | None:
    # Each side is checked once, whatever comes of it: twice at every level would double the work at every level.
    first, second = checker.node(e.left), checker.node(e.right)
    dated = DateKind | CalendarSpanKind
    if e.sign in "+-" and any(side is not None and isinstance(side.kind, dated) for side in (first, second)):
        return dates(checker, e, first, second)
    left = reckonable(checker, first, e.left.span, e.sign)
    right = reckonable(checker, second, e.right.span, e.sign)
    if left is None or right is None:
        return None
    a, b = dimension_of(left.kind), dimension_of(right.kind)
    assert a is not None and b is not None
    whole = all(isinstance(side.kind, NumberKind) and side.kind.whole for side in (left, right))
    if e.sign in "+-":
        if a != b:
            verb = "added to" if e.sign == "+" else "taken from"
            bare = any(isinstance(side, Constant) and isinstance(side.kind, NumberKind) for side in (left, right))
            help = "write the unit after the number, as in `1 kip`" if bare else None
            checker.add("dimension", f"{named(right.kind)} cannot be {verb} {named(left.kind)}", e.span, help)
            return None
        addend = right if e.sign == "+" else Negate(right, kind=right.kind, span=e.right.span)
        return Add(left, addend, kind=of_dimension(a, whole), span=e.span)
    if e.sign == "*":
        return Multiply(left, right, kind=of_dimension(a * b, whole), span=e.span)
    return Divide(left, right, kind=of_dimension(a / b), span=e.span)


def dates(checker: Checker, e: Arithmetic, a: Node | None, b: Node | None) -> Node | None:
    """Arithmetic in which a side is a date or a calendar span."""
    if a is None or b is None:
        return None
    match a.kind, e.sign, b.kind:
        case DateKind(), "+", CalendarSpanKind():
            return Shift(a, b, kind=DateKind(), span=e.span)
        case DateKind(), "-", DateKind():
            return DaysBetween(a, b, kind=NumberKind(whole=True), span=e.span)
    message = f"`{e.sign}` does not take {named(a.kind)} and {named(b.kind)}"
    checker.add("kind", message, e.span, "a date takes `date + span` and `date - date`")
    return None


def rounding(checker: Checker, e: Rounding) -> Node | None:
    of, step = amount(checker, e.of, e.way), amount(checker, e.step, e.way)
    if e.way == "nearest" and e.ties is None:
        checker.add(
            "tie-rule", "`nearest` must say what happens halfway", e.span,
            "write `nearest(..., ties up)` or `nearest(..., ties even)`",
        )  # fmt: skip
        return None
    if e.way != "nearest" and e.ties is not None:
        checker.add("tie-rule", f"`{e.way}` never meets a tie", e.span, "leave the tie rule out")
        return None
    if of is None or step is None:
        return None
    if not isinstance(step, Constant) or not isinstance(step.value, Quantity) or step.value.value <= 0:
        checker.add("arguments", f"`{e.way}` rounds to a figure greater than 0 written here", e.step.span)
        return None
    if dimension_of(of.kind) != dimension_of(step.kind):
        checker.add("dimension", f"{named(of.kind)} cannot be rounded to {named(step.kind)}", e.span)
        return None
    whole = isinstance(of.kind, NumberKind) and step.value.value.denominator == 1
    kind = NumberKind(whole) if isinstance(of.kind, NumberKind) else of.kind
    return Round(e.way, of, step.value, e.ties, kind=kind, span=e.span)
