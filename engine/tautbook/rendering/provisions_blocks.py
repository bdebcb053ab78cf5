"""What a readable edition is laid out of, whatever the format: headings, labelled facts, tables."""

from __future__ import annotations

from dataclasses import dataclass

from ..explaining.prose_tree import Prose


@dataclass(frozen=True, slots=True)
class Heading:
    """``level`` 1 is the edition, 2 a part, 3 a table, a term, a requirement."""

    level: int
    text: str


@dataclass(frozen=True, slots=True)
class Fact:
    """A label and what it says, in a sentence with points or, as ``code``, as rules write it."""

    label: str
    says: Prose
    code: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    items: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Grid:
    """A table: ``heads`` of the columns, and rows of which the first ``keys`` cells are heads themselves."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    keys: int = 1


Block = Heading | Facts | Grid


def fact(label: str, text: str | None, code: bool = False) -> tuple[Fact, ...]:
    """The fact, or none where there is nothing to say."""
    return (Fact(label, Prose(text), code),) if text else ()
