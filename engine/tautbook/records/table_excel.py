"""A table as a workbook, .xlsx: values as they are stored, formulas by the value that was stored beside them.

Nothing is read unseen: a page, row or column that is hidden, merged cells, and formulas that come out otherwise on
another day are told. Macros never run; a workbook that holds any is refused.
"""

from __future__ import annotations

import datetime
import re
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from io import BytesIO
from typing import Any

from ..lang.limits import LIMITS
from ..lang.problem import Problem
from ..shape.scalars import short
from .table_package import BROKEN, scan
from .table_parts import Cell, Fault, Form, Page, letters
from .table_sheet import Scan, corners

FIGURES = "figures"
"""The page that an empty table brings along for who fills it in; it is not read."""
_CHANGING = re.compile(r"\b(TODAY|NOW|RAND|RANDBETWEEN|RANDARRAY)\s*\(", re.IGNORECASE)
_FIRST_DAY = datetime.date(1900, 3, 1)
"""Days before are numbers that were formatted as dates."""

Found = tuple[tuple[Page, ...], tuple[Problem, ...]]


def read_excel(data: bytes, name: str) -> Found:
    """The pages of a workbook that hold anything, or why it cannot be read."""
    try:
        from openpyxl import load_workbook
    except ImportError:
        message = "a workbook is read with openpyxl, which is not installed"
        help = "install `tautbook[excel]`, or save the page as CSV UTF-8"
        return (), (Problem("excel-missing", message, file=name, help=help),)
    scans = scan(data)
    if isinstance(scans, Fault):
        return (), (_of_file(scans, name),)
    problems = [_of_file(fault, name) for fault in _pages_wrong(scans)]
    if problems:
        return (), tuple(problems)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of what it leaves out: pictures, checks of what is typed
            book = load_workbook(BytesIO(data), read_only=True, data_only=True, keep_links=False)
            both = zip(scans, book.worksheets, strict=True)
            pages = tuple(_page(sheet, each) for each, sheet in both if each.filled and not _beside(each))
    except Exception:  # a broken part fails in ways without number
        return (), (_of_file(BROKEN, name),)
    if sum(len(page.cells) for page in pages) > LIMITS.nodes:
        message = f"a file may have at most {LIMITS.nodes} cells"
        return (), (Problem("too-large", message, file=name, help="split it into several files"),)
    return tuple(page for page in pages if page.cells), ()


def _beside(scan: Scan) -> bool:
    return scan.name.lower() == FIGURES


def _of_file(fault: Fault, name: str) -> Problem:
    return Problem(fault.code, fault.message, file=name, help=fault.help)


def _pages_wrong(scans: Sequence[Scan]) -> Iterator[Fault]:
    for each in scans:
        if each.hidden and each.filled and not _beside(each):
            message = f"the page `{short(each.name)}` is hidden, and what stands in it would not be seen"
            yield Fault("page-hidden", message, "show it, or delete it")
        if not _beside(each) and each.last_column > LIMITS.columns:
            message = f"the page `{short(each.name)}` has more than {LIMITS.columns} columns"
            yield Fault("columns-many", message, "is this the right file?")


def _page(sheet: Any, scan: Scan) -> Page:
    sheet.reset_dimensions()
    found = [cell for row in sheet.iter_rows() for cell in _cells(row, scan)]
    return Page(scan.name, tuple(_told(found, scan)))


def _cells(row: Sequence[Any], scan: Scan) -> Iterator[Cell]:
    for cell in row:
        if cell.value is None and (not scan.formulas or not hasattr(cell, "row")):
            continue  # nothing was ever there
        formula = scan.formulas.get((cell.row, cell.column))
        value = _value(cell) if cell.value is not None else None
        if formula is not None and not formula[1]:
            message = "the value of this formula is not stored in the file"
            help = "open the file in a spreadsheet program, and save it again; or write the figure itself"
            yield Cell(cell.row, cell.column, f"={formula[0]}".strip(), fault=Fault("formula-unsaved", message, help))
        elif value is not None:
            text, form, fault = value
            if formula is not None and _CHANGING.search(formula[0]):
                message = f"`={short(formula[0])}` gives something else each time"
                fault = Fault("formula-changing", message, "write the value itself")
            yield Cell(cell.row, cell.column, text, form, cell.number_format or "", fault)


def _value(cell: Any) -> tuple[str, Form, Fault | None] | None:
    """What a cell holds as text; None if that is nothing but white space."""
    value = cell.value
    match value:
        case bool():
            return ("true" if value else "false"), "yes-no", None
        case int() | float():
            return _number(value)
        case datetime.datetime() | datetime.date():
            return _date(value)
        case str():
            text = value.strip()
            fault = None
            if cell.data_type == "e":
                fault = Fault("cell-error", f"this cell holds the error {text}", "mend the formula, or write the value")
            return (text, "text", fault) if text else None
        case _:
            help = "write the value as text"
            return str(value), "text", Fault("cell-kind", "this cell holds a time of day or a duration", help)


def _number(value: Any) -> tuple[str, Form, Fault | None]:
    """The shortest decimal that stands for the binary number, which has no more digits than were typed."""
    exact = Decimal(repr(value))
    if not exact.is_finite():
        return repr(value), "text", Fault("cell-error", "this cell holds no finite number", "write the value again")
    return (str(int(exact)) if exact == exact.to_integral_value() else f"{exact:f}"), "number", None


def _date(value: Any) -> tuple[str, Form, Fault | None]:
    if isinstance(value, datetime.datetime):
        if value.time() != datetime.time():
            message = f"this cell holds a time of day beside the date: {value.isoformat(' ')}"
            return value.isoformat(" "), "date", Fault("date-time", message, "write the date alone")
        value = value.date()
    fault = None
    if value < _FIRST_DAY:
        message = "this cell shows a number as a date"
        fault = Fault("date-made", message, "write the value again, and format the cell as what it is")
    return value.isoformat(), "date", fault


def _told(cells: Sequence[Cell], scan: Scan) -> Iterator[Cell]:
    """The cells, with what is hidden and what is merged told at the first cell that it touches."""
    merged = {}
    for reference in scan.merged:
        found = corners(reference)
        if found is not None and found[:2] != found[2:]:
            merged[found[:2]] = reference
    rows: set[int] = set()
    columns: set[int] = set()
    for cell in cells:
        fault = cell.fault
        if cell.row in scan.hidden_rows and cell.row not in rows:
            rows.add(cell.row)
            message = f"row {cell.row} is hidden, and what stands in it would not be seen"
            fault = Fault("row-hidden", message, "show it (a filter hides rows too), or delete it")
        elif cell.column not in columns and any(a <= cell.column <= b for a, b in scan.hidden_columns):
            columns.add(cell.column)
            message = f"column {letters(cell.column)} is hidden, and what stands in it would not be seen"
            fault = Fault("column-hidden", message, "show it, or delete it")
        elif (cell.row, cell.column) in merged:
            message = f"the cells {merged[cell.row, cell.column]} are merged, and only the first holds this"
            fault = Fault("cells-merged", message, "take them apart, and write into each cell what it is to hold")
        yield replace(cell, fault=fault)
