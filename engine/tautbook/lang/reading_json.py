"""JSON text (RFC 8259) -> plain tree with spans, without recursion. What the standard leaves out is refused."""

from __future__ import annotations

import json
import re

from .growing import Growing, Refused
from .limits import Limits
from .problem import Problem, in_order
from .source import Source
from .tree import Scalar, Style, Tree

_SPACE = re.compile(r"[ \t\r\n]*")
_STRING = re.compile(r'"(?:[^"\\\x00-\x1f]|\\(?:["\\/bfnrt]|u[0-9a-fA-F]{4}))*"')
_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?(?![0-9A-Za-z_.])")
_WORD = re.compile(r"(?:true|false|null)(?![A-Za-z0-9_])")
_OTHER = re.compile(r"[A-Za-z0-9_.+\-]+|.", re.DOTALL)


def read_json(source: Source, limits: Limits) -> tuple[Tree | None, tuple[Problem, ...]]:
    """The one value of the text."""
    growing = Growing(source, limits)
    try:
        end = _values(growing)
        end = _skip(source.text, end)
        if end < len(source.text):
            raise growing.refuse("not-json", "more text follows after the end of the value", end, end + 1)
    except Refused as refused:
        return None, in_order([*growing.problems, refused.problem])
    return (None, in_order(growing.problems)) if growing.problems else (growing.root, ())


def _skip(text: str, at: int) -> int:
    found = _SPACE.match(text, at)
    assert found is not None
    return found.end()


def _values(growing: Growing) -> int:
    """Reads until the first value is whole; gives the offset after it."""
    text, at, first = growing.source.text, 0, True
    while growing.root is None:
        at = _skip(text, at)
        top = growing.stack[-1] if growing.stack else None
        closing = "" if top is None else "]" if top.entries is None else "}"
        between = top is not None and (top.entries is None or growing.at_key())
        if first and between and text.startswith(closing, at):
            growing.close(at + 1)
            at, first = at + 1, False
            continue
        if between and not first:
            if text.startswith(closing, at):
                growing.close(at + 1)
                at += 1
                continue
            if not text.startswith(",", at):
                raise _unexpected(growing, at, f"`,` or `{closing}` is expected here")
            at = _skip(text, at + 1)
            if text.startswith(closing, at):
                raise growing.refuse("not-json", "a comma before the closing bracket", at - 1, at, "delete the comma")
        key = growing.at_key()
        if key and not text.startswith('"', at):
            raise _unexpected(growing, at, "a key in double quotes is expected here")
        if not key and text[at : at + 1] in ("{", "["):
            growing.open(at, at + 1, text[at] == "{")
            at, first = at + 1, True
            continue
        scalar = _scalar(growing, at)
        growing.scalar(scalar)
        at, first = scalar.span.end, False
        if key:
            at = _skip(text, at)
            if not text.startswith(":", at):
                raise _unexpected(growing, at, "`:` is expected after a key")
            at += 1
    return at


def _scalar(growing: Growing, at: int) -> Scalar:
    text = growing.source.text
    if found := _STRING.match(text, at):
        value: str = json.loads(found[0])
        if re.search("[\ud800-\udfff]", value):
            raise growing.refuse(
                "hidden-character", "half of a character stands here", at, found.end(), "type it again"
            )
        plain = "\\" not in found[0]
        offsets = tuple(range(at + 1, found.end())) if plain else None
        return Scalar(value, "double", growing.span(at, found.end()), offsets)
    forms: tuple[tuple[re.Pattern[str], Style], ...] = ((_NUMBER, "json number"), (_WORD, "json word"))
    for form, style in forms:
        if found := form.match(text, at):
            return Scalar(found[0], style, growing.span(at, found.end()), tuple(range(at, found.end() + 1)))
    raise _unexpected(growing, at, "a value is expected here")


def _unexpected(growing: Growing, at: int, message: str) -> Refused:
    found = _OTHER.match(growing.source.text, at)
    if found is None:
        return growing.refuse("not-json", "the text ends before the value does", at, at)
    word = found[0]
    help = None
    if word == "'":
        help = "use double quotes"
    elif word == '"':
        help = "close the quote on the same line; a backslash stands only before the letters that JSON knows"
    elif word in {"NaN", "Infinity", "-Infinity"}:
        help = "leave out a value that was not measured"
    elif word in {"True", "False", "None"}:
        help = "write true, false or null"
    elif word in {"/", "#"}:
        help = "JSON has no comments"
    elif re.match(r"[-+.0-9]", word):
        help = "a number has no leading zero or plus sign, and digits on both sides of its point"
    return growing.refuse("not-json", message, at, found.end(), help)
