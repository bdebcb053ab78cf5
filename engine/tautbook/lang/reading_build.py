"""What reading YAML and reading JSON share: a tree built with an own stack, within limits, each key once."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from .limits import Limits
from .problem import Problem, in_order
from .source import Source, Span
from .tree import Entry, Mapping, Scalar, Sequence, Style, Tree

# Controls but tab, LF and CR; lone surrogates; the line ends that only some programs see; marks with no meaning.
REFUSED = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]")


_ENOUGH = 100  # problems of one file; who mends these reads it again


def refused_character(char: str, span: Span) -> Problem:
    message = f"the character U+{ord(char):04X} cannot stand in a text, it does not show"
    return Problem("hidden-character", message, span, "delete it, and retype the text around it")


def text_problems(source: Source, limits: Limits) -> tuple[Problem, ...]:
    """What forbids reading a text at all: its length, and the first few characters that cannot be shown."""
    if len(source.text) > limits.bytes:
        return (file_large(source.name, limits),)
    problems: list[Problem] = []
    for match in REFUSED.finditer(source.text):
        problems.append(refused_character(match[0], Span(source, *match.span())))
        if len(problems) == 10:  # a file of nonsense has thousands, and ten show it
            break
    return tuple(problems)


def file_large(name: str, limits: Limits) -> Problem:
    message = f"a file may have at most {limits.bytes} bytes"
    return Problem("file-large", message, help="split it into several files", file=name)


def empty_file(source: Source) -> Problem:
    message = "there is nothing in this text to read"
    return Problem("file-empty", message, Span(source, 0, 0), "write at least one key and its value")


@dataclass(slots=True)
class _Level:
    """A list or mapping that is not closed yet."""

    start: int
    mapping: bool
    braces: bool
    is_key: bool
    """It stands where a key should: built to stay in step, then dropped."""
    items: list[Tree] = field(default_factory=list)
    entries: list[Entry] = field(default_factory=list)
    key: Scalar | None = None
    drop: bool = False
    """Its present key is not a text; already reported."""
    places: dict[str, Scalar] = field(default_factory=dict)
    end: int = 0
    """Where its last part ends."""
    uncut: Entry | None = None
    """In braces: the last entry that has a colon."""
    cut_to: Scalar | None = None
    """In braces: the last key without a colon after ``uncut``."""


class Builder:
    """Takes the parts of a text in their order. ``full`` says that a limit is passed and nothing more is taken."""

    def __init__(self, source: Source, limits: Limits) -> None:
        self.source, self.limits = source, limits
        self.problems: list[Problem] = []
        self.root: Tree | None = None
        self.full = False
        self._nodes = 0
        self._levels: list[_Level] = []

    def problem(self, code: str, message: str, start: int, end: int, help: str | None) -> None:
        length = len(self.source.text)
        start = min(max(start, 0), length)
        self.problems.append(Problem(code, message, Span(self.source, start, min(max(start, end), length)), help))
        if len(self.problems) >= _ENOUGH:
            self.full = True

    def result(self) -> tuple[Tree | None, tuple[Problem, ...]]:
        """The tree if nothing at all was wrong, else None and what was."""
        if self.root is None and not self.problems:
            self.problems.append(empty_file(self.source))
        return (None if self.problems else self.root), in_order(self.problems)

    @property
    def wants_key(self) -> bool:
        return bool(self._levels) and self._levels[-1].mapping and self._levels[-1].key is None

    @property
    def in_braces(self) -> bool:
        return bool(self._levels) and self._levels[-1].mapping and self._levels[-1].braces

    def scalar(self, text: str, style: Style, start: int, end: int, offsets: tuple[int, ...] | None) -> Scalar:
        """A scalar within limits; it still has to be given to ``key`` or ``value``."""
        self._count(start, end)
        if len(text) > self.limits.scalar:
            message = f"a text may have at most {self.limits.scalar} characters"
            self.problem("text-long", message, start, end, "shorten it")
        return Scalar(text, style, Span(self.source, start, end), offsets)

    def key(self, key: Scalar, good: bool = True) -> None:
        """The key of the next entry. ``good`` False: not fit to be one, and already reported."""
        self._levels[-1].key, self._levels[-1].drop = key, not good

    def open(self, start: int, *, mapping: bool, braces: bool) -> None:
        is_key = self.wants_key
        if is_key:
            self.problem("key-form", "a key is a text, not a list or braces", start, start + 1,
                         "if this is a value that begins with a bracket, put it in quotes")  # fmt: skip
        self._count(start, start + 1)
        if len(self._levels) >= self.limits.depth:
            self._stop("too-deep", f"lists and keys may stand at most {self.limits.depth} deep", start, start + 1)
        self._levels.append(_Level(start, mapping, braces, is_key))

    def close(self, end: int | None) -> None:
        """End of the innermost list or mapping: at ``end``, or where its last part ends."""
        level = self._levels.pop()
        self._report_cut(level)
        span = Span(self.source, level.start, max(level.start, level.end if end is None else end))
        if level.is_key:
            self.key(Scalar("", "plain", span), good=False)
        elif level.mapping:
            self.value(Mapping(tuple(level.entries), span))
        else:
            self.value(Sequence(tuple(level.items), span))

    def value(self, value: Tree, colon: bool = True) -> None:
        """``colon`` False: inside braces, a key with neither colon nor value; ``value`` is the empty text after it."""
        if not self._levels:
            self.root = value
            return
        level = self._levels[-1]
        level.end = max(level.end, value.span.end)
        if not level.mapping:
            level.items.append(value)
            if len(level.items) == self.limits.items + 1:
                message = f"a list may have at most {self.limits.items} items"
                self._stop("list-long", message, value.span.start, value.span.end)
            return
        key, level.key = level.key, None
        assert key is not None
        if level.drop:
            return
        entry = Entry(key, value)
        if not colon and level.uncut is not None:
            level.cut_to = key  # a piece of the value before it, not a key: it may come twice
            return
        self._report_cut(level)
        if (first := level.places.setdefault(key.text, key)) is not key:
            line = self.source.position(first.span.start)[0]
            message = f"`{key.text[:60]}` already stands in line {line}"
            help = "keep one of the two, or give one of them another name"
            self.problem("duplicate-key", message, key.span.start, key.span.end, help)
        level.entries.append(entry)
        level.uncut = entry if colon else None

    def _report_cut(self, level: _Level) -> None:
        if level.uncut is None or level.cut_to is None:
            return
        name = level.uncut.key.text[:60]
        message = f"inside braces a comma ends a value, so `{name}` is cut short here"
        help = f"put the whole value of `{name}` in quotes"
        start, end = level.uncut.value.span.start, level.cut_to.span.end
        if re.fullmatch("-?[0-9]+ *,[0-9]+( .*)?", self.source.text[start:end], re.DOTALL):
            help = "decimals are written with a point, thousands are not set off; any other comma stands in quotes"
        self.problem("comma-cut", message, start, end, help)
        level.uncut = level.cut_to = None

    def _count(self, start: int, end: int) -> None:
        self._nodes += 1
        if self._nodes > self.limits.nodes:
            self._stop("too-large", f"a file may have at most {self.limits.nodes} keys and values", start, end)

    def _stop(self, code: str, message: str, start: int, end: int) -> None:
        if not self.full:
            self.problem(code, message, start, end, "is this the right file? if so, split it into several")
        self.full = True
