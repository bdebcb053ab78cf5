"""A stored verdict as it was written: what it states of a record and of the rules, and the record itself."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ..lang.problem import Problem, in_order
from ..lang.tree import Mapping, Scalar, Sequence, Tree


@dataclass(frozen=True, slots=True)
class Stored:
    """Texts as they stand in the file; nothing of them is believed."""

    name: str
    """The file, and which line or item of it."""
    verdict: str
    headline: str
    ruleset: str
    edition: str
    digest: str
    """Of the edition that judged."""
    record_id: str
    record_file: str
    record_digest: str
    version: str
    """Of the program that judged."""
    content: Mapping = field(repr=False)
    """The record, whole."""
    whole: dict[str, Any] = field(repr=False, hash=False)
    """All of it as plain data; a number that is not whole as a ``Figure``."""

    @property
    def rules(self) -> str:
        return f"{self.ruleset}@{self.edition}"


@dataclass(frozen=True, slots=True)
class Figure:
    """A number in JSON that is not whole, as it was written. A verdict holds none: exact values are texts."""

    text: str

    def __str__(self) -> str:
        return self.text


_NEEDED = (
    ("verdict",), ("headline",), ("rules", "ruleset"), ("rules", "edition"), ("rules", "digest"),
    ("record", "id"), ("record", "file"), ("record", "digest"), ("engine", "version"),
)  # fmt: skip
"""Texts that nothing can be said without, in the order of the fields of ``Stored``."""


def read_stored(tree: Tree, name: str) -> tuple[Stored | None, tuple[Problem, ...]]:
    """The stored verdict that a JSON value is; or everything that keeps it from being one."""
    if not isinstance(tree, Mapping):
        help = "a stored verdict is an object, as `tautbook judge --format json` prints it"
        return None, (Problem("not-a-verdict", "this is not a stored verdict", tree.span, help),)
    problems: list[Problem] = []
    texts = [_text(tree, path, problems) for path in _NEEDED]
    content = _part(tree, ("record", "content"), problems)
    if content is not None and not isinstance(content, Mapping):
        message = "`record.content` of a stored verdict is the whole record"
        problems.append(Problem("not-a-verdict", message, content.span, "take it from where it was stored first"))
    if problems or not isinstance(content, Mapping):
        return None, in_order(problems)
    verdict, headline, ruleset, edition, digest, id, file, of_record, version = texts
    return Stored(
        name, verdict, headline, ruleset, edition, digest, id, file, of_record, version, content, _plain(tree)
    ), ()


def _part(tree: Mapping, path: tuple[str, ...], problems: list[Problem]) -> Tree | None:
    """What stands at a path; where nothing does, that is a problem of the innermost mapping there is."""
    at: Tree = tree
    for i, name in enumerate(path):
        below = at.get(name) if isinstance(at, Mapping) else None
        if below is None:
            message = f"this is not a stored verdict: it has no `{'.'.join(path[: i + 1])}`"
            help = "a stored verdict is what `tautbook judge --format json` prints"
            span = at.entries[0].key.span if isinstance(at, Mapping) and at.entries else at.span
            problems.append(Problem("not-a-verdict", message, span, help))
            return None
        at = below
    return at


def _text(tree: Mapping, path: tuple[str, ...], problems: list[Problem]) -> str:
    found = _part(tree, path, problems)
    if isinstance(found, Scalar) and found.style == "double":
        return found.text
    if found is not None:
        message = f"`{'.'.join(path)}` of a stored verdict is a text"
        problems.append(Problem("not-a-verdict", message, found.span, "put it in double quotes"))
    return ""


def _plain(tree: Tree) -> Any:
    """As JSON data. Never deeper than reading allows."""
    match tree:
        case Mapping(entries=entries):
            return {entry.key.text: _plain(entry.value) for entry in entries}
        case Sequence(items=items):
            return [_plain(item) for item in items]
        case Scalar(text=text, style="json word"):
            return {"true": True, "false": False}.get(text)
        case Scalar(text=text, style="json number"):
            return int(text) if text.lstrip("-").isdigit() else Figure(text)
        case Scalar(text=text):
            return text
