"""An empty table as a workbook: a page for the readings, and one with the figures and the words that are allowed.

The second page is not read again. The same form gives the same bytes on any day.
"""

from __future__ import annotations

import datetime
import re
import zipfile
from collections.abc import Mapping, Sequence
from decimal import Decimal
from io import BytesIO
from typing import TYPE_CHECKING, Any

from ..explaining.labels import shown
from ..explaining.limits import Limits
from ..lang.calendar import read_date
from ..lang.number import read_number
from ..lang.problem import Problem, visible
from ..records.table import LABELS
from ..records.table_excel import FIGURES
from ..records.table_parts import letters
from ..sheet.columns import Column, columns_of
from ..sheet.form import Form
from .edition_text import enacted_text
from .limits import figure_text, said

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

_FIRST = 3
"""The first row of the first page below headings and labels."""
_ROWS = 1_000
"""Rows of the first page that have lists of words."""
_NARROW, _WIDE = 10, 44
_PROMPT = 255
_WIDTHS = (40, 70, 30, 14)
_TEXT, _DATE, _NUMBER = "@", "yyyy-mm-dd", "General"
_FIRST_DAY = (1980, 1, 1, 0, 0, 0)
_STAMP = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*")

Line = tuple[str, ...]


def sheet_excel(form: Form, limits: Limits) -> bytes | Problem:
    """What ``judge`` reads once it is filled in; a problem where nothing is there to write it with."""
    try:
        from openpyxl import Workbook
    except ImportError:
        help = "install `tautbook[excel]`, or write --format csv"
        return Problem("excel-missing", "a workbook is written with openpyxl, which is not installed", help=help)
    book = Workbook()
    book.remove(book.worksheets[0])
    first, second = book.create_sheet("readings"), book.create_sheet(FIGURES)
    columns = columns_of(form)
    _readings(first, columns, _figures(second, form, limits, columns))
    file = BytesIO()
    book.save(file)
    return _of_no_day(file.getvalue())


def _readings(page: Worksheet, columns: Sequence[Column], words: Mapping[str, str]) -> None:
    """Headings, the rows of the items, and for each column its format, its words and what the field is."""
    from openpyxl.styles import Font
    from openpyxl.worksheet.datavalidation import DataValidation

    page.freeze_panes = f"A{_FIRST}"
    for number, column in enumerate(columns, 1):
        box, letter = column.box, letters(number)
        _write(page, 1, number, column.heading)
        page.cell(1, number).font = Font(bold=True)
        _write(page, 2, number, LABELS if number == 1 else column.label)
        page.cell(2, number).font = Font(italic=True)
        page.column_dimensions[letter].width = min(max(_NARROW, len(column.heading) + 2, len(column.label) + 2), _WIDE)
        page.column_dimensions[letter].number_format = _format(column)
        for row, value in enumerate(column.values, _FIRST):
            page.cell(row, number).number_format = _format(column)
            if value:
                _write(page, row, number, value, _format(column))
        listed = words.get(column.heading)
        # A list of words that are only likely lets others through.
        check = DataValidation(
            type="list" if listed else None, formula1=listed, allow_blank=True, showErrorMessage=bool(box.words),
            errorTitle="not one of the words", error="Choose one of the words of the list.", showInputMessage=True,
            prompt=visible(f"{box.description} {box.definition or ''}".strip())[:_PROMPT],
        )  # fmt: skip
        check.add(f"{letter}{_FIRST}:{letter}{_ROWS}")
        page.add_data_validation(check)


def _figures(page: Worksheet, form: Form, limits: Limits, columns: Sequence[Column]) -> Mapping[str, str]:
    """What the rules ask, what the form calls each column, and the words that are allowed: where the words of each
    column stand, by its heading."""
    from openpyxl.styles import Alignment, Font

    lines: list[Line] = [*_about(form), (), ("what is asked", "figure", "on the dial", "clause")]
    heads = {1, len(lines)}
    for limit in limits.limits:
        dial = "" if limit.dial is None else shown(limit.dial)
        title = limit.requirement.watch or limit.requirement.title
        state = "broken already: " if limit.state == "broken" else ""
        lines.append((title, f"{state}{said(limit, limits)}", dial, limit.requirement.origin.clause or ""))
    for figure in limits.figures:
        lines.append((figure.figure.title, figure_text(figure), "", figure.figure.origin.clause or ""))
    lines += [(), ("left to people", "", "", "clause")]
    heads.add(len(lines))
    lines += [(each.what, "", "", each.clause or "") for each in form.edition.left_in(form.procedure.id)]
    lines += [(), ("cautions",)]
    heads.add(len(lines))
    lines += [(each,) for each in form.words.cautions]
    lines += [(), ("column", "on the form", "words", "that are allowed, or likely")]
    heads.add(len(lines))
    found: dict[str, str] = {}
    for column in columns:
        listed = column.box.words or column.box.offered
        kind = "" if not listed else "allowed" if column.box.words else "likely"
        lines.append((column.heading, column.label, kind, *listed))
        if listed:
            found[column.heading] = f"{FIGURES}!$D${len(lines)}:${letters(3 + len(listed))}${len(lines)}"
    for row, line in enumerate(lines, 1):
        for number, text in enumerate(line, 1):
            if text:
                _write(page, row, number, text)
                page.cell(row, number).font = Font(bold=row in heads)
                page.cell(row, number).alignment = Alignment(vertical="top", wrap_text=len(line) == len(_WIDTHS))
    for number, width in enumerate(_WIDTHS, 1):
        page.column_dimensions[letters(number)].width = width
    return found


def _about(form: Form) -> list[Line]:
    return [
        (form.headline,),
        (form.procedure.title,),
        (f"{form.edition.title}; {enacted_text(form.edition)}; {form.edition.digest}",),
        ("On the first page the second row says what the form calls each column; it is not read.",),
        ("Below it a row is one item. What is said of the whole record stands in its first row.",),
        ("Records stand one below the other, each with its number in its first row.",),
        ("What was not observed stays empty: it is never 0.",),
    ]


def _format(column: Column) -> str:
    """Texts and fractions are formatted as text: 0217 keeps its zero, and 7/8 becomes no date."""
    kind = column.box.kind
    if kind == "date":
        return _DATE
    return _NUMBER if kind in {"quantity", "number", "whole"} and column.box.entry != "text" else _TEXT


def _write(page: Worksheet, row: int, column: int, text: str, form: str = _TEXT) -> None:
    """A text is never taken for a formula: it is marked as one that was typed behind an apostrophe."""
    cell: Any = page.cell(row, column)
    text = visible(text)
    date = read_date(text) if form == _DATE else None
    if isinstance(date, datetime.date):
        cell.value = date
        cell.number_format = _DATE
    elif form == _NUMBER and read_number(text) is not None:
        cell.value = Decimal(text)
    else:
        cell.value = text
        cell.data_type = "s"
        cell.quotePrefix = text[:1] in "=+-@'"


def _of_no_day(data: bytes) -> bytes:
    """The same parts without the day on which they were written."""
    file = BytesIO()
    with zipfile.ZipFile(BytesIO(data)) as before, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as after:
        for name in before.namelist():
            part = before.read(name)
            if name == "docProps/core.xml":
                part = _STAMP.sub(rb"\g<1>1980-01-01T00:00:00Z", part)
            info = zipfile.ZipInfo(name, _FIRST_DAY)
            info.compress_type, info.external_attr = zipfile.ZIP_DEFLATED, 0o600 << 16
            after.writestr(info, part)
    return file.getvalue()
