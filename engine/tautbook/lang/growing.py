"""A plain tree as it grows from the events of a reader: own stack, limits, no key twice."""

from __future__ import annotations

from dataclasses import dataclass, field

from .limits import Limits
from .problem import Problem
from .source import Source, Span
from .tree import Entry, Mapping, Scalar, Sequence, Tree


class Refused(Exception):
    """Ends a reading at its first problem that leaves nothing sensible to go on with. Never leaves this package."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.code)
        self.problem = problem


@dataclass(slots=True)
class _Open:
    """A list or mapping that is not closed yet. ``entries`` is None for a list."""

    start: int
    entries: dict[str, Entry] | None
    items: list[Tree] = field(default_factory=list)
    key: Scalar | None = None


class Growing:
    def __init__(self, source: Source, limits: Limits) -> None:
        self.source, self.limits = source, limits
        self.stack: list[_Open] = []
        self.problems: list[Problem] = []
        self.root: Tree | None = None
        self.nodes = 0

    def span(self, start: int, end: int) -> Span:
        top = len(self.source.text)
        start = min(start, top)
        return Span(self.source, start, max(start, min(end, top)))

    def refuse(self, code: str, message: str, start: int, end: int, help: str | None = None) -> Refused:
        return Refused(Problem(code, message, self.span(start, end), help))

    def at_key(self) -> bool:
        """Whether what comes next is a key."""
        return bool(self.stack) and self.stack[-1].entries is not None and self.stack[-1].key is None

    def open(self, start: int, end: int, mapping: bool) -> None:
        if self.at_key():
            raise self.refuse("key-form", "a key must be a single word or figure, not a list or mapping", start, end)
        if len(self.stack) >= self.limits.depth:
            message = f"lists and mappings may be nested at most {self.limits.depth} deep"
            raise self.refuse("too-deep", message, start, end)
        self.count(start, end)
        self.stack.append(_Open(start, {} if mapping else None))

    def close(self, end: int) -> None:
        top = self.stack.pop()
        span = self.span(top.start, end)
        done: Tree = Sequence(tuple(top.items), span)
        if top.entries is not None:
            done = Mapping(tuple(top.entries.values()), span)
        self.put(done)

    def scalar(self, scalar: Scalar) -> None:
        if len(scalar.text) > self.limits.scalar:
            message = f"a text may have at most {self.limits.scalar} characters"
            raise self.refuse("text-long", message, scalar.span.start, scalar.span.end)
        self.count(scalar.span.start, scalar.span.end)
        if not self.at_key():
            self.put(scalar)
            return
        if scalar.style == "plain" and not scalar.text:
            raise self.refuse("key-empty", "a key is expected before the colon", scalar.span.start, scalar.span.end)
        if scalar.style == "plain" and scalar.text == "<<":
            raise self.refuse(
                "merge-key", "`<<` would merge another mapping in here", scalar.span.start, scalar.span.end,
                "write the entries out",
            )  # fmt: skip
        self.stack[-1].key = scalar

    def put(self, tree: Tree) -> None:
        if not self.stack:
            self.root = tree
            return
        top = self.stack[-1]
        if top.entries is None:
            top.items.append(tree)
            return
        key = top.key
        assert key is not None
        top.key = None
        if key.text in top.entries:
            line, column = self.source.position(top.entries[key.text].key.span.start)
            message = f"the key `{key.text}` stands here twice, first at line {line}, column {column}"
            self.problems.append(Problem("duplicate-key", message, key.span, "keep one of the two"))
            return
        top.entries[key.text] = Entry(key, tree)

    def count(self, start: int, end: int) -> None:
        self.nodes += 1
        if self.nodes > self.limits.nodes:
            raise self.refuse("too-large", f"a file may hold at most {self.limits.nodes} values", start, end)
