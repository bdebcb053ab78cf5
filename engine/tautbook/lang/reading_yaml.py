"""YAML text -> plain tree, from the events of the pure parser. Nothing is typed here, and nothing is shared:
aliases, anchors, tags, merge keys and second documents are refused before they could mean anything."""

from __future__ import annotations

import re

import yaml

from .growing import Growing, Refused
from .limits import Limits
from .problem import Problem, in_order
from .source import Source
from .tree import Scalar, Style, Tree

_STYLES: dict[str | None, Style] = {
    None: "plain", "": "plain", "'": "single", '"': "double", "|": "literal", ">": "folded",
}  # fmt: skip

# A pattern in the parser's complaint -> our words and the way out.
_COMPLAINTS = (
    (r"found character '\\t'", "a tab cannot be used to indent", "use spaces"),
    (r"found character", "a value cannot begin with this character", "put the value in quotes"),
    (r"mapping values are not allowed", "a second colon follows on this line", "put a text with `: ` in it in quotes"),
    (r"unexpected end of stream|found unexpected document", "a quote is opened here and never closed", "close it"),
    (r"while scanning a quoted|found unknown escape|escape sequence", "the quoted text is not well formed",
     "use single quotes where nothing has to be escaped"),
    (r"expected ',' or", "a comma or the closing bracket is expected here", "check brackets and quotes on this line"),
    (r"flow (mapping|sequence|node)", "a key or a value is expected here",
     "check commas and colons inside the brackets"),
    (r"could not find expected ':'", "a colon is missing after a key", "write `key: value`"),
    (r"block mapping|block sequence|expected <block end>", "this line is not indented as the lines beside it",
     "give entries that belong together the same indent"),
    (r"directive", "a line that begins with `%` is not allowed", "put the value in quotes"),
)  # fmt: skip


def read_yaml(source: Source, limits: Limits) -> tuple[Tree | None, tuple[Problem, ...]]:
    """The one document of the text."""
    growing = Growing(source, limits)
    try:
        _events(growing)
    except Refused as refused:
        return None, in_order([*growing.problems, refused.problem])
    except yaml.YAMLError as error:
        return None, in_order([*growing.problems, _said(growing, error)])
    except (RecursionError, ValueError, OverflowError):
        # The parser's own faults on hostile text; whatever they were, the text is not one we read.
        problem = Problem("not-yaml", "this text cannot be read", growing.span(0, 1), "check quotes and brackets")
        return None, in_order([*growing.problems, problem])
    if growing.problems:
        return None, in_order(growing.problems)
    if growing.root is None or (isinstance(growing.root, Scalar) and not growing.root.text):
        return None, (Problem("file-empty", "nothing is written in this file", growing.span(0, 0)),)
    return growing.root, ()


def _events(growing: Growing) -> None:
    documents = 0
    for event in yaml.parse(growing.source.text, Loader=yaml.SafeLoader):
        begin, finish = event.start_mark, event.end_mark
        assert begin is not None and finish is not None
        start, end = begin.index, finish.index
        if isinstance(event, yaml.DocumentStartEvent):
            documents += 1
            if documents > 1:
                help = "keep one in a file"
                raise growing.refuse("second-document", "a second document begins here", start, end, help)
            if event.version or event.tags:
                raise growing.refuse("directive", "a line that begins with `%` is not allowed", start, end)
        if isinstance(event, yaml.AliasEvent):
            raise growing.refuse("alias", "`*` would repeat another part of the file", start, end, _QUOTE)
        if isinstance(event, yaml.NodeEvent):
            if event.anchor is not None:
                raise growing.refuse("anchor", "`&` would name this part of the file", start, end, _QUOTE)
            if getattr(event, "tag", None) is not None:
                raise growing.refuse("tag", "`!` would give this value a type", start, end, _QUOTE)
        if isinstance(event, yaml.ScalarEvent):
            growing.scalar(_scalar(growing, event, start, end))
        elif isinstance(event, yaml.CollectionStartEvent):
            mapping = isinstance(event, yaml.MappingStartEvent)
            growing.open(start, end, mapping)
        elif isinstance(event, yaml.CollectionEndEvent):
            growing.close(end)


_QUOTE = "write the value out, in quotes if it begins with this character"


def _scalar(growing: Growing, event: yaml.ScalarEvent, start: int, end: int) -> Scalar:
    style = _STYLES[event.style]
    offsets = _offsets(growing.source.text, event.value, style, start, end)
    return Scalar(event.value, style, growing.span(start, end), offsets)


def _offsets(text: str, value: str, style: Style, start: int, end: int) -> tuple[int, ...] | None:
    """Where each character of a value stands in the file; None where quoting or folding hides it."""
    raw = text[start:end]
    if style == "plain" and raw == value:
        return tuple(range(start, end + 1))
    if style in ("single", "double") and raw[1:-1] == value:
        return tuple(range(start + 1, end))
    if style == "literal":
        return _block_offsets(text, value, start, end)
    return None


def _block_offsets(text: str, value: str, start: int, end: int) -> tuple[int, ...] | None:
    """Line by line: every line of the value is the end of a line of the block, after its indent."""
    at = text.find("\n", start) + 1
    offsets: list[int] = []
    for line in value.splitlines(keepends=True):
        stop = text.find("\n", at)
        stop = len(text) if stop < 0 else stop
        body = line.rstrip("\n")
        if at > end or not text[at:stop].rstrip("\r").endswith(body):
            return None
        first = at + len(text[at:stop].rstrip("\r")) - len(body)
        offsets += range(first, first + len(line))
        at = stop + 1
    return (*offsets, min(offsets[-1] + 1, len(text))) if offsets else None


def _said(growing: Growing, error: yaml.YAMLError) -> Problem:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    at = mark.index if mark is not None else 0
    complaint = f"{getattr(error, 'context', '') or ''}; {getattr(error, 'problem', '') or ''}"
    for pattern, message, help in _COMPLAINTS:
        if re.search(pattern, complaint):
            begun = getattr(error, "context_mark", None)
            if "never closed" in message and begun is not None:
                at = begun.index
            return Problem("not-yaml", message, growing.span(at, at + 1), help)
    return Problem("not-yaml", "this cannot be read", growing.span(at, at + 1), "check quotes, brackets and indents")
