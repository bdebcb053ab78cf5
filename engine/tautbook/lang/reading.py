"""Strict reading: bytes to text, text to a plain tree with the place of every scalar.

Nothing is typed here: ``0217``, ``yes`` and ``2026-04-14`` keep their source text, and the kind of the field
decides later. YAML 1.1 surprises (aliases, anchors, tags, merge keys, duplicate keys) are problems.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Literal

from .limits import LIMITS, Limits
from .problem import Problem
from .reading_build import file_large, text_problems
from .reading_json import read_json
from .reading_yaml import read_yaml
from .source import Source, Span
from .tree import Tree

Form = Literal["yaml", "json"]

_JSON_START = re.compile(r'[ \t\r\n]*(?:\{[ \t\r\n]*["}]|\[[ \t\r\n]*["{\[\]])')


def read_text(data: bytes, name: str, limits: Limits = LIMITS) -> tuple[Source | None, tuple[Problem, ...]]:
    """The text of a file, without its byte-order mark, or the problems that forbid reading it."""
    if len(data) > limits.bytes:
        return None, (file_large(name, limits),)
    if data[:2] in {b"\xff\xfe", b"\xfe\xff"} or (len(data) > 1 and 0 in data[:2] and any(data[:2])):
        message = "the file is written as UTF-16 or UTF-32, not as UTF-8"
        return None, (Problem("not-utf-8", message, help="save it again with the encoding UTF-8", file=name),)
    data = data.removeprefix(b"\xef\xbb\xbf")
    try:
        source = Source(name, data.decode("utf-8"))
    except UnicodeDecodeError as error:
        shown = Source(name, data.decode("utf-8", "replace"))
        start = len(data[: error.start].decode("utf-8"))
        message = f"the byte {data[error.start]:02x} here is not UTF-8"
        help = "save the file again with the encoding UTF-8"
        return None, (Problem("not-utf-8", message, Span(shown, start, start + 1), help),)
    problems = text_problems(source, limits)
    return (None if problems else source), problems


def form_of(name: str, text: str) -> Form:
    """JSON for ``*.json`` and ``*.jsonl``, YAML for ``*.yaml`` and ``*.yml``. Any other name, such as ``-``: JSON if
    the text opens with ``{"``, ``{}`` or a list whose first item is a text, a list or in braces; else YAML."""
    ending = name.rpartition(".")[2].lower() if "." in name else ""
    if ending in {"yaml", "yml"}:
        return "yaml"
    return "json" if ending in {"json", "jsonl"} or _JSON_START.match(text) else "yaml"


def read_tree(source: Source, form: Form, limits: Limits = LIMITS) -> tuple[Tree | None, tuple[Problem, ...]]:
    """The plain tree of a text, None if there is any problem. Never raises, whatever the text.

    Problems of content (say two duplicate keys) are found all at once; a fault of form or a limit ends reading.
    """
    if problems := text_problems(source, limits):
        return None, problems
    return read_json(source, limits) if form == "json" else read_yaml(source, limits)


def read_json_lines(
    lines: Iterable[bytes], name: str, limits: Limits = LIMITS
) -> Iterator[tuple[int, Tree | None, tuple[Problem, ...]]]:
    """One JSON value a line, as from a file opened in binary: line number (from 1), tree, problems.

    A bad line is the problem of that line alone. Blank lines are passed over. Each line is a source of its own,
    named ``NAME line 3``, so that a file of any length is read with the memory of one line; ``limits.bytes``
    holds for each line.
    """
    for number, line in enumerate(lines, 1):
        if not line.strip(b" \t\r\n"):
            continue
        # Only the first line of a file may have a byte-order mark: behind a space it is a refused character.
        data = b" " + line if number > 1 and line.startswith(b"\xef\xbb\xbf") else line
        source, problems = read_text(data.rstrip(b"\r\n"), f"{name} line {number}", limits)
        if source is None:
            yield number, None, problems
        else:
            yield (number, *read_tree(source, "json", limits))
