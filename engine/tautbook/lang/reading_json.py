"""Strict JSON (RFC 8259) to a plain tree: every scalar with its source text and place, no recursion."""

from __future__ import annotations

import re
from typing import NamedTuple

from .limits import LIMITS, Limits
from .problem import Problem
from .reading_build import REFUSED, Builder
from .source import Source
from .tree import Scalar, Style, Tree

_SPACE = re.compile(r"[ \t\r\n]*")
# Possessive: a text without its closing quote is given up at once, not tried again from every place.
_STRING_START = re.compile(r'"[^"\\\t\r\n]*+(?:\\.[^"\\\t\r\n]*+)*+')
_WORD = re.compile(r"[-+.\w]+")
_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][-+]?[0-9]+)?")
_ESCAPE = re.compile(r'\\(?:(["\\/bfnrt])|u([0-9a-fA-F]{4}))')
_LOW_HALF = re.compile(r"\\u(d[c-f][0-9a-f]{2})", re.IGNORECASE)
_PLAIN_ESCAPES = {"b": "\b", "f": "\f", "n": "\n", "r": "\r", "t": "\t"}
_LIKELY = {"True": "true", "False": "false", "yes": "true", "no": "false", "None": "null"}


class _Fault(NamedTuple):
    """Why reading ends here. Only ever a return value."""

    code: str
    message: str
    start: int
    end: int
    help: str | None


def read_json(source: Source, limits: Limits = LIMITS) -> tuple[Tree | None, tuple[Problem, ...]]:
    """One JSON value. INVARIANT: ``text_problems(source)`` is empty. Never raises."""
    reader = _Reader(source, limits)
    if reader.at < len(reader.text) and (fault := reader.run()) is not None:
        reader.build.problem(*fault)
    return reader.build.result()


