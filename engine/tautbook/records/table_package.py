"""The package that a workbook is, a zip archive of XML parts: looked through before anything takes it apart.

Sizes are those that the directory of the archive states, beyond which nothing is ever unpacked. What a reader of values
does not tell is found here: what is hidden, what is merged, formulas and whether their value was stored.
"""

from __future__ import annotations

import re
import zipfile
import zlib
from collections.abc import Iterator
from io import BytesIO
from posixpath import join, normpath, split
from typing import IO
from xml.parsers import expat

from ..lang.limits import LIMITS
from .table_parts import Fault
from .table_sheet import Found, Plain, Scan, Sheet

_PARTS = 2_000
_DEPTH = 64
_MACROS = re.compile(r"vbaproject|vbadata|macrosheets/|activex/", re.IGNORECASE)
_OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"

BROKEN = Fault("workbook-broken", "this workbook cannot be read", "open it in its program, and save it again as .xlsx")

_BROKEN = (
    zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError, LookupError, NotImplementedError, RuntimeError,
    StopIteration,
)  # fmt: skip


def scan(data: bytes) -> list[Scan] | Fault:
    """The sheets of a workbook in their order, or why it is not taken apart. Never raises, whatever the bytes."""
    if data.startswith(_OLD):
        message = "this is a workbook of the old form, .xls, or one that is locked by a password"
        return Fault("workbook-old", message, "save it again as .xlsx, without a password")
    try:
        with zipfile.ZipFile(BytesIO(data)) as package:
            return _directory(package) or _sheets(package)
    except Found as found:
        return found.fault
    except _BROKEN:
        return BROKEN


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

    def parse(name: str, told: Plain) -> None:
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
            sheet = Sheet(Scan(name, state != "visible"))
            parse(target, sheet)
            found.append(sheet.scan)
    for part in package.namelist():
        # The others too state no entities, which can grow without end.
        if part.lower().endswith((".xml", ".rels")) and part not in parsed:
            parse(part, Plain())
    return found or BROKEN


def _inside(folder: str, target: str) -> str:
    return target[1:] if target.startswith("/") else normpath(join(folder, target))


class _Relations(Plain):
    def __init__(self) -> None:
        self.found: dict[str, tuple[str, str]] = {}

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "Relationship":
            self.found[attributes["Id"]] = (attributes["Type"], attributes["Target"])


class _Book(Plain):
    def __init__(self) -> None:
        self.sheets: list[tuple[str, str, str]] = []

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "sheet":
            self.sheets.append((attributes["name"], attributes.get("state", "visible"), attributes["id"]))


def _parse(package: zipfile.ZipFile, name: str, told: Plain) -> None:
    parser = expat.ParserCreate(namespace_separator=" ")
    depth = 0

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal depth
        depth += 1
        if depth > _DEPTH:
            raise Found(BROKEN)
        told.start(name.rpartition(" ")[2], {key.rpartition(" ")[2]: value for key, value in attributes.items()})

    def end(name: str) -> None:
        nonlocal depth
        depth -= 1
        told.end(name.rpartition(" ")[2])

    def refuse(*_: object) -> None:
        raise Found(Fault("workbook-entities", "the XML of this workbook states entities of its own", BROKEN.help))

    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.CharacterDataHandler = told.text
    parser.StartDoctypeDeclHandler = parser.EntityDeclHandler = refuse
    try:
        with package.open(name) as part:
            for chunk in _chunks(part, package.getinfo(name).file_size):
                parser.Parse(chunk)
        parser.Parse(b"", True)
    except expat.ExpatError:
        raise Found(BROKEN) from None


def _chunks(part: IO[bytes], size: int) -> Iterator[bytes]:
    """No more than the directory states."""
    while size > 0 and (chunk := part.read(min(size, 65_536))):
        size -= len(chunk)
        yield chunk
