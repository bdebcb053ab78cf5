"""Values one after the other from a file of any length, with the memory of one: lines, or the items of a list."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import chain
from typing import BinaryIO

from .limits import LIMITS, Limits
from .problem import Problem
from .reading import read_json_lines, read_text, read_tree
from .reading_build import file_large
from .source import Source
from .tree import Mapping, Tree

Part = tuple[str, Tree | None, tuple[Problem, ...]]
"""The name of a value (of the file, and which line or item), its tree, or what is wrong with it."""

_CHUNK = 65_536
_BOM = b"\xef\xbb\xbf"
_SPACE = b" \t\r\n"
_OUTSIDE = re.compile(rb'["\[\]{},]')
_INSIDE = re.compile(rb'["\\]')


def bounded_lines(file: BinaryIO, limits: Limits = LIMITS) -> Iterator[bytes]:
    """The lines of a file. Of one that is too long only so much that reading it says so; the rest is passed over."""
    while line := file.readline(limits.bytes + 1):
        yield line
        _pass_over(line, file, limits)


def _pass_over(line: bytes, file: BinaryIO, limits: Limits) -> None:
    """Read on to the end of a line of which only the start was taken."""
    while len(line) > limits.bytes and not line.endswith(b"\n"):
        line = file.readline(limits.bytes + 1) or b"\n"


def opening(file: BinaryIO, limits: Limits = LIMITS) -> tuple[list[bytes], bool]:
    """The first lines of a file, and whether it is JSON lines: a whole JSON object in a line, and others after it."""
    head: list[bytes] = []
    written = 0
    while written < 2 and (line := file.readline(limits.bytes + 1)):
        head.append(line)
        if not line.strip(_SPACE):
            continue
        written += 1
        if written == 1 and not _whole_object(line.removeprefix(_BOM) if len(head) == 1 else line, limits):
            return head, False
    if written == 2:
        _pass_over(head[-1], file, limits)
    return head, written == 2


def rest_of(file: BinaryIO, head: list[bytes], limits: Limits = LIMITS) -> bytes:
    """The whole of a file whose first lines were read already: at most one byte more than it may have."""
    start = b"".join(head)
    return start + file.read(max(0, limits.bytes + 1 - len(start)))


def _whole_object(line: bytes, limits: Limits) -> bool:
    text = line.strip(_SPACE)
    if not (text.startswith(b"{") and text.endswith(b"}")) or len(text) > limits.bytes:
        return False
    source, _ = read_text(text, "", limits)
    return source is not None and isinstance(read_tree(source, "json", limits)[0], Mapping)


def read_json_parts(file: BinaryIO, name: str, limits: Limits = LIMITS) -> Iterator[Part]:
    """The JSON values in a file: of a list its items, of JSON lines a value a line, else the one that it holds.

    A bad line or item is the problem of that one alone; where brackets do not close, of all that follow. The
    limits hold for each. Never raises but for OSError.
    """
    head, lines = opening(file, limits)
    first = b"".join(head).removeprefix(_BOM).lstrip(_SPACE)
    if lines or name.lower().endswith(".jsonl"):
        for line in () if lines else head[-1:]:
            _pass_over(line, file, limits)
        for number, tree, problems in read_json_lines(chain(head, bounded_lines(file, limits)), name, limits):
            yield f"{name} line {number}", tree, problems
    elif first.startswith(b"["):
        yield from _items(first, file, name, limits)
    else:
        source, problems = read_text(rest_of(file, head, limits), name, limits)
        yield (name, None, problems) if source is None else (name, *read_tree(source, "json", limits))


def _no_item(shown: str, first: bool, last: bool) -> Problem:
    if first and last:
        return Problem("file-empty", "this list is empty", file=shown, help="write what it is to hold")
    if last:
        message = "the comma before a closing bracket is one too many"
        return Problem("trailing-comma", message, file=shown, help="delete it")
    message = "there should be something before this ,"
    return Problem("stray-bracket", message, file=shown, help="delete it, or add what is missing before it")


def _items(start: bytes, file: BinaryIO, name: str, limits: Limits) -> Iterator[Part]:
    """The items of the outermost list, cut at its commas. What an item holds is read strictly afterwards."""
    number, last = 0, False
    for item, fault in _cut(chain([start[1:]], iter(lambda: file.read(_CHUNK), b"")), limits):
        number, last = number + 1, fault != ","
        shown = f"{name} item {number}"
        if fault == "long":
            yield shown, None, (file_large(shown, limits),)
            continue  # nothing follows
        if fault == "after":
            help = "keep one list"
            message = "there is more text after the end of the list"
            yield name, None, (Problem("stray-text", message, file=name, help=help),)
            continue
        if not item.strip(_SPACE):
            yield shown, None, (_no_item(shown, first=number == 1, last=last),)
            continue
        source, problems = read_text(item.strip(_SPACE), shown, limits)
        yield (shown, None, problems) if source is None else (shown, *_tree(source, limits))
    if not last:
        message = "the list that the file opens with is never closed"
        yield name, None, (Problem("unclosed-bracket", message, file=name, help="add the closing ]"),)


def _tree(source: Source, limits: Limits) -> tuple[Tree | None, tuple[Problem, ...]]:
    return read_tree(source, "json", limits)


def _cut(chunks: Iterator[bytes], limits: Limits) -> Iterator[tuple[bytes, str]]:
    """Items of a list whose opening bracket is read already, each with what ended it: ``,`` or ``]``.

    ``long``: it is longer than a file may be. ``after``: there is more after the list. Nothing follows these.
    """
    kept = bytearray()
    depth, quoted, escaped, closed = 1, False, False, False
    for chunk in chunks:
        at = start = 0
        if closed:
            if chunk.strip(_SPACE):
                yield b"", "after"
                return
            continue
        while at < len(chunk):
            if escaped:
                at, escaped = at + 1, False
                continue
            match = (_INSIDE if quoted else _OUTSIDE).search(chunk, at)
            if match is None:
                break
            mark, at = match[0], match.end()
            if quoted:
                quoted, escaped = mark != b'"', mark == b"\\"
            elif mark == b'"':
                quoted = True
            elif mark in b"[{":
                depth += 1
            elif mark in b"]}":
                depth -= 1
            if not quoted and ((mark == b"," and depth == 1) or depth == 0):
                yield bytes(kept) + chunk[start : at - 1], "," if depth else "]"
                kept.clear()
                start = at
            if depth == 0:
                closed = True
                if chunk[at:].strip(_SPACE):
                    yield b"", "after"
                    return
                break
        if not closed:
            kept += chunk[start:]
            if len(kept) > limits.bytes:
                yield b"", "long"
                return
