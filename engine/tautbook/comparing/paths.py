"""Paths of a record: whose field one is, what the vocabulary says of it, and what stands there."""

from __future__ import annotations

import re

from ..lang.values import Data, Group, Items
from ..shape.vocabulary import FieldInfo, Vocabulary, vocabulary

_NUMBER = re.compile(r"\[[0-9]+\]")


def unnumbered(path: str) -> str:
    """The path as the vocabulary has it."""
    return _NUMBER.sub("", path)


def owner_of(path: str, procedure: str) -> tuple[str, str]:
    """The procedure of the record, of those that one of ``procedure`` rests on, that a path leads into; and the rest
    of the path, as seen from there."""
    parts = path.split(".")
    while len(parts) > 2 and parts[0] == "evidence":
        words = vocabulary(procedure)
        slot = None if words is None else words.fields.get(f"evidence.{parts[1]}")
        if slot is None or slot.procedure is None:
            break
        procedure, parts = slot.procedure, parts[2:]
    return procedure, ".".join(parts)


def field_info(path: str, words: Vocabulary) -> FieldInfo | None:
    """What the vocabulary says of a field, through the records that a record rests on; None if nothing."""
    procedure, rest = owner_of(unnumbered(path), words.procedure)
    found = vocabulary(procedure)
    return None if found is None else found.fields.get(rest)


def at_path(group: Group, path: str) -> Data | None:
    """What stands at a path of the language, items by their numbers."""
    data: Data | None = group
    for part in path.replace("[", ".[").split("."):
        if isinstance(data, Items):
            data = next((item for item in data.items if item.path.endswith(part)), None)
        else:
            data = data.fields.get(part) if isinstance(data, Group) else None
    return data
