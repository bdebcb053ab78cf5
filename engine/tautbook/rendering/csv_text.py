"""Rows for a spreadsheet (RFC 4180): every cell in quotes, none that a spreadsheet would take for a formula."""

from __future__ import annotations

import re
from collections.abc import Iterable

from ..lang.problem import visible

_FORMULA = re.compile(r"\s*['=+\-@\t\r\n\0＝＋－＠]")
"""How a text begins that could run as a formula; an apostrophe too, so that taking one off gives the text back."""


def csv_row(cells: Iterable[str]) -> str:
    """One row, its line ended by CR LF."""
    return ",".join('"{}"'.format(cell.replace('"', '""')) for cell in cells) + "\r\n"


def cell(*lines: str) -> str:
    """Text as a cell, a line each: nothing in it hidden, and behind an apostrophe if it could run as a formula."""
    text = "\n".join(visible(line) for line in lines)
    return f"'{text}" if lines and _FORMULA.match("\n".join(lines)) else text
