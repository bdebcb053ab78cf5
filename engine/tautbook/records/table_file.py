"""Bytes of a file that holds a table -> Table: text with commas, or a workbook."""

from __future__ import annotations

import re

from ..lang.limits import LIMITS
from ..lang.problem import Problem
from ..lang.reading import read_text
from ..lang.reading_build import file_large, text_problems
from ..lang.source import Span
from .table import Table, read_table
from .table_csv import read_csv
from .table_parts import Page

ENDINGS = (".csv", ".xlsx")
"""How the names of tables end."""
_NOT_TAKEN = {
    ".xlsm": "a workbook with macros", ".xlsb": "a binary workbook", ".xls": "a workbook of the old form",
    ".ods": "a workbook of another form", ".tsv": "a table with tabs",
}  # fmt: skip
_OTHERS = frozenset({".yaml", ".yml", ".json", ".jsonl"})
_ZIP = b"PK\x03\x04"
_TEXT_TABLE = re.compile(rb'(?:\xef\xbb\xbf)?"?(?:procedure|id)"?[ \t]*[,;\t]')


def is_table(data: bytes, name: str) -> bool:
    """Whether a file is read as a table: by its name, or where the name says nothing by how it begins."""
    ending = _ending(name)
    if ending in (*ENDINGS, *_NOT_TAKEN):
        return True
    return ending not in _OTHERS and (data.startswith(_ZIP) or _TEXT_TABLE.match(data) is not None)


def _ending(name: str) -> str:
    return f".{name.rpartition('.')[2].lower()}" if "." in name else ""


def open_table(data: bytes, name: str) -> tuple[Table | None, tuple[Problem, ...]]:
    """The table in a file; None where it cannot be cut into rows at all, and why."""
    if (what := _NOT_TAKEN.get(_ending(name))) is not None:
        message = f"this is {what}, which is not read"
        return None, (Problem("table-form", message, file=name, help="save it as .xlsx or as CSV UTF-8"),)
    if len(data) > LIMITS.bytes:
        return None, (file_large(name, LIMITS),)
    pages, problems = _pages(data, name)
    if problems:
        return None, problems
    if not pages:
        help = "the first row holds the paths of fields, each row below it an item of a record"
        return None, (Problem("table-empty", "there is nothing in this table", file=name, help=help),)
    table = read_table(name, pages)
    wrong = text_problems(table.source, LIMITS)
    texts = (each.text for _, each in table.source.cells)
    long = next((at for at, text in zip(table.source.starts, texts, strict=True) if len(text) > LIMITS.scalar), None)
    if wrong:
        return None, wrong
    if long is not None:
        message = f"a text may have at most {LIMITS.scalar} characters"
        return None, (Problem("text-long", message, Span(table.source, long, long + 1), "shorten it"),)
    if not table.groups and not table.problems:
        message = "there are headings here, and no rows below them"
        return None, (Problem("table-empty", message, Span(table.source, 0, 1), "write a row for each item"),)
    return table, ()


def _pages(data: bytes, name: str) -> tuple[tuple[Page, ...], tuple[Problem, ...]]:
    if data.startswith(_ZIP) or _ending(name) == ".xlsx":
        from .table_excel import read_excel

        return read_excel(data, name)
    source, problems = read_text(data, name)
    if source is None:
        return (), problems
    page, problems = read_csv(source)
    return (() if page is None or not page.cells else (page,)), problems
