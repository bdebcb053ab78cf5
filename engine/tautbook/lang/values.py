"""What evaluating gives: a known value, or an open one with the reasons why; and the data it reads."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal, assert_never

from .calendar import CalendarSpan
from .quantity import Quantity

StuckBy = Literal["no rule", "division by zero", "outside the points", "date refused", "empty list"]


@dataclass(frozen=True, slots=True, order=True)
class Missing:
    """Nothing was recorded at ``path`` (items count from 1). Supplying it can mend this."""

    path: str


@dataclass(frozen=True, slots=True, order=True)
class Stuck:
    """Nothing that the inspector supplies mends this. ``detail`` says it in plain words."""

    by: StuckBy
    detail: str

    @property
    def told(self) -> str:
        return f"{self.by}: {self.detail}"


Reason = Missing | Stuck


@dataclass(frozen=True, slots=True)
class Open:
    """Not known, and why. INVARIANT: at least one reason.

    ``at_least`` and ``at_most`` are bounds that hold whatever the open items turn out to be. Only a comparison
    reads them; arithmetic forgets them.
    """

    reasons: frozenset[Reason]
    at_least: Quantity | None = None
    at_most: Quantity | None = None

    @property
    def missing(self) -> tuple[str, ...]:
        return tuple(sorted(reason.path for reason in self.reasons if isinstance(reason, Missing)))

    @property
    def stuck(self) -> tuple[Stuck, ...]:
        return tuple(sorted(reason for reason in self.reasons if isinstance(reason, Stuck)))


Plain = Quantity | str | bool | datetime.date | CalendarSpan
"""A known value. Numbers are quantities without dimension; choices and texts are ``str``."""

Value = Plain | Open


@dataclass(frozen=True, slots=True)
class Group:
    """Named data at a path ("" for the record). A field that is not here was not recorded."""

    path: str
    fields: Mapping[str, Data] = field(hash=False)

    def below(self, name: str) -> str:
        return f"{self.path}.{name}" if self.path else name


@dataclass(frozen=True, slots=True)
class Items:
    """The items of a list that count: those set aside are left out, those still to come are empty groups."""

    path: str
    items: tuple[Data, ...]
    written: bool = True
    """Whether the record holds the list at all; one that is only asked for is all items still to come."""


@dataclass(frozen=True, slots=True)
class Leaf:
    """One recorded value: how it was written, and the path it stands at."""

    path: str
    value: Plain
    written: str


@dataclass(frozen=True, slots=True)
class Pending:
    """A value that is worked out from other records and not settled yet, with the reasons why."""

    path: str
    open: Open


Data = Leaf | Group | Items | Pending


def data_at(group: Group, path: str) -> Data | None:
    """What stands at a dotted path that runs through no list; None if nothing does."""
    data: Data | None = group
    for name in path.split("."):
        data = data.fields.get(name) if isinstance(data, Group) else None
    return data


def placed(data: Data, prefix: str) -> Data:
    """What a whole record holds, seen from another one that has it at ``prefix``."""

    def there(path: str) -> str:
        return f"{prefix}.{path}" if path else prefix

    match data:
        case Leaf(path=path):
            return replace(data, path=there(path))
        case Group(path=path, fields=fields):
            return Group(there(path), {name: placed(below, prefix) for name, below in fields.items()})
        case Items(path=path, items=items):
            return replace(data, path=there(path), items=tuple(placed(item, prefix) for item in items))
        case Pending(path=path, open=open):
            reasons = {Missing(there(each.path)) if isinstance(each, Missing) else each for each in open.reasons}
            return Pending(there(path), replace(open, reasons=frozenset(reasons)))
        case _:
            assert_never(data)


def with_leaf(group: Group, path: str, leaf: Leaf) -> Group:
    """``group`` with ``leaf`` put at a dotted path from it, groups made on the way where there are none.

    INVARIANT: only groups stand on the way.
    """
    name, _, rest = path.partition(".")
    below: Data = leaf
    if rest:
        inner = group.fields.get(name, Group(group.below(name), {}))
        assert isinstance(inner, Group)
        below = with_leaf(inner, rest, leaf)
    return Group(group.path, {**group.fields, name: below})
