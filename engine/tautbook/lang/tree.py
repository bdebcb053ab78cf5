"""The plain tree that reading gives: scalars as they were written, lists and mappings, each with its span."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from .source import Span

Style = Literal["plain", "single", "double", "literal", "folded", "json number", "json word"]


@dataclass(frozen=True, slots=True)
class Scalar:
    """One scalar. ``text`` is its content after unquoting; the kind of the field decides what it means.

    A JSON string has style "double", a JSON number "json number", true, false and null "json word".
    ``span`` covers the scalar in the file, quotes or block header included.
    """

    text: str
    style: Style
    span: Span
    offsets: tuple[int, ...] | None = None
    """Offset in the source of each character of ``text`` and of its end; None where it cannot be told."""

    def place(self, start: int, end: int) -> Span:
        """The span in the file of ``text[start:end]``; the whole scalar where that cannot be told."""
        if self.offsets is None:
            return self.span
        first = self.offsets[min(start, len(self.offsets) - 1)]
        last = self.offsets[min(end, len(self.offsets) - 1)]
        return Span(self.span.source, first, max(first, last))


@dataclass(frozen=True, slots=True)
class Sequence:
    items: tuple[Tree, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class Entry:
    key: Scalar
    value: Tree


@dataclass(frozen=True, slots=True)
class Mapping:
    """Entries in the order of the file. INVARIANT: no two keys have the same text."""

    entries: tuple[Entry, ...]
    span: Span

    def get(self, key: str) -> Tree | None:
        return next((entry.value for entry in self.entries if entry.key.text == key), None)

    def entry(self, key: str) -> Entry | None:
        return next((entry for entry in self.entries if entry.key.text == key), None)

    def __iter__(self) -> Iterator[Entry]:
        return iter(self.entries)


Tree = Scalar | Sequence | Mapping
