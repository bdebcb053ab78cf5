"""What the shape stage gives: the tree of the file with every scalar turned into a value of its kind.

The same for editions and records. A part that is left to a later stage stays the tree that was read.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ..lang.source import Span
from ..lang.tree import Scalar, Tree
from ..lang.values import Plain


@dataclass(frozen=True, slots=True)
class ShapedValue:
    """One scalar. ``value`` is of the schema's kind: text, choice and expression ``str`` (an expression is
    not yet parsed), numbers and quantities ``Quantity``, yes/no ``bool``, dates and calendar spans."""

    value: Plain
    written: str
    scalar: Scalar
    expression: bool = False
    """Whether it is a rule, whose text is still to be parsed."""

    @property
    def span(self) -> Span:
        return self.scalar.span


@dataclass(frozen=True, slots=True)
class ShapedList:
    items: tuple[Shaped, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class ShapedMap:
    """Entries in the order of the file. INVARIANT: ``keys`` has the key as written of every entry."""

    entries: Mapping[str, Shaped] = field(hash=False)
    keys: Mapping[str, Scalar] = field(hash=False)
    span: Span
    ordered: bool = False
    """Whether their order means something, as that of the parameters of a term does."""

    def key_span(self, key: str) -> Span:
        return self.keys[key].span


@dataclass(frozen=True, slots=True)
class Raw:
    """A part that a later stage reads, since only it knows the kinds."""

    tree: Tree

    @property
    def span(self) -> Span:
        return self.tree.span


Shaped = ShapedValue | ShapedList | ShapedMap | Raw


def as_map(node: object) -> ShapedMap:
    """INVARIANT: the schema says that a mapping stands here."""
    assert isinstance(node, ShapedMap)
    return node


def value_at(node: ShapedMap, key: str) -> Plain | None:
    """The value of the scalar under ``key``; None if nothing stands there."""
    found = scalar_at(node, key)
    return None if found is None else found.value


def text_at(node: ShapedMap, key: str) -> str | None:
    """The text as written of the scalar under ``key``; None if nothing stands there."""
    found = scalar_at(node, key)
    return None if found is None else found.written


def scalar_at(node: ShapedMap, key: str) -> ShapedValue | None:
    """The scalar under ``key``. The schema says that no list or mapping can stand there."""
    found = node.entries.get(key)
    assert found is None or isinstance(found, ShapedValue), key
    return found


def map_at(node: ShapedMap, key: str) -> Mapping[str, Shaped]:
    """The entries of the mapping under ``key``; none if nothing stands there."""
    found = node.entries.get(key)
    assert found is None or isinstance(found, ShapedMap), key
    return {} if found is None else found.entries


def items_at(node: ShapedMap, key: str) -> tuple[Shaped, ...]:
    """The items of the list under ``key``; none if nothing stands there."""
    found = node.entries.get(key)
    assert found is None or isinstance(found, ShapedList), key
    return () if found is None else found.items
