"""The surface tree: an expression as it was written, before names and kinds are known."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, assert_never

from .source import Span
from .values import Plain

Sign = Literal["+", "-", "*", "/"]
Relation = Literal["=", "!=", "<", "<=", ">", ">="]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Written:
    span: Span = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Given(_Written):
    """A literal."""

    value: Plain


@dataclass(frozen=True, slots=True)
class Name(_Written):
    path: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Call(_Written):
    """A term with its arguments."""

    name: str
    arguments: tuple[Expression, ...]


@dataclass(frozen=True, slots=True)
class Cell(_Written):
    table: str
    keys: tuple[Expression, ...]


@dataclass(frozen=True, slots=True)
class Negative(_Written):
    of: Expression


@dataclass(frozen=True, slots=True)
class Arithmetic(_Written):
    left: Expression
    sign: Sign
    right: Expression


@dataclass(frozen=True, slots=True)
class Comparison(_Written):
    """``first`` and then one or more (relation, operand)."""

    first: Expression
    rest: tuple[tuple[Relation, Expression], ...]


@dataclass(frozen=True, slots=True)
class OneOf(_Written):
    of: Expression
    options: tuple[Expression, ...]


@dataclass(frozen=True, slots=True)
class Negation(_Written):
    of: Expression


@dataclass(frozen=True, slots=True)
class Junction(_Written):
    """``and`` or ``or`` of two or more parts."""

    word: Literal["and", "or"]
    parts: tuple[Expression, ...]


@dataclass(frozen=True, slots=True)
class Conditional(_Written):
    condition: Expression
    then: Expression
    otherwise: Expression


@dataclass(frozen=True, slots=True)
class Rounding(_Written):
    way: Literal["nearest", "up", "down"]
    of: Expression
    step: Expression
    ties: Literal["up", "even"] | None


@dataclass(frozen=True, slots=True)
class Function(_Written):
    """abs, smallest, largest, count, every, some, sum, mean, interpolate or recorded."""

    name: str
    arguments: tuple[Expression, ...]


Expression = (
    Given | Name | Call | Cell | Negative | Arithmetic | Comparison | OneOf | Negation | Junction | Conditional
    | Rounding | Function
)  # fmt: skip


def parts_of(e: Expression) -> tuple[Expression, ...]:
    """What an expression is made of, left to right."""
    match e:
        case Given() | Name():
            return ()
        case Call(arguments=parts) | Function(arguments=parts) | Cell(keys=parts) | Junction(parts=parts):
            return parts
        case Negative(of=of) | Negation(of=of):
            return (of,)
        case Arithmetic(left=left, right=right):
            return (left, right)
        case Comparison(first=first, rest=rest):
            return (first, *(operand for _, operand in rest))
        case OneOf(of=of, options=options):
            return (of, *options)
        case Conditional(condition=condition, then=then, otherwise=otherwise):
            return (condition, then, otherwise)
        case Rounding(of=of, step=step):
            return (of, step)
        case _:
            assert_never(e)
