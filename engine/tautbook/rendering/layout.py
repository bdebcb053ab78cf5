"""Text of a fixed width for people: labelled lines, wrapped, with nothing hidden that a file may have put in."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from ..lang.problem import visible

WIDTH = 100


def labelled(name: str, text: str, indent: int = 2, column: int = 18) -> Iterator[str]:
    """``name`` at the indent, ``text`` from the column on, its further lines below its first."""
    lead = " " * indent + visible(name)
    first = lead.ljust(column) if len(lead) < column else f"{lead}  "
    yield from _wrapped(visible(text), first, " " * column)


def paragraph(text: str, indent: int = 2) -> Iterator[str]:
    yield from _wrapped(visible(text), " " * indent, " " * indent)


def _wrapped(text: str, first: str, rest: str) -> Iterator[str]:
    lines = textwrap.wrap(
        text, WIDTH, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False, break_long_words=True
    )
    yield from lines or [first.rstrip()]
