"""What a table is made of: pages, and in each the cells that are not empty; each with its place in one source."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from ..lang.problem import Problem
from ..lang.source import Source, Span

Form = Literal["text", "number", "date", "yes-no"]
"""What a workbook knows of a value. In a text file everything is text."""

_HEADING_SHOWN = 60


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a cell, whatever its place."""

    code: str
    message: str
    help: str

    def at(self, span: Span) -> Problem:
        return Problem(self.code, self.message, span, self.help)


@dataclass(frozen=True, slots=True)
class Cell:
    """INVARIANT: ``text`` is not empty, and has no white space around it."""

    row: int
    column: int
    """Both counted from 1."""
    text: str
    form: Form = "text"
    shown_as: str = ""
    """The number format that a workbook shows it in."""
    fault: Fault | None = None


@dataclass(frozen=True, slots=True)
class Page:
    """INVARIANT: ``cells`` are in the order of their rows, and of their columns in each."""

    name: str | None
    """None where a file has but one page, without a name."""
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """A cell and where it stands."""

    cell: Cell
    span: Span


@dataclass(frozen=True)
class TableSource(Source):
    """The texts of all cells, a line each. Places are told as page, row and column."""

    cells: tuple[tuple[int, Cell], ...] = field(repr=False, hash=False)
    """With the number of the page, from 0."""
    starts: tuple[int, ...] = field(repr=False, hash=False)
    pages: tuple[str | None, ...] = field(repr=False, hash=False)
    headings: Mapping[tuple[int, int], str] = field(repr=False, hash=False)
    """By page and column."""

    def position(self, offset: int) -> tuple[int, int]:
        number = self._number(offset)
        return number + 1, offset - self.starts[number] + 1

    def line(self, number: int) -> str:
        return self.cells[number - 1][1].text

    def where(self, offset: int) -> str:
        page, cell = self.cells[self._number(offset)]
        name = self.page(offset)
        heading = self.headings.get((page, cell.column), cell.text)
        about = f" ({heading[:_HEADING_SHOWN]})" if heading != cell.text else ""
        return f": {f'page {name}, ' if name else ''}row {cell.row}, column {letters(cell.column)}{about}"

    def page(self, offset: int) -> str | None:
        """The name of the page that an offset is on."""
        return self.pages[self.cells[self._number(offset)][0]]

    def label(self, offset: int) -> str:
        cell = self.cells[self._number(offset)][1]
        return f"{letters(cell.column)}{cell.row}"

    def _number(self, offset: int) -> int:
        return max(0, bisect_right(self.starts, offset) - 1)


def letters(column: int) -> str:
    """The letters by which programs call a column: A is 1, AA is 27."""
    text = ""
    while column > 0:
        column, rest = divmod(column - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def placed(name: str, pages: Sequence[Page]) -> tuple[TableSource, tuple[tuple[Placed, ...], ...]]:
    """All cells as one source, and the cells of each page with their places in it."""
    cells = tuple((n, cell) for n, page in enumerate(pages) for cell in page.cells)
    starts, at = [], 0
    for _, cell in cells:
        starts.append(at)
        at += len(cell.text) + 1
    headings: dict[tuple[int, int], str] = {}
    for n, page in enumerate(pages):
        first = page.cells[0].row if page.cells else 0
        headings.update({(n, cell.column): cell.text for cell in page.cells if cell.row == first})
    text = "\n".join(cell.text for _, cell in cells)
    source = TableSource(name, text, cells, tuple(starts), tuple(page.name for page in pages), headings)
    each: list[list[Placed]] = [[] for _ in pages]
    for (n, cell), start in zip(cells, starts, strict=True):
        each[n].append(Placed(cell, Span(source, start, start + len(cell.text))))
    return source, tuple(tuple(page) for page in each)


def rows(cells: Sequence[Placed]) -> Iterator[tuple[int, list[Placed]]]:
    """The rows of a page that hold anything, in their order."""
    row: list[Placed] = []
    for each in cells:
        if row and each.cell.row != row[0].cell.row:
            yield row[0].cell.row, row
            row = []
        row.append(each)
    if row:
        yield row[0].cell.row, row
