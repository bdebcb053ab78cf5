"""The package that a workbook is, a zip archive of XML parts: looked through before anything takes it apart.

Sizes are those that the directory of the archive states, beyond which nothing is ever unpacked. What a reader of values
does not tell is found here: what is hidden, what is merged, formulas and whether their value was stored.
"""

from __future__ import annotations

import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from io import BytesIO
from posixpath import join, normpath, split
from typing import IO
from xml.parsers import expat

from ..lang.limits import LIMITS
from .table_parts import Fault

_PARTS = 2_000
_DEPTH = 64
_ROWS, _COLUMNS = 1_048_576, 16_384
_SPREAD = 10
_MACROS = re.compile(r"vbaproject|vbadata|macrosheets/|activex/", re.IGNORECASE)
_REFERENCE = re.compile(r"\$?([A-Z]{1,3})\$?([1-9][0-9]{0,6})")
_OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"

BROKEN = Fault("workbook-broken", "this workbook cannot be read", "open it in its program, and save it again as .xlsx")

_BROKEN = (
    zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError, LookupError, NotImplementedError, RuntimeError,
    StopIteration,
)  # fmt: skip


@dataclass(slots=True)
class Scan:
    """One sheet, as its XML says it. Rows and columns count from 1."""

    name: str
    hidden: bool
    cells: int = 0
    last_column: int = 0
    spread: int = 0
    """Cells from the first column to the last one of each row, all rows together."""
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: list[tuple[int, int]] = field(default_factory=list)
    merged: list[str] = field(default_factory=list)
    formulas: dict[tuple[int, int], tuple[str, bool]] = field(default_factory=dict)
    """The formula of a cell, and whether its value is stored beside it."""


def scan(data: bytes) -> list[Scan] | Fault:
    """The sheets of a workbook in their order, or why it is not taken apart. Never raises, whatever the bytes."""
    if data.startswith(_OLD):
        message = "this is a workbook of the old form, .xls, or one that is locked by a password"
        return Fault("workbook-old", message, "save it again as .xlsx, without a password")
    try:
        with zipfile.ZipFile(BytesIO(data)) as package:
            return _directory(package) or _sheets(package)
    except _Found as found:
        return found.fault
    except _BROKEN:
        return BROKEN


class _Found(Exception):
    """Ends the parser where something was found that forbids reading on."""

    def __init__(self, fault: Fault) -> None:
        self.fault = fault


def _directory(package: zipfile.ZipFile) -> Fault | None:
    parts = package.infolist()
    if len(parts) > _PARTS or sum(part.file_size for part in parts) > LIMITS.unpacked:
        message = f"this workbook comes to more than {LIMITS.unpacked} bytes, unpacked, or to more than {_PARTS} parts"
        return Fault("workbook-large", message, "copy the readings into a workbook of their own")
    names = [part.filename.lower() for part in parts]
    if any(_MACROS.search(name) for name in names):
        message = "this workbook holds macros"
        return Fault("workbook-macros", message, "save it as .xlsx, a workbook without macros")
    known = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
    odd = any(part.flag_bits & 1 or part.compress_type not in known for part in parts)
    return BROKEN if odd or len(set(names)) != len(names) else None


def _sheets(package: zipfile.ZipFile) -> list[Scan] | Fault:
    parsed = set()

    def parse(name: str, told: _Plain) -> None:
        parsed.add(name)
        _parse(package, name, told)

    def beside(name: str) -> dict[str, tuple[str, str]]:
        """What the part ``name`` refers to: kind and part, by the id of the reference."""
        folder, base = split(name)
        relations = _Relations()
        parse(join(folder, "_rels", f"{base}.rels"), relations)
        return {id: (kind, _inside(folder, target)) for id, (kind, target) in relations.found.items()}

    book = next(target for kind, target in beside("").values() if kind.endswith("/officeDocument"))
    told = _Book()
    parse(book, told)
    parts = beside(book)
    found = []
    for name, state, relation in told.sheets:
        kind, target = parts[relation]
        if kind.endswith("/worksheet"):  # a page of a drawing has no cells
            sheet = _Sheet(Scan(name, state != "visible"))
            parse(target, sheet)
            found.append(sheet.scan)
    for part in package.namelist():
        # The others too state no entities, which can grow without end.
        if part.lower().endswith((".xml", ".rels")) and part not in parsed:
            parse(part, _Plain())
    return found or BROKEN


