"""What a record schema says of records beyond their shape: fields that others give, and what no real test shows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from ..lang.check import Scope, check
from ..lang.kernel import Node
from ..lang.kinds import GroupKind, ListKind
from ..lang.parse import parse_text
from ..shape.vocabulary import FieldInfo, Sound, Vocabulary, vocabulary


@dataclass(frozen=True, slots=True)
class Derived:
    """A field that others give where it was not recorded."""

    path: tuple[str, ...]
    """From the record, or from the item of ``each``."""
    each: str | None
    singular: str | None
    value: Node
    when: Node | None
    otherwise: Node | None
    """Its value where ``value`` is open."""


@dataclass(frozen=True, slots=True)
class Impossible:
    """A check: where ``require`` is no, no real test was recorded so."""

    sound: Sound
    singular: str | None
    require: Node


@dataclass(frozen=True, slots=True)
class Sense:
    """The checked rules of one record schema."""

    derived: tuple[Derived, ...]
    impossible: tuple[Impossible, ...]


@cache
def sense(procedure: str) -> Sense:
    """The rules of the schema of ``procedure``. A rule that does not check is a fault of ours."""
    words = vocabulary(procedure)
    assert words is not None, procedure
    derived = tuple(_derived(info, words) for info in words.fields.values() if info.derived is not None)
    return Sense(derived, tuple(_impossible(sound, words) for sound in words.sound))


def _derived(info: FieldInfo, words: Vocabulary) -> Derived:
    assert info.derived is not None
    first, *rest = info.path.split(".")
    kind = words.record.fields[first]
    each, path = (first, rest) if isinstance(kind, ListKind) else (None, [first, *rest])
    scope = _scope(words, each)
    when = None if info.derived_when is None else _rule(info.derived_when, scope, "yes/no")
    otherwise = None if info.derived_else is None else _rule(info.derived_else, scope, None)
    return Derived(tuple(path), each, _singular(words, each), _rule(info.derived, scope, None), when, otherwise)


def _impossible(sound: Sound, words: Vocabulary) -> Impossible:
    rule = _rule(sound.require, _scope(words, sound.each), "yes/no")
    return Impossible(sound, _singular(words, sound.each), rule)


def _singular(words: Vocabulary, each: str | None) -> str | None:
    kind = None if each is None else words.record.fields[each]
    return kind.singular if isinstance(kind, ListKind) else None


def _scope(words: Vocabulary, each: str | None) -> Scope:
    kind = None if each is None else words.record.fields[each]
    bound: Mapping[str, GroupKind] = {}
    if isinstance(kind, ListKind) and isinstance(kind.item, GroupKind):
        bound = {kind.singular: kind.item}
    return Scope(words.record, bound=bound)


def _rule(text: str, scope: Scope, wanted: str | None) -> Node:
    expression, problems = parse_text(text)
    assert expression is not None, problems
    node, problems = check(expression, scope, wanted)
    assert node is not None, problems
    return node
