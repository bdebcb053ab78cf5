"""The numbers of the records in a file, found without reading the records.

A file is read only as far as the number of its record, which mostly stands near its top; escapes, quotes and comments
mean what they mean. A file that is no record, or a broken one, has no number before what is broken.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import yaml

from ..lang.limits import LIMITS
from ..lang.reading_parts import bounded_lines
from .table_file import ENDINGS as TABLES
from .table_file import open_table

_MOST = 1_000_000
"""Bytes in which the number of a record must stand."""


def numbers_in(path: Path) -> Iterator[tuple[int | None, str]]:
    """Line, or which one of a table (None: the whole file is the record), and number of each record in a file. Raises
    OSError."""
    if path.name.lower().endswith(".jsonl"):
        with path.open("rb") as lines:
            for n, line in enumerate(bounded_lines(lines), 1):
                number = _of_json(line[: LIMITS.bytes])
                if number is not None:
                    yield n, number
        return
    if path.name.lower().endswith(TABLES):
        with path.open("rb") as file:
            table, _ = open_table(file.read(LIMITS.bytes + 1), path.name)
        for n, group in enumerate(table.groups if table else (), 1):
            if group.id is not None:
                yield n, group.id
        return
    with path.open("rb") as file:
        text = file.read(_MOST).decode("utf-8-sig", "replace")
    number = _of_yaml(text)
    if number is not None:
        yield None, number


def _of_json(line: bytes) -> str | None:
    try:
        # Numbers stay as they are written: 0217 is no number, and 1.10 is not 1.1.
        found = json.loads(line, parse_int=str, parse_float=str)
    except (ValueError, RecursionError):
        return None
    number = found.get("id") if isinstance(found, dict) else None
    return number if isinstance(number, str) else None


def _of_yaml(text: str) -> str | None:
    """The scalar after the first `id` among the outermost keys; JSON is read so as well."""
    depth, key, expected = 0, True, False
    try:
        for event in yaml.parse(text, Loader=yaml.SafeLoader):
            match event:
                case yaml.MappingStartEvent() | yaml.SequenceStartEvent():
                    if depth == 1 and expected:
                        return None
                    depth += 1
                    if depth > LIMITS.depth:
                        return None
                    if depth == 1:
                        key = True
                case yaml.MappingEndEvent() | yaml.SequenceEndEvent():
                    depth -= 1
                    if depth == 1:
                        key = True
                case yaml.ScalarEvent() if depth == 1:
                    if expected:
                        return str(event.value)
                    expected = key and event.value == "id"
                    key = not key
    except Exception:  # as when a record is read: the parser lets ValueError, OverflowError and others through
        return None
    return None
