"""The kernel tree: what every reader of a rule reads. Frozen, checked, each node with its kind.

Reduced on the way here: chained comparison (an ``and``), ``is one of`` (an ``or``), ``%`` (a number),
two-argument ``smallest`` and ``largest`` (an ``if``), subtraction (adding the negative), bands (``Band``).
Terms stay calls by name; their bodies stand once, in ``Rules``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, assert_never

from .kinds import Kind
from .quantity import Quantity
from .source import Span
from .values import Plain, Stuck

Relation = Literal["=", "!=", "<", "<=", ">", ">="]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Node:
    kind: Kind = field(compare=False, repr=False)
    span: Span | None = field(default=None, compare=False, repr=False)
    """Where the rule says it; for people only, never part of the meaning."""


@dataclass(frozen=True, slots=True)
class Constant(_Node):
    value: Plain


@dataclass(frozen=True, slots=True)
class NoRule(_Node):
    """Stuck whatever is known, say a key that the edition does not cover."""

    reason: Stuck


@dataclass(frozen=True, slots=True)
class Field(_Node):
    """A field of the record (``root`` None) or of the item bound to ``root``. An empty path is the item itself."""

    root: str | None
    path: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Parameter(_Node):
    name: str


@dataclass(frozen=True, slots=True)
class Term(_Node):
    name: str
    arguments: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Lookup(_Node):
    table: str
    keys: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Band(_Node):
    """The label of the band of axis ``axis`` of ``table`` that ``of`` lies in; used only as a key of a look-up."""

    table: str
    axis: int
    of: Node


@dataclass(frozen=True, slots=True)
class Negate(_Node):
    of: Node


@dataclass(frozen=True, slots=True)
class Add(_Node):
    left: Node
    right: Node


@dataclass(frozen=True, slots=True)
class Multiply(_Node):
    left: Node
    right: Node


@dataclass(frozen=True, slots=True)
class Divide(_Node):
    left: Node
    right: Node


@dataclass(frozen=True, slots=True)
class Absolute(_Node):
    of: Node


@dataclass(frozen=True, slots=True)
class Round(_Node):
    """To a multiple of ``step`` (greater than 0): nearest with its tie rule, up, or down."""

    way: Literal["nearest", "up", "down"]
    of: Node
    step: Quantity
    ties: Literal["up", "even"] | None


@dataclass(frozen=True, slots=True)
class Shift(_Node):
    """A date moved on by a calendar span, under the months policy of the edition."""

    date: Node
    by: Node


@dataclass(frozen=True, slots=True)
class DaysBetween(_Node):
    """Whole days from ``right`` to ``left``."""

    left: Node
    right: Node


@dataclass(frozen=True, slots=True)
class Compare(_Node):
    left: Node
    relation: Relation
    right: Node


@dataclass(frozen=True, slots=True)
class Not(_Node):
    of: Node


@dataclass(frozen=True, slots=True)
class Both(_Node):
    """``and`` of two or more parts."""

    parts: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Either(_Node):
    """``or`` of two or more parts."""

    parts: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class If(_Node):
    condition: Node
    then: Node
    otherwise: Node


@dataclass(frozen=True, slots=True)
class Over(_Node):
    """Something of all items of a list, each bound to ``singular`` in ``body``."""

    what: Literal["count", "every", "some", "smallest", "largest", "sum", "mean"]
    of: Field
    singular: str
    body: Node


@dataclass(frozen=True, slots=True)
class Interpolate(_Node):
    """On the straight line between the neighbouring points of a list; never beyond the first and last."""

    points: Field
    where: str
    value: str
    at: Node


@dataclass(frozen=True, slots=True)
class Recorded(_Node):
    of: Field


Node = (
    Constant | NoRule | Field | Parameter | Term | Lookup | Band | Negate | Add | Multiply | Divide | Absolute | Round
    | Shift | DaysBetween | Compare | Not | Both | Either | If | Over | Interpolate | Recorded
)  # fmt: skip



def parts_of(node: Node) -> tuple[Node, ...]:
    """What a node is made of, in the order in which it is evaluated; the list of an ``Over`` is no part."""
    match node:
        case Constant() | NoRule() | Field() | Parameter() | Recorded():
            return ()
        case Term(arguments=parts) | Lookup(keys=parts) | Both(parts=parts) | Either(parts=parts):
            return parts
        case Band(of=of) | Negate(of=of) | Absolute(of=of) | Round(of=of) | Not(of=of):
            return (of,)
        case (
            Add(left=left, right=right) | Multiply(left=left, right=right) | Divide(left=left, right=right)
            | DaysBetween(left=left, right=right) | Compare(left=left, right=right) | Shift(date=left, by=right)
        ):  # fmt: skip
            return (left, right)
        case If(condition=condition, then=then, otherwise=otherwise):
            return (condition, then, otherwise)
        case Over(body=body):
            return (body,)
        case Interpolate(at=at):
            return (at,)
        case _:
            assert_never(node)


@dataclass(frozen=True, slots=True)
class Axis:
    """One key of a table: rows by exact value, or bands of a number with a label each."""

    name: str
    kind: Kind
    bands: tuple[BandRange, ...] | None = None


@dataclass(frozen=True, slots=True)
class BandRange:
    """Over ``over`` (not included) up to ``up_to`` (included); None is without end."""

    label: str
    over: Quantity | None
    up_to: Quantity | None


@dataclass(frozen=True, slots=True)
class Cell:
    value: Plain
    keys: tuple[str, ...]
    """The keys as the edition writes them."""
    span: Span | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Table:
    """Cells by key. A key is looked up by ``key_of``: quantities by value, words by themselves."""

    name: str
    axes: tuple[Axis, ...]
    kind: Kind
    cells: Mapping[tuple[object, ...], Cell] = field(hash=False)
    covers: bool = False
    """Whether it only lists what the edition speaks of; a missing row then says so in those words."""


@dataclass(frozen=True, slots=True)
class Definition:
    """One term: its parameters (name, kind) and its body."""

    name: str
    parameters: tuple[tuple[str, Kind], ...]
    body: Node


@dataclass(frozen=True, slots=True)
class Rules:
    """What expressions of one edition refer to by name, and its months policy."""

    terms: Mapping[str, Definition] = field(hash=False)
    tables: Mapping[str, Table] = field(hash=False)
    months: Literal["clamp", "roll over", "refuse"] = "clamp"


def key_of(value: Plain) -> object:
    """What a table row is found by: a quantity by its exact value in base units, anything else by itself."""
    return value.value if isinstance(value, Quantity) else value
