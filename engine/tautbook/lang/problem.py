"""A mistake of a user, as a value: what is wrong, where, and the way out.

Problems are returned and collected, never raised. An exception is a fault of ours.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

from .source import Span

_SNIPPET_WIDTH = 100


@dataclass(frozen=True, slots=True)
class Problem:
    """``code`` is stable and documented; ``message`` is lower case without a final period."""

    code: str
    message: str
    span: Span | None = None
    help: str | None = None
    file: str | None = None  # where there is no text to point at, say a file that cannot be opened

    @property
    def order(self) -> tuple[str, int, int, str, str]:
        if self.span is None:
            return (self.file or "", -1, -1, self.code, self.message)
        return (self.span.source.name, self.span.start, self.span.end, self.code, self.message)


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Sorted by file and place, the same problem once."""
    return tuple(sorted(dict.fromkeys(problems), key=lambda problem: problem.order))


def nearest(word: str, words: Iterable[str]) -> str | None:
    """The one of ``words`` that was probably meant, if any is near enough."""
    found = get_close_matches(word, sorted(words), n=1)
    return found[0] if found else None


def did_you_mean(word: str, words: Iterable[str], otherwise: str | None = None) -> str | None:
    """The help for a word that is not known: the nearest known one, else ``otherwise``."""
    found = nearest(word, words)
    return f"did you mean `{found}`?" if found else otherwise


def visible(text: str) -> str:
    """Text from a file made safe to show: control, format and surrogate characters are written as escapes.

    Covers C0, C1, DEL, bidirectional marks, zero-width characters and the two Unicode line ends.
    """
    if text.isprintable():
        return text
    return "".join(_escape(char) if _hidden(char) else char for char in text)


def _hidden(char: str) -> bool:
    return unicodedata.category(char) in {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}


def _escape(char: str) -> str:
    code = ord(char)
    if code < 0x100:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def show(problem: Problem) -> str:
    """The problem as people read it: place, code and message; the text underlined; what to do."""
    if problem.span is None:
        where = f"{visible(problem.file)}: " if problem.file is not None else ""
        lines = [f"{where}{problem.code}: {visible(problem.message)}"]
    else:
        source = problem.span.source
        where = visible(source.name + source.where(problem.span.start))
        lines = [f"{where}: {problem.code}: {visible(problem.message)}"]
        lines += _snippet(problem.span)
    if problem.help is not None:
        lines.append(f"  help: {visible(problem.help)}")
    return "\n".join(lines)


def _snippet(span: Span) -> list[str]:
    line, column = span.source.position(span.start)
    text = span.source.line(line)
    length = max(1, min(span.end - span.start, len(text) - column + 1))
    # A long line is shown from a little before the place, so that the place is always in view.
    skip = max(0, column - 1 - _SNIPPET_WIDTH // 2) if len(text) > _SNIPPET_WIDTH else 0
    shown = text[skip : skip + _SNIPPET_WIDTH]
    before, under = shown[: column - 1 - skip], shown[column - 1 - skip :][:length]
    gutter = f"{visible(span.source.label(span.start))} | "
    lead = "..." if skip else ""
    pad = " " * (len(gutter) - 2) + "| "
    return [
        "  " + gutter + lead + visible(shown),
        "  " + pad + " " * (len(lead) + _width(visible(before))) + "^" * max(1, _width(visible(under))),
    ]


def _width(text: str) -> int:
    return sum(0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text)
