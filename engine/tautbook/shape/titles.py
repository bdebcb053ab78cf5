"""Fields by what a form calls them: who types a form in writes a title where the name of a field is wanted."""

from __future__ import annotations

import re
from collections.abc import Iterator

from .schemas import Schema

Place = tuple[tuple[str, bool], ...]
"""The names from the record to a field, each with whether it is a list."""


def called(name: str, group: Schema) -> str | None:
    """The field of ``group`` that has ``name`` for its title, where just one has; the title of the group can be left
    out of both."""
    known = group.get("properties", {})
    found = [field for field, below in known.items() if isinstance(below, dict) and _is(name, below, group)]
    return found[0] if len(found) == 1 else None


def places_called(name: str, schema: Schema) -> list[Place]:
    """Every field of ``schema`` that has ``name`` for its whole title."""
    return [place for place, below in _fields(schema, ()) if _words(below.get("title", "")) == _words(name) != ()]


def _is(name: str, field: Schema, group: Schema) -> bool:
    above = set(_words(group.get("title", "")))
    mine, wanted = ([each for each in _words(text) if each not in above] for text in (name, field.get("title", "")))
    return bool(mine) and mine == wanted


def _words(text: str) -> tuple[str, ...]:
    return tuple(re.findall(r"[^\W_]+", text.casefold()))


def _fields(group: Schema, above: Place) -> Iterator[tuple[Place, Schema]]:
    for name, below in group.get("properties", {}).items():
        listed = below.get("x-kind") == "list"
        inner = below["items"] if listed else below
        place = (*above, (name, listed))
        if inner.get("x-kind") == "group":
            yield from _fields(inner, place)
        else:
            yield place, below