class _Reader:
    """One pass over the text. ``open`` holds the brackets not closed yet, each with its offset."""

    def __init__(self, source: Source, limits: Limits) -> None:
        self.text, self.limits = source.text, limits
        self.build = Builder(source, limits)
        self.open: list[tuple[str, int]] = []
        self.at = 0
        self.skip()

    def run(self) -> _Fault | None:
        """Turns of: the key if one is due, the value, what may come after it."""
        fault: _Fault | None = None
        done = False
        while not done and fault is None and not self.build.full:
            fault = self.key() if self.build.wants_key else None
            if fault is None:
                opened, fault = self.value()
                if fault is None and not opened:
                    done, fault = self.after()
        return fault

    def skip(self) -> None:
        match = _SPACE.match(self.text, self.at)
        assert match is not None
        self.at = match.end()

    def peek(self) -> str:
        return self.text[self.at : self.at + 1]

    def fault(self, code: str, message: str, help: str, end: int | None = None) -> _Fault:
        return _Fault(code, message, self.at, self.at + 1 if end is None else end, help)

    def value(self) -> tuple[bool, _Fault | None]:
        """One value, or the opening of a list or mapping that has something in it (True)."""
        char = self.peek()
        if char and char in "[{":
            self.build.open(self.at, mapping=char == "{", braces=False)
            self.open.append((char, self.at))
            self.at += 1
            self.skip()
            if self.peek() != ("]" if char == "[" else "}"):
                return True, None
            self.close()
            return False, None
        scalar, fault = self.string() if char == '"' else self.word()
        if scalar is not None:
            self.build.value(scalar)
        return False, fault

    def close(self) -> None:
        self.open.pop()
        self.at += 1
        self.build.close(self.at)

    def key(self) -> _Fault | None:
        if self.peek() != '"':
            message = "a key in JSON stands in double quotes"
            return self.unexpected() or self.fault("json-key", message, 'write "key": value', self.word_end())
        key, fault = self.string()
        if key is None:
            return fault
        self.build.key(key)
        self.skip()
        if self.peek() != ":":
            fault = self.comment() if self.peek() else self.unexpected()
            help = "write a colon between the key and its value"
            return fault or self.fault("colon-missing", "a colon is missing here", help)
        self.at += 1
        self.skip()
        return None

    def after(self) -> tuple[bool, _Fault | None]:
        """Closing brackets and a comma; True at the end of the text."""
        while True:
            self.skip()
            char = self.peek()
            if not self.open:
                if not char:
                    return True, None
                message, help = "there is more text after the end of the value", "keep one value, or put them in [ ]"
                return False, self.comment() or self.fault("stray-text", message, help, self.word_end())
            closing = "]" if self.open[-1][0] == "[" else "}"
            if char == closing:
                self.close()
                continue
            if char and char in "]}":
                message = f"this {char} cannot close the {self.open[-1][0]} opened before it"
                return False, self.fault("stray-bracket", message, f"close it with {closing}")
            if char != ",":
                message = f"a comma or the closing {closing} is missing before this"
                fault = self.unexpected() or self.fault("comma-missing", message, "add it", self.word_end())
                return False, fault
            comma = self.at
            self.at += 1
            self.skip()
            if self.peek() and self.peek() in "]}":
                message = "the comma before a closing bracket is one too many"
                return False, _Fault("trailing-comma", message, comma, comma + 1, "delete it")
            return False, None

    def word_end(self) -> int:
        match = _WORD.match(self.text, self.at)
        return match.end() if match else self.at + 1

    def comment(self) -> _Fault | None:
        if self.text.startswith(("//", "/*", "#"), self.at):
            return self.fault("json-comment", "JSON has no comments", "delete it, or write the file as YAML")
        return None

    def unexpected(self) -> _Fault | None:
        """What ends reading wherever it comes: end of the text, comment, single quote, wrong bracket or comma."""
        char = self.peek()
        if not char and self.open:
            bracket, start = self.open[-1]
            help = f"add the closing {']' if bracket == '[' else '}'}"
            return _Fault("unclosed-bracket", f"the {bracket} opened here is never closed", start, start + 1, help)
        if char == "'":
            return self.fault("json-quote", "JSON has no single quotes", 'use double quotes: "text"')
        if char and char in "]},":
            help = "delete it, or add what is missing before it"
            return self.fault("stray-bracket", f"there should be something before this {char}", help)
        return self.comment()

    def word(self) -> tuple[Scalar | None, _Fault | None]:
        """A number, true, false or null; or what is wrong with what stands there."""
        start, end = self.at, self.word_end()
        text = self.text[start:end]
        if _NUMBER.fullmatch(text) or text in {"true", "false", "null"}:
            style: Style = "json word" if text[0].isalpha() else "json number"
            if style == "json number" and len(text) > self.limits.number:
                message = f"a number may have at most {self.limits.number} characters"
                self.build.problem("number-long", message, start, end, "write it with fewer digits")
            self.at = end
            return self.build.scalar(text, style, start, end, tuple(range(start, end + 1))), None
        if (fault := self.unexpected()) is not None:
            return None, fault
        if text.lower().lstrip("+-") in {"nan", "inf", "infinity"} or re.match(r"[-+.]*[0-9]|[-+.]", text):
            help = "write digits, such as 0.5, -3 or 1.2e3; a text such as 0217 stands in double quotes"
            return None, self.fault("json-number", "this is not a number in JSON", help, end)
        help = f"write {_LIKELY[text]}" if text in _LIKELY else "put the text in double quotes"
        return None, self.fault("json-word", "a text in JSON stands in double quotes", help, end)

    def string(self) -> tuple[Scalar | None, _Fault | None]:
        start = self.at
        match = _STRING_START.match(self.text, start)
        assert match is not None
        end = match.end()
        if not self.text.startswith('"', end):
            self.at = end
            if self.peek() == "\t":
                help = "write \\t in its place, or a space"
                return None, self.fault("tab", "a tab cannot stand in a text in JSON", help)
            help = 'add the closing "; a new line inside a text is written \\n'
            message = "the quote opened here is not closed in its line"
            return None, _Fault("unclosed-quote", message, start, end, help)
        self.at = end + 1
        raw = self.text[start + 1 : end]
        if "\\" not in raw:
            return self.build.scalar(raw, "double", start, end + 1, tuple(range(start + 1, end + 1))), None
        text, offsets, fault = _unescape(raw, start + 1)
        return (None, fault) if fault else (self.build.scalar(text, "double", start, end + 1, offsets), None)


def _unescape(raw: str, offset: int) -> tuple[str, tuple[int, ...], _Fault | None]:
    """The text that an escaped one stands for, and where each character of it begins in the source, its end among
    them; ``offset`` is where ``raw`` begins there."""
    parts: list[str] = []
    offsets: list[int] = []
    at = 0
    while (slash := raw.find("\\", at)) >= 0:
        parts.append(raw[at:slash])
        offsets.extend(range(offset + at, offset + slash + 1))
        match = _ESCAPE.match(raw, slash)
        if match is None:
            help = 'after \\ only " \\ / b f n r t or u with four digits can follow; write \\\\ for one backslash'
            return "", (), _Fault("escape", "this is not an escape of JSON", offset + slash, offset + slash + 2, help)
        at = match.end()
        char = _PLAIN_ESCAPES.get(match[1], match[1]) if match[1] else chr(int(match[2], 16))
        if "\ud800" <= char <= "\udbff" and (low := _LOW_HALF.match(raw, at)):
            char = chr(0x10000 + ((ord(char) - 0xD800) << 10) + int(low[1], 16) - 0xDC00)
            at = low.end()
        if REFUSED.match(char):
            message = f"the character U+{ord(char):04X} cannot stand in a text, it does not show"
            return "", (), _Fault("hidden-character", message, offset + slash, offset + at, "delete it")
        parts.append(char)
    parts.append(raw[at:])
    offsets.extend(range(offset + at, offset + len(raw) + 1))
    return "".join(parts), tuple(offsets), None
