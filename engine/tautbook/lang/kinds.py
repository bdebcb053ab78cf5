"""The kinds of the language: what a value is, known before anything is judged."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import assert_never

from .calendar import CalendarSpan
from .quantity import DIMENSIONLESS, Dimension, Quantity
from .values import Plain


@dataclass(frozen=True, slots=True)
class NumberKind:
    whole: bool = False


@dataclass(frozen=True, slots=True)
class QuantityKind:
    dimension: Dimension


@dataclass(frozen=True, slots=True)
class ChoiceKind:
    """One word of a set; ``options`` is None where the record leaves the set to the editions."""

    options: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class TextKind:
    pass


@dataclass(frozen=True, slots=True)
class YesNoKind:
    pass


@dataclass(frozen=True, slots=True)
class DateKind:
    pass


@dataclass(frozen=True, slots=True)
class CalendarSpanKind:
    pass


@dataclass(frozen=True, slots=True)
class GroupKind:
    """Named fields together: a record, one item of a list, or a part of either such as ``bolt``."""

    fields: Mapping[str, Kind] = field(hash=False)


@dataclass(frozen=True, slots=True)
class ListKind:
    """A list. ``singular`` is the name an item is bound to; ``points`` names the two fields of a correction
    table, (where, how much), if ``interpolate`` may read it."""

    singular: str
    item: Kind
    points: tuple[str, str] | None = None


Kind = (
    NumberKind | QuantityKind | ChoiceKind | TextKind | YesNoKind | DateKind | CalendarSpanKind | GroupKind | ListKind
)


def kind_of_value(value: Plain) -> Kind:
    """The narrowest kind that a known value is of."""
    match value:
        case bool():
            return YesNoKind()
        case Quantity():
            if value.dimension == DIMENSIONLESS:
                return NumberKind(whole=value.value.denominator == 1)
            return QuantityKind(value.dimension)
        case CalendarSpan():
            return CalendarSpanKind()
        case datetime.date():
            return DateKind()
        case str():
            return ChoiceKind((value,))
        case _:
            assert_never(value)


def named(kind: Kind) -> str:
    """The kind in plain words."""
    match kind:
        case NumberKind(whole=whole):
            return "a whole number" if whole else "a number"
        case QuantityKind(dimension=dimension):
            return f"{'an' if dimension.name[0] in 'aeiou' else 'a'} {dimension.name}"
        case ChoiceKind():
            return "a choice"
        case TextKind():
            return "a text"
        case YesNoKind():
            return "yes or no"
        case DateKind():
            return "a date"
        case CalendarSpanKind():
            return "a calendar span"
        case GroupKind():
            return "a group of fields"
        case ListKind():
            return "a list"
        case _:
            assert_never(kind)


def dimension_of(kind: Kind) -> Dimension | None:
    """The dimension of a number or quantity; None for any other kind."""
    match kind:
        case NumberKind():
            return DIMENSIONLESS
        case QuantityKind(dimension=dimension):
            return dimension
        case _:
            return None


def common(a: Kind, b: Kind) -> Kind | None:
    """The kind that both are of, if there is one."""
    match a, b:
        case NumberKind(), NumberKind():
            return NumberKind(a.whole and b.whole)
        case ChoiceKind(), ChoiceKind():
            if a.options is None or b.options is None:
                return ChoiceKind(None)
            return ChoiceKind(tuple(sorted({*a.options, *b.options})))
        case (ChoiceKind(), TextKind()) | (TextKind(), ChoiceKind()):
            return TextKind()
        case _:
            return a if a == b else None


def of_dimension(dimension: Dimension, whole: bool = False) -> Kind:
    """The kind of what has the dimension; ``whole`` counts only where there is none."""
    return NumberKind(whole) if dimension == DIMENSIONLESS else QuantityKind(dimension)
