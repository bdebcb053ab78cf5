"""One sheet of a workbook as its XML says it, told part by part: what a reader of values does not tell of it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from ..lang.limits import LIMITS
from .table_parts import Fault

_ROWS, _COLUMNS = 1_048_576, 16_384
_SPREAD = 10
_REFERENCE = re.compile(r"\$?([A-Z]{1,3})\$?([1-9][0-9]{0,6})")


@dataclass(slots=True)
class Scan:
    """One sheet, as its XML says it. Rows and columns count from 1."""

    name: str
    hidden: bool
    cells: int = 0
    filled: int = 0
    """Cells that hold anything."""
    last_column: int = 0
    """Of those."""
    spread: int = 0
    """Cells from the first column to the last one of each row, all rows together."""
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: list[tuple[int, int]] = field(default_factory=list)
    merged: list[str] = field(default_factory=list)
    formulas: dict[tuple[int, int], tuple[str, bool]] = field(default_factory=dict)
    """The formula of a cell, and whether its value is stored beside it."""


class Found(Exception):
    """Ends the parser where something was found that forbids reading on."""

    def __init__(self, fault: Fault) -> None:
        self.fault = fault


class Plain:
    """What is told of the elements of a part: names are local, without the namespace."""

    def start(self, name: str, attributes: dict[str, str]) -> None: ...

    def end(self, name: str) -> None: ...

    def text(self, text: str) -> None: ...


class Sheet(Plain):
    def __init__(self, scan: Scan) -> None:
        self.scan = scan
        self.row = self.column = 0
        self.formula: str | None = None
        self.stored = self.filled = False
        self.into = ""
        self.share: str | None = None
        self.shared: dict[str, str] = {}

    def start(self, name: str, attributes: dict[str, str]) -> None:
        scan = self.scan
        match name:
            case "row":
                self.row, self.column = int(attributes.get("r", self.row + 1)), 0
                if _unseen(attributes, "ht"):
                    scan.hidden_rows.add(self.row)
            case "c":
                if "r" in attributes:
                    self.row, self.column = _place(attributes["r"])
                else:
                    self.column += 1
                scan.cells += 1
                self.formula, self.stored, self.filled = None, attributes.get("t") == "str", False
                if scan.cells > LIMITS.nodes * _SPREAD or self.row > _ROWS or self.column > _COLUMNS:
                    raise Found(_too_large())
            case "col":
                if _unseen(attributes, "width"):
                    scan.hidden_columns.append((int(attributes["min"]), int(attributes["max"])))
            case "mergeCell":
                scan.merged.append(attributes["ref"])
            case "f":
                self.filled = True
                # One that fills several cells is written in the first of them only.
                self.share = attributes.get("si")
                self.formula = ""
        self.into = name

    def text(self, text: str) -> None:
        if self.into == "f" and self.formula is not None:
            self.formula += text
        elif self.into in {"v", "t"} and text.strip():
            self.stored = self.filled = True

    def end(self, name: str) -> None:
        self.into = ""
        if name == "c":
            if self.filled:
                self.scan.filled += 1
                self.scan.last_column = max(self.scan.last_column, self.column)
            if self.formula is not None:
                formula = self.formula if self.share is None else self.shared.setdefault(self.share, self.formula)
                self.scan.formulas[self.row, self.column] = (formula, self.stored)
        elif name == "row":
            self.scan.spread += self.column
            if self.scan.spread > LIMITS.nodes * _SPREAD:
                raise Found(_too_large())


def _unseen(attributes: dict[str, str], size: str) -> bool:
    """Whether a row or a column does not show: hidden, or of no size."""
    return attributes.get("hidden") in {"1", "true"} or re.fullmatch("0+(\\.0*)?", attributes.get(size, "")) is not None


def _too_large() -> Fault:
    message = f"a page may have at most {LIMITS.nodes * _SPREAD} cells, empty ones among them"
    return Fault("workbook-large", message, "copy the readings into a workbook of their own")


def _place(reference: str) -> tuple[int, int]:
    """Row and column of a reference such as K5. Raises ValueError."""
    found = _REFERENCE.fullmatch(reference)
    if found is None:
        raise ValueError(reference)
    column = 0
    for letter in found[1]:
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(found[2]), column


def corners(reference: str) -> tuple[int, int, int, int] | None:
    """Of a range such as A2:C4 the first row and column and the last ones; None if it is none."""
    first, _, last = reference.partition(":")
    try:
        return (*_place(first), *_place(last or first))
    except ValueError:
        return None
