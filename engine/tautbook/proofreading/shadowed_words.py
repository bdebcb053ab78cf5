"""How a condition that shadows another is told: its words, and where they stand."""

from __future__ import annotations

from ..lang.source import Span

_LONGEST = 80


def quoted(span: Span | None) -> str:
    """The words of a condition, shortened where they are many."""
    words = " ".join("" if span is None else span.text.split())
    return f"`{words if len(words) <= _LONGEST else f'{words[: _LONGEST - 1]}…'}`"


def seen_at(span: Span | None) -> str:
    """The words of a condition, and the line and column at which they stand."""
    if span is None:
        return quoted(span)
    line, column = span.source.position(span.start)
    return f"{quoted(span)} (line {line}, column {column})"
