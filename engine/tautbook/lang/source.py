"""A piece of text with a name, and spans inside it: what every message points at."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from functools import cached_property


@dataclass(frozen=True)
class Source:
    """A text and the name it is shown under. Lines end at LF, CR or CR LF, nowhere else."""

    name: str
    text: str = field(repr=False)

    @cached_property
    def _line_starts(self) -> tuple[int, ...]:
        starts = [0]
        text = self.text
        for i, char in enumerate(text):
            if char == "\n" or (char == "\r" and text[i + 1 : i + 2] != "\n"):
                starts.append(i + 1)
        return tuple(starts)

    def position(self, offset: int) -> tuple[int, int]:
        """Line and column of an offset, both counted from 1."""
        line = bisect_right(self._line_starts, offset)
        return line, offset - self._line_starts[line - 1] + 1

    def where(self, offset: int) -> str:
        """The place of an offset as it is told behind the name. A table tells row and column instead."""
        line, column = self.position(offset)
        return f":{line}:{column}"

    def label(self, offset: int) -> str:
        """What stands before the text of the line, where it is shown: its number; in a table the cell."""
        return str(self.position(offset)[0])

    def line(self, number: int) -> str:
        """The text of one line (counted from 1) without its line end."""
        starts = self._line_starts
        end = starts[number] if number < len(starts) else len(self.text)
        return self.text[starts[number - 1] : end].rstrip("\r\n")


@dataclass(frozen=True, slots=True)
class Span:
    """Half-open range of offsets in a source. INVARIANT: 0 <= start <= end <= len(source.text)."""

    source: Source
    start: int
    end: int

    @property
    def text(self) -> str:
        return self.source.text[self.start : self.end]

    def at(self, start: int, end: int) -> Span:
        """The part of this span from ``start`` to ``end``, offsets relative to its own start."""
        return Span(self.source, self.start + start, self.start + end)

    def to(self, other: Span) -> Span:
        """From the start of this span to the end of the other."""
        return Span(self.source, min(self.start, other.start), max(self.end, other.end))
