"""Parts of a shaped job as the data that rules read."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from ..lang.quantity import Quantity
from ..lang.values import Data, Group, Items, Leaf
from ..shape.shaped import Raw, Shaped, ShapedList, ShapedMap, ShapedValue, value_at

Leaves = Iterator[Leaf]


def data_of(node: Shaped, path: str) -> Data:
    """The data of a part that stands at ``path``."""
    match node:
        case ShapedMap(entries=entries):
            below = Group(path, {})
            return Group(path, {name: data_of(part, below.below(name)) for name, part in entries.items()})
        case ShapedList(items=items):
            return Items(path, tuple(data_of(item, f"{path}[{n}]") for n, item in enumerate(items, 1)))
        case ShapedValue(value=value, written=written):
            return Leaf(path, value, written)
        case Raw():
            raise AssertionError("a job has no part that is read later")


def group_of(node: ShapedMap, path: str, but: frozenset[str] = frozenset()) -> Group:
    """The data of a mapping without the fields ``but``."""
    below = Group(path, {})
    return Group(path, {name: data_of(each, below.below(name)) for name, each in node.entries.items()
                        if name not in but})  # fmt: skip


def joined(group: Group, other: Group) -> Group:
    """Both; where both say something, ``other`` does."""
    fields = dict(group.fields)
    for name, data in other.fields.items():
        there = fields.get(name)
        fields[name] = joined(there, data) if isinstance(there, Group) and isinstance(data, Group) else data
    return Group(group.path, fields)


def leaves(data: Data) -> Leaves:
    """Every single value, lists left out."""
    match data:
        case Leaf():
            yield data
        case Group(fields=fields):
            for below in fields.values():
                yield from leaves(below)


def whole_at(node: ShapedMap, key: str) -> int | None:
    value = value_at(node, key)
    return value.value.numerator if isinstance(value, Quantity) else None


def date_at(node: ShapedMap, key: str) -> datetime.date | None:
    value = value_at(node, key)
    return value if isinstance(value, datetime.date) else None
