"""The folder that was named: records in it are found by file or by number, and nothing outside of it is read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from ..lang.files import read_file, why
from ..lang.limits import LIMITS
from ..lang.problem import Problem
from ..lang.tree import Scalar
from .read import Found, read_record_lines, read_records
from .record import Record

ENDINGS = (".yaml", ".yml", ".json", ".jsonl")
"""How the names of files with records end."""


@dataclass(slots=True)
class Folder:
    """A folder and its folders. What was found out about it is kept."""

    root: Path
    _numbers: dict[str, list[Path]] | None = field(default=None, repr=False)

    def record(self, name: Scalar, near: str) -> Found:
        """The record that ``name`` stands for in the file ``near``: a file if it is written like one, else a number."""
        if _is_file_name(name.text):
            return self._by_file(name, near)
        return self._by_number(name)

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
        except (OSError, ValueError):
            return None, (Problem("evidence-missing", f"there is no file `{name.text}`", name.span),)
        return _one(list(_records(inside, str(Path(near).parent / path))), name)

    def _by_number(self, name: Scalar) -> Found:
        if self._numbers is None:
            numbers: dict[str, list[Path]] = {}
            try:
                for n, path in enumerate(_files(self.root)):
                    if n >= LIMITS.files:
                        message = f"more than {LIMITS.files} files lie in this folder, too many to look for a number"
                        return None, (Problem("folder-large", message, name.span, "name the file of the record"),)
                    for number in _numbers(path):
                        numbers.setdefault(number, []).append(path)
            except OSError as error:
                return None, (Problem("evidence-missing", why(error), name.span),)
            self._numbers = numbers
        found: list[tuple[Path, Found]] = []
        for path in self._numbers.get(name.text, ()):
            found += [(path, each) for each in _records(path, str(path)) if _has(each[0], name.text)]
        if len(found) > 1:
            where = " and ".join(dict.fromkeys(path.name for path, _ in found))
            message = f"more than one record has the number {name.text}: in {where}"
            return None, (Problem("evidence-twice", message, name.span, "name the file of the one that is meant"),)
        if not found:
            # A file that cannot be read is told, where it may be the one: else nobody would know why.
            for path in self._numbers.get(name.text, ()):
                for record, problems in _records(path, str(path)):
                    if record is None:
                        return None, problems
            message = f"no record in this folder has the number {name.text}"
            help = "check the number, or name the file of the record"
            return None, (Problem("evidence-missing", message, name.span, help),)
        return found[0][1]


def _one(found: list[Found], name: Scalar) -> Found:
    if len(found) == 1:
        return found[0]
    message = f"`{name.text}` holds {len(found)} records, and one is meant"
    return None, (Problem("one-record", message, name.span, "give the number of the record instead"),)


def _has(record: Record | None, number: str) -> bool:
    return record is not None and record.id == number


def _is_file_name(text: str) -> bool:
    return "/" in text or "\\" in text or text.lower().endswith(ENDINGS)


def _files(root: Path) -> Iterator[Path]:
    for path in sorted(root.rglob("*")):
        hidden = any(part.startswith(".") for part in path.relative_to(root).parts)
        if path.name.lower().endswith(ENDINGS) and not hidden and path.is_file() and not path.is_symlink():
            yield path


_ID = re.compile(r"""(?:^|[{,\s])["']?id["']?\s*:\s*["']?([^"'\r\n,}#]+)""")


def _numbers(path: Path) -> set[str]:
    """What may be the number of a record in this file; whether it is, reading the file tells."""
    data, problem = read_file(path, str(path))
    if problem is not None or data is None:
        return set()
    return {match.strip() for match in _ID.findall(data.decode("utf-8", "replace"))}


def _records(path: Path, shown: str) -> Iterator[Found]:
    if path.name.lower().endswith(".jsonl"):
        with path.open("rb") as lines:
            yield from read_record_lines(lines, shown)
        return
    data, problem = read_file(path, shown)
    if problem is not None:
        yield None, (problem,)
    else:
        yield from read_records(data or b"", shown)
