"""The folder that was named: records in it are found by file or by number, and nothing outside of it is read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from ..lang.files import read_file, why
from ..lang.limits import LIMITS
from ..lang.problem import Problem
from ..lang.reading_parts import bounded_lines
from ..lang.tree import Scalar
from .numbers import numbers_in
from .read import Found, read_record_lines, read_records
from .table_file import ENDINGS as TABLES

ENDINGS = (".yaml", ".yml", ".json", ".jsonl", *TABLES)
"""How the names of files with records end."""

UNSEEN = (".", "~$")
"""How the names of files begin that are passed over: hidden ones, and what programs put beside an open workbook."""


Place = tuple[Path, int | None]
"""A file; and where it holds several records the line in it, or which one of its table."""

_KEPT = 64


@dataclass(slots=True)
class Folder:
    """A folder and its folders. What was found out about it is kept."""

    root: Path
    _numbers: dict[str, list[Place]] | None = field(default=None, repr=False)
    _read: dict[Place, Found] = field(default_factory=dict, repr=False)
    """The last records that were asked for: many may rest on the same one."""
    _table: tuple[Path, list[Found]] | None = field(default=None, repr=False)
    """The table that was read last, whole: many may rest on its rows."""

    def record(self, name: Scalar, near: str) -> Found:
        """The record that ``name`` stands for in the file ``near``: a file if it is written like one, else a number."""
        text = name.text
        if text.lower().endswith(ENDINGS):
            return self._by_file(name, near)
        if ("/" in text or "\\" in text) and self._is_file(text, near):
            return self._by_file(name, near)
        return self._by_number(name)

    def _is_file(self, name: str, near: str) -> bool:
        try:
            path = (Path(near).parent / name).resolve()
            return path.is_relative_to(self.root.resolve()) and path.is_file()
        except (OSError, ValueError, RuntimeError):
            return False

    def _by_file(self, name: Scalar, near: str) -> Found:
        path = Path(name.text)
        try:
            inside = (Path(near).parent / path).resolve()
            if path.is_absolute() or not inside.is_relative_to(self.root.resolve()):
                message = "this file lies outside of the folder that was named"
                help = "copy it beside this record, or name a folder that holds both"
                return None, (Problem("evidence-outside", message, name.span, help),)
            if not inside.is_file():
                help = "the name counts from the folder of this record"
                return None, (Problem("evidence-missing", f"there is no file `{name.text}`", name.span, help),)
        except (OSError, ValueError, RuntimeError):  # RuntimeError: a link that leads to itself
            return None, (Problem("evidence-missing", f"there is no file `{name.text}`", name.span),)
        return _one(list(records_in(inside, str(Path(near).parent / path))), name)

    def _by_number(self, name: Scalar) -> Found:
        try:
            numbers = self._index()
        except OSError as error:
            return None, (Problem("evidence-missing", why(error), name.span),)
        if numbers is None:
            message = f"more than {LIMITS.files} files lie in this folder, too many to look for a number"
            return None, (Problem("folder-large", message, name.span, "name the file of the record"),)
        places = numbers.get(name.text, [])
        if len(places) > 1:
            where = " and ".join(dict.fromkeys(path.name for path, _ in places))
            message = f"more than one record has the number {name.text}: in {where}"
            return None, (Problem("evidence-twice", message, name.span, "name the file of the one that is meant"),)
        if not places:
            message = f"no record in this folder has the number {name.text}"
            help = "check the number, or name the file of the record"
            return None, (Problem("evidence-missing", message, name.span, help),)
        return self._at(places[0])

    def _at(self, place: Place) -> Found:
        path, which = place
        if which is not None and path.name.lower().endswith(TABLES):
            if self._table is None or self._table[0] != path:
                self._table = (path, list(records_in(path, str(path))))
            found = self._table[1]
            return found[min(which, len(found)) - 1]
        if place not in self._read:
            if len(self._read) >= _KEPT:
                self._read.pop(next(iter(self._read)))
            path, line = place
            self._read[place] = next(records_in(path, str(path), line))
        return self._read[place]

    def _index(self) -> dict[str, list[Place]] | None:
        """Where the records of each number stand; None where there are too many files."""
        if self._numbers is None:
            numbers: dict[str, list[Place]] = {}
            for n, path in enumerate(_files(self.root)):
                if n >= LIMITS.files:
                    return None
                for line, number in numbers_in(path):
                    numbers.setdefault(number, []).append((path, line))
            self._numbers = numbers
        return self._numbers


def _one(found: list[Found], name: Scalar) -> Found:
    if len(found) == 1:
        return found[0]
    message = f"`{name.text}` holds {len(found)} records, and one is meant"
    return None, (Problem("one-record", message, name.span, "give the number of the record instead"),)


def _files(root: Path) -> Iterator[Path]:
    for path in sorted(root.rglob("*")):
        hidden = any(part.startswith(UNSEEN) for part in path.relative_to(root).parts)
        if path.name.lower().endswith(ENDINGS) and not hidden and path.is_file() and not path.is_symlink():
            yield path


def records_in(path: Path, shown: str, line: int | None = None) -> Iterator[Found]:
    """The records in a file: one, those of a table, or one a line with the memory of one line; with ``line`` only the
    one in that line."""
    if path.name.lower().endswith(".jsonl"):
        try:
            with path.open("rb") as lines:
                whole = bounded_lines(lines)
                yield from read_record_lines(whole if line is None else _only(line, whole), shown)
        except OSError as error:
            yield None, (Problem("file-unreadable", why(error), file=shown),)
        return
    data, problem = read_file(path, shown)
    if problem is not None:
        yield None, (problem,)
    else:
        yield from read_records(data or b"", shown)


def _only(wanted: int, lines: Iterable[bytes]) -> Iterator[bytes]:
    """The other lines are blank, so that the one keeps its place; nothing is read after it."""
    for n, line in enumerate(lines, 1):
        yield line if n == wanted else b"\n"
        if n == wanted:
            return
