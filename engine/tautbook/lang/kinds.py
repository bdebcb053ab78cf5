"""The kinds of the language: what a value is, known before anything is judged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from .quantity import Dimension


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
