"""A table as a text file: comma-separated cells, RFC 4180, in UTF-8.

Read strictly: a row has as many cells as the first one, and quotation marks open and close whole cells. What a program
writes with other separators, mostly where decimals have a comma, is told as that.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from ..lang.limits import LIMITS
from ..lang.problem import Problem
from ..lang.source import Source, Span
from .table_parts import Cell, Fault, Page, letters

_EMPTY = re.compile(r"(?:[ \t,]*(?:\r\n|\r|\n))+|[ \t,]+\Z")
_LINE_END = re.compile(r"\r\n|\r|\n")
_PLAIN = re.compile(r"[^,\r\n]*")
_END = re.compile(r"[ \t]*(\r\n|[,\r\n]|\Z)")
_GUARDED = re.compile(r"'\s*['=+\-@\t\r\n＝＋－＠]")
"""A text behind an apostrophe, put there so that no program takes it for a formula."""
_OTHER = {";": "semicolons", "\t": "tabs"}


def read_csv(source: Source) -> tuple[Page | None, tuple[Problem, ...]]:
    """The cells of a text; None where it cannot be cut into cells at all."""
    problem = _separator(source)
    if problem is not None:
        return None, (problem,)
    cells: list[Cell] = []
    width = 0
    for row, found in _rows(source):
        if isinstance(found, Problem):
            return None, (found,)
        texts = [(column, text.strip()) for column, text in enumerate(found, 1)]
        kept = [_cell(row, column, text) for column, text in texts if text]
        if not kept:
            continue
        width = width or kept[-1].column
        kept = [each if each.column <= width else _beyond(each, width) for each in kept]
        if len(found) < width:
            kept[-1] = _short(kept[-1], len(found), width)
        cells += kept
        if len(cells) > LIMITS.nodes:
            message = f"a file may have at most {LIMITS.nodes} cells"
            return None, (Problem("too-large", message, help="split it into several files", file=source.name),)
    return Page(None, tuple(cells)), ()


def _separator(source: Source) -> Problem | None:
    """What separates cells in the first line that is written, if it is no comma."""
    first = re.search(r"\S[^\r\n]*", source.text)
    if first is None or "," in first[0]:
        return None
    for char, name in _OTHER.items():
        if (at := first[0].find(char, 0, len(first[0].rstrip()))) >= 0:
            span = Span(source, first.start() + at, first.start() + at + 1)
            message = f"the cells of this file are separated by {name}, not by commas"
            help = "save it with commas and with decimal points (`CSV UTF-8`), or as a workbook, .xlsx"
            return Problem("csv-separator", message, span, help)
    return None


def _rows(source: Source) -> Iterator[tuple[int, list[str] | Problem]]:
    """Rows with their numbers, empty ones passed over."""
    text, at, number = source.text, 0, 1
    while at < len(text):
        if (empty := _EMPTY.match(text, at)) is not None:
            number += len(_LINE_END.findall(empty[0]))
            at = empty.end()
            continue
        row: list[str] = []
        more = True
        while more:
            found = _next(source, at)
            if isinstance(found, Problem):
                yield number, found
                return
            cell, at, more = found
            row.append(cell)
            if len(row) > LIMITS.cells:
                message = f"a row may have at most {LIMITS.cells} cells, empty ones among them"
                place = Span(source, at - 1, at)
                yield number, Problem("columns-many", message, place, "is this the right file?")
                return
        yield number, row
        number += 1


def _next(source: Source, start: int) -> tuple[str, int, bool] | Problem:
    """The cell at an offset, where the next one begins, and whether it is of the same row."""
    text = source.text
    at = start + len(text[start : start + 100]) - len(text[start : start + 100].lstrip(" \t"))
    if text[at : at + 1] == '"':
        close = _closing(text, at + 1)
        if close < 0:
            message = "this quotation mark opens a cell that is never closed"
            help = "close it at the end of the cell; a mark inside a cell is written twice"
            return Problem("csv-quote", message, Span(source, at, at + 1), help)
        cell, at = text[at + 1 : close].replace('""', '"'), close + 1
    else:
        plain = _PLAIN.match(text, start)
        assert plain is not None
        cell, at = plain[0], plain.end()
        if '"' in cell:
            place = start + cell.index('"')
            message = "a quotation mark stands inside a cell that does not begin with one"
            help = "put the whole cell in quotes, and write the mark inside it twice; inches are written `7/8 in`"
            return Problem("csv-quote", message, Span(source, place, place + 1), help)
    end = _END.match(text, at)
    if end is None:
        message = "text follows behind the closing quotation mark of this cell"
        help = "a comma ends a cell; a mark inside a cell is written twice"
        return Problem("csv-quote", message, Span(source, at, at + 1), help)
    return cell, end.end(), end[1] == ","


def _closing(text: str, at: int) -> int:
    """Where a cell in quotes ends; -1 if it never does."""
    while (at := text.find('"', at)) >= 0 and text.startswith('""', at):
        at += 2
    return at


def _cell(row: int, column: int, text: str) -> Cell:
    if text.startswith("="):
        help = "write what it gives; a text that begins so stands behind an apostrophe: '="
        fault = Fault("csv-formula", "a text file holds no formulas, and this is one", help)
        return Cell(row, column, text, fault=fault)
    return Cell(row, column, text[1:].strip() if _GUARDED.match(text) else text)


def _beyond(cell: Cell, width: int) -> Cell:
    message = f"this row has cells beyond column {letters(width)}, the last one with a heading"
    help = "decimals are written with a point, and a text with a comma in it stands in quotes"
    return Cell(cell.row, cell.column, cell.text, fault=cell.fault or Fault("row-long", message, help))


def _short(cell: Cell, length: int, width: int) -> Cell:
    message = f"this row has {length} cells, and the first row has {width}"
    help = "a comma stands behind each cell but the last, an empty one too; is the file whole?"
    return Cell(cell.row, cell.column, cell.text, fault=cell.fault or Fault("row-short", message, help))
