"""A cell of a table as the scalar that a record file would hold there, by the kind of its field.

A number of a workbook is the shortest decimal that its binary value stands for, which is what was typed as long as it
has no more than 15 digits. Nothing is guessed: what a spreadsheet made of a value by itself is a problem.
"""

from __future__ import annotations

import re

from ..lang.problem import Problem
from ..lang.quantity import DIMENSIONLESS, Mistake, Quantity, dimension_named, read_quantity
from ..lang.tree import Scalar, Style
from ..lang.units import UNITS
from ..shape.scalars import short
from .table_headings import ANSWERS, Column
from .table_parts import Cell, Placed

_YES = frozenset({"true", "yes"})
_NO = frozenset({"false", "no"})
_DIGITS = 15
_PLAIN_FORMATS = frozenset({"", "General", "@", "0"})
_SECTION = re.compile(r'(?:"[^"]*"|\\.|\[[^\]]*\]|[^;])+')
_WORDS = re.compile(r'"([^"]*)"|\\(.)|\[\$(.*?)(?:-[0-9A-Fa-f]+)?\]|\[[^\]]*\]|[_*].')
"""Of a number format: texts in quotes, behind a backslash and in brackets; and what shows nothing."""
_FORMAT = 255
"""Characters of a number format that a program takes."""
_OF_NUMBERS = 3
"""Sections of a number format: of numbers above 0, below 0 and 0. One more is of texts."""
_SCALED = re.compile(r"[0#?],+(?![0#?,])")


def scalar_of(placed: Placed, column: Column) -> Scalar | Problem:
    """What stands in the cell, as it would stand in a record file; whether it fits is for the shape stage to say."""
    cell, kind = placed.cell, column.schema["x-kind"]
    name = column.steps[-1][0]
    wrong = _made_by_the_program(cell, kind, name)
    if wrong is not None:
        return Problem(wrong[0], wrong[1], placed.span, wrong[2])
    if kind == "yes-no" or (kind == "raw" and column.unit == ANSWERS):
        return _yes_no(placed, name)
    if kind in {"quantity", "number"} or (kind == "raw" and column.unit is not None):
        return _quantity(placed, column, name)
    if kind == "raw":
        # Of an authority's own observations the kind is known to its editions only.
        return _scalar(placed, cell.text.lower() if cell.text in {"TRUE", "FALSE"} else cell.text, "plain")
    return _scalar(placed, cell.text, "plain" if kind == "whole" else "double")


def _made_by_the_program(cell: Cell, kind: str, name: str) -> tuple[str, str, str] | None:
    """Where a program shows, or holds, something else than what was typed: code, message and help."""
    if cell.form == "date" and kind not in {"date", "raw"}:
        message = f"this cell holds the date {cell.text}, and `{name}` is no date"
        help = "programs make dates of texts such as 7/8: format the cell as text, and write it again"
        return "date-made", message, help
    if cell.form == "yes-no" and kind not in {"yes-no", "raw"}:
        return "cell-kind", f"this cell holds yes or no, and `{name}` is something else", "write it again, as text"
    if cell.form != "number":
        return None
    if kind == "date":
        message = f"this cell holds the number {short(cell.text)}, and `{name}` is a date"
        return "date-number", message, "format the cell as a date, or write year-month-day such as 2026-04-14 into it"
    digits = len(cell.text.replace(".", "").strip("-0"))
    if digits > _DIGITS or (len(cell.text) > _DIGITS and "." not in cell.text):
        message = f"a cell holds {_DIGITS} digits of a number, and {short(cell.text)} has more"
        help = "write the figure as it was read; a number of a lot or a device in a cell formatted as text"
        return "digits-many", message, help
    form = cell.shown_as
    if _SCALED.search(form) or (kind in {"text", "choice", "evidence"} and form not in _PLAIN_FORMATS):
        message = f"this cell holds {cell.text}, and shows it otherwise, in the format `{short(form)}`"
        return "number-shown", message, "format the cell as text, and write what it is to say"
    return None


def _yes_no(placed: Placed, name: str) -> Scalar | Problem:
    word = placed.cell.text.lower()
    if word in _YES or word in _NO:
        return Scalar("true" if word in _YES else "false", "plain", placed.span)
    message = f"`{name}` is answered by `yes` or `no`, not `{short(placed.cell.text)}`"
    return Problem("yes-no", message, placed.span, "write `yes` or `no`; what was not observed stays empty")


def _quantity(placed: Placed, column: Column, name: str) -> Scalar | Problem:
    cell, unit = placed.cell, column.unit
    kind = column.schema["x-kind"]
    dimension = None if kind == "raw" else dimension_named(column.schema.get("x-dimension", DIMENSIONLESS.name))
    form = cell.shown_as[:_FORMAT] if cell.form == "number" else ""
    if (kind == "quantity" or unit is not None) and "%" in _WORDS.sub("", form):
        message = f"this cell holds {cell.text}, and shows a hundred times that, in the format `{short(form)}`"
        return Problem("number-shown", message, placed.span, "format the cell as a number, and write it again")
    others = _shown_units(form) - {unit}
    if others:
        shown = min(others)
        if unit is None:
            message = f"`{short(shown)}` is shown by the format of this cell, and is not in it"
            help = f"write the unit into the heading: `{_heading(column, shown)}`"
        else:
            message = f"the format of this cell shows `{short(shown)}`, and the heading says {unit}"
            help = "see which of them the figure is in, and format the cell as a number without a unit"
        return Problem("unit-shown", message, placed.span, help)
    alone = read_quantity(cell.text, dimension)
    if unit is None:
        if isinstance(alone, Mistake) and isinstance(read_quantity(cell.text, DIMENSIONLESS), Quantity):
            offered = [*column.schema.get("x-unit", ()), "unit"][0]
            heading = _heading(column, offered)
            help = f"write it into the heading, `{heading}`, or into the cell, `{short(cell.text)} {offered}`"
            return Problem("unit-missing", f"`{short(cell.text)}` has no unit", placed.span, help)
        return _scalar(placed, cell.text, "double")
    whole = f"{cell.text} {unit}"
    if isinstance(read_quantity(whole, dimension), Quantity):
        return _scalar(placed, whole, "double")
    if isinstance(alone, Quantity) and kind != "number":
        if alone.unit != UNITS[unit]:
            message = f"`{short(cell.text)}` has another unit than the heading, {unit}"
            return Problem("unit-twice", message, placed.span, "convert it, or leave the unit out of the heading")
        return _scalar(placed, cell.text, "double")
    bare = re.search(r"[^\W\d_]|[\"'″′]", cell.text) is None
    return _scalar(placed, whole if bare else cell.text, "double")


def _shown_units(form: str) -> set[str]:
    """The words that a number format shows behind the number, in any of its sections."""
    sections = _SECTION.findall(form)[:_OF_NUMBERS]
    found = ("".join(map("".join, _WORDS.findall(section))).strip() for section in sections)
    return {words for words in found if re.search(r"[\w%]", words)}


def _heading(column: Column, unit: str) -> str:
    steps = ".".join(name if number is None else f"{name}[{number}]" for name, number in column.steps)
    return f"{f'{column.each}.' if column.each else ''}{steps} [{unit}]"


def _scalar(placed: Placed, text: str, style: Style) -> Scalar:
    """Characters behind what the cell holds have their place at its end."""
    start, length = placed.span.start, len(placed.cell.text)
    offsets = tuple(start + min(n, length) for n in range(len(text) + 1))
    return Scalar(text, style, placed.span, offsets)
