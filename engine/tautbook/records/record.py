"""One recorded test, as it was written."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from ..lang.quantity import Quantity
from ..lang.tree import Mapping as TreeMapping
from ..lang.tree import Scalar, Sequence, Tree
from ..shape.shaped import Raw, Shaped, ShapedList, ShapedMap, ShapedValue
from ..shape.vocabulary import Vocabulary


@dataclass(frozen=True, slots=True)
class Record:
    """INVARIANT: ``shaped`` is of the schema of ``words``."""

    id: str
    file: str
    """The name it is shown under."""
    words: Vocabulary
    shaped: ShapedMap = field(repr=False)
    digest: str
    evidence: Mapping[str, Record] = field(default_factory=dict, hash=False)
    """The records that it rests on, by slot; each also stands whole in ``shaped``."""

    @property
    def procedure(self) -> str:
        return self.words.procedure


_WHOLE = re.compile(r"0|-?[1-9][0-9]*")


def content(node: Shaped) -> Any:
    """The record as JSON data that reads back as the same record: what a stored verdict holds."""
    match node:
        case ShapedMap(entries=entries):
            return {key: content(below) for key, below in entries.items()}
        case ShapedList(items=items):
            return [content(item) for item in items]
        case ShapedValue(value=bool() as value):
            return value
        case ShapedValue(value=Quantity() as value, written=written) if not value.unit.name:
            return int(written) if _WHOLE.fullmatch(written) else written
        case ShapedValue(written=written):
            return written
        case Raw(tree=tree):
            return _plain(tree)


def _plain(tree: Tree) -> Any:
    match tree:
        case TreeMapping(entries=entries):
            return {entry.key.text: _plain(entry.value) for entry in entries}
        case Sequence(items=items):
            return [_plain(item) for item in items]
        case Scalar(text=text, style=style) if style in {"plain", "json word", "json number"}:
            return {"true": True, "false": False}.get(text, int(text) if _WHOLE.fullmatch(text) else text)
        case Scalar(text=text):
            return text