def _inside(folder: str, target: str) -> str:
    return target[1:] if target.startswith("/") else normpath(join(folder, target))


class _Plain:
    """What is told of the elements of a part: names are local, without the namespace."""

    def start(self, name: str, attributes: dict[str, str]) -> None: ...

    def end(self, name: str) -> None: ...

    def text(self, text: str) -> None: ...


class _Relations(_Plain):
    def __init__(self) -> None:
        self.found: dict[str, tuple[str, str]] = {}

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "Relationship":
            self.found[attributes["Id"]] = (attributes["Type"], attributes["Target"])


class _Book(_Plain):
    def __init__(self) -> None:
        self.sheets: list[tuple[str, str, str]] = []

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "sheet":
            self.sheets.append((attributes["name"], attributes.get("state", "visible"), attributes["id"]))


class _Sheet(_Plain):
    def __init__(self, scan: Scan) -> None:
        self.scan = scan
        self.row = self.column = 0
        self.formula: str | None = None
        self.stored = False
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
                self.formula, self.stored = None, attributes.get("t") == "str"
                if scan.cells > LIMITS.nodes * _SPREAD or self.row > _ROWS or self.column > _COLUMNS:
                    raise _Found(_too_large())
            case "col":
                if _unseen(attributes, "width"):
                    scan.hidden_columns.append((int(attributes["min"]), int(attributes["max"])))
            case "mergeCell":
                scan.merged.append(attributes["ref"])
            case "f":
                # One that fills several cells is written in the first of them only.
                self.share = attributes.get("si")
                self.formula = ""
        self.into = name

    def text(self, text: str) -> None:
        if self.into == "f" and self.formula is not None:
            self.formula += text
        elif self.into == "v" and text.strip():
            self.stored = True

    def end(self, name: str) -> None:
        self.into = ""
        if name == "c":
            self.scan.last_column = max(self.scan.last_column, self.column)
            if self.formula is not None:
                formula = self.formula if self.share is None else self.shared.setdefault(self.share, self.formula)
                self.scan.formulas[self.row, self.column] = (formula, self.stored)
        elif name == "row":
            self.scan.spread += self.column
            if self.scan.spread > LIMITS.nodes * _SPREAD:
                raise _Found(_too_large())


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


def _parse(package: zipfile.ZipFile, name: str, told: _Plain) -> None:
    parser = expat.ParserCreate(namespace_separator=" ")
    depth = 0

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal depth
        depth += 1
        if depth > _DEPTH:
            raise _Found(BROKEN)
        told.start(name.rpartition(" ")[2], {key.rpartition(" ")[2]: value for key, value in attributes.items()})

    def end(name: str) -> None:
        nonlocal depth
        depth -= 1
        told.end(name.rpartition(" ")[2])

    def refuse(*_: object) -> None:
        raise _Found(Fault("workbook-entities", "the XML of this workbook states entities of its own", BROKEN.help))

    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.CharacterDataHandler = told.text
    parser.StartDoctypeDeclHandler = parser.EntityDeclHandler = refuse
    try:
        with package.open(name) as part:
            for chunk in _chunks(part, package.getinfo(name).file_size):
                parser.Parse(chunk)
        parser.Parse(b"", True)
    except expat.ExpatError:
        raise _Found(BROKEN) from None


def _chunks(part: IO[bytes], size: int) -> Iterator[bytes]:
    """No more than the directory states."""
    while size > 0 and (chunk := part.read(min(size, 65_536))):
        size -= len(chunk)
        yield chunk
