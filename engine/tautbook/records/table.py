"""The pages of a table, cut into the rows of one record each: a row for each item of a list, and records told apart by
their number. What a file gets wrong before any record of it is looked at is found here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from ..lang.limits import LIMITS
from ..lang.problem import Problem
from ..shape.scalars import short
from .table_headings import Heading, Step, read_heading
from .table_parts import Page, Placed, TableSource, letters, placed, rows

NUMBER: tuple[Step, ...] = (("id", None),)
PROCEDURE: tuple[Step, ...] = (("procedure", None),)
"""The columns that a table is read by."""
LABELS = "labels: this row is not read"
"""Stands in a cell of a row that only says what forms call the columns."""


@dataclass(frozen=True, slots=True)
class Row:
    number: int
    cells: tuple[Placed, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """The rows of one record."""

    page: int
    id: str | None
    rows: tuple[Row, ...]
    procedure: str | None
    """The word for the procedure that it is of; where it names none, of the record above."""


@dataclass(slots=True)
class Table:
    """All that a file holds, and what is wrong with it before any record is looked at."""

    source: TableSource
    headings: tuple[Mapping[int, Heading], ...]
    """Of each page, by column."""
    groups: list[Group] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def read_table(name: str, pages: Sequence[Page]) -> Table:
    """The pages cut into records."""
    source, cells = placed(name, pages)
    table = Table(source, ())
    headings = []
    for page in cells:
        found, problems = _headings(page)
        headings.append(found)
        table.problems += problems
    table.headings = tuple(headings)
    seen: dict[str, Placed] = {}
    for number, page in enumerate(cells):
        _cut(table, number, page, seen)
    return table


def _headings(page: Sequence[Placed]) -> tuple[dict[int, Heading], list[Problem]]:
    found: dict[int, Heading] = {}
    places: dict[tuple[Step, ...], int] = {}
    problems: list[Problem] = []
    for _, first in rows(page):
        for each in first:
            heading = read_heading(each) if each.cell.fault is None else each.cell.fault.at(each.span)
            if isinstance(heading, Problem):
                problems.append(heading)
                continue
            there = places.setdefault(heading.steps, each.cell.column)
            if there != each.cell.column:
                message = f"`{heading.path}` already heads column {letters(there)}"
                problems.append(Problem("duplicate-column", message, each.span, "keep one of the two"))
                continue
            found[each.cell.column] = heading
        if len(first) > LIMITS.columns:
            message = f"a table may have at most {LIMITS.columns} columns"
            problems = [Problem("columns-many", message, first[-1].span, "is this the right file?")]
        break
    return found, problems


def _cut(table: Table, number: int, page: Sequence[Placed], seen: dict[str, Placed]) -> None:
    """The rows of a page as groups of one record each. An empty number means the record of the row above."""
    current: list[Row] = []
    id: str | None = None
    again = False
    for at, kept in _rows(table, number, page):
        named = next((each for each in kept if table.headings[number][each.cell.column].steps == NUMBER), None)
        if named is not None and named.cell.text != id:
            _close(table, number, id, current, again)
            id, current = named.cell.text, []
            first = seen.setdefault(id, named)
            again = first is not named
            if again:
                table.problems.append(_twice(table, first, named))
        current.append(Row(at, kept))
    _close(table, number, id, current, again)


def _close(table: Table, page: int, id: str | None, rows: list[Row], again: bool) -> None:
    """Adds the rows of one record. Rows with a number of their own that name no procedure, below those of a record
    that does, may be of that record, its number mistyped. ``again``: the number stands further up, which is told."""
    if not rows:
        return
    before = table.groups[-1] if table.groups and table.groups[-1].page == page else None
    cell = _at(table, page, rows, PROCEDURE)
    procedure = None if cell is None else cell.cell.text
    named = _at(table, page, rows, NUMBER)
    known = before is not None and before.id is not None and before.procedure is not None
    if procedure is None and before is not None and known and named is not None and not again:
        procedure = before.procedure  # to read its cells by, as the table is told to be wrong
        message = f"row {rows[0].number} has another number, {short(named.cell.text)}, than row"
        message += f" {before.rows[-1].number}; is it the same record?"
        help = f"if it is, write `{short(before.id or '')}` into it, or nothing;"
        help += " the first row of another record says its `procedure` as well"
        table.problems.append(Problem("record-number", message, named.span, help))
    table.groups.append(Group(page, id, tuple(rows), procedure))


def _at(table: Table, page: int, rows: Sequence[Row], steps: tuple[Step, ...]) -> Placed | None:
    """The first cell of these rows that stands under a heading."""
    cells = (each for row in rows for each in row.cells)
    return next((each for each in cells if table.headings[page][each.cell.column].steps == steps), None)


def _rows(table: Table, number: int, page: Sequence[Placed]) -> Iterator[tuple[int, tuple[Placed, ...]]]:
    """The rows below the headings, with the cells that stand under one."""
    head: set[int] = set()
    for n, (at, cells) in enumerate(rows(page)):
        if n == 0:
            head = {each.cell.column for each in cells}
            continue
        if any(each.cell.text == LABELS for each in cells):
            continue
        kept = []
        for each in cells:
            if each.cell.fault is not None:
                table.problems.append(each.cell.fault.at(each.span))
            elif each.cell.column in table.headings[number]:
                kept.append(each)
            elif each.cell.column not in head:
                head.add(each.cell.column)
                message = "this column has no heading, and what stands in it would not be read"
                help = "write the path of its field into the first row, or delete what stands in the column"
                table.problems.append(Problem("heading-missing", message, each.span, help))
        if kept:
            yield at, tuple(kept)


def _twice(table: Table, first: Placed, again: Placed) -> Problem:
    page = table.source.page(first.span.start)
    where = f"{f'on page {page}, ' if page else ''}from row {first.cell.row} on"
    message = f"the record `{short(again.cell.text)}` already stands further up, {where}"
    help = "put its rows one below the other; another record has a number of its own"
    return Problem("record-split", message, again.span, help)
