"""Editions as trees that tests change and compare."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

from tautbook.comparing.change import Change
from tautbook.comparing.changes import compared
from tautbook.editions.edition import AsWritten
from tautbook.editions.written import Written, parse_rules
from tautbook.lang.reading import form_of, read_text, read_tree
from tautbook.lang.surface import Expression
from tautbook.lang.tree import Entry, Mapping, Scalar, Sequence, Tree
from tautbook.shape.convert import shape
from tautbook.shape.digest import digest
from tautbook.shape.schemas import load_schema
from tautbook.shape.shaped import ShapedMap

SMALL = """\
ruleset: small
edition: one
language: 1
title: A small edition
effective: {from: 2020-01-01}
months: clamp
sources: {s: {title: Invented, standing: invented}}
covers: {bolt.grade: [A325]}
"""
"""How an edition of a few rules begins."""

Way = tuple[str | int, ...]
"""Keys and positions that lead to a part of a tree."""


def tree_of(text: str) -> Tree:
    source, problems = read_text(text.encode(), "edition.yaml")
    assert source is not None, problems
    tree, problems = read_tree(source, form_of("edition.yaml", text))
    assert tree is not None, problems
    return tree


PARSED: dict[int, Expression] = {}
"""Rules of the sample by the identity of their scalars: where they stand unchanged, they are not parsed again."""
EVERY_MEMBER = tree_of(Path(__file__).with_name("every-member.yaml").read_text(encoding="utf-8"))


def written(tree: Tree) -> AsWritten | None:
    """The edition of a tree; None if it is none any more."""
    shaped, _ = shape(tree, load_schema("edition"))
    if not isinstance(shaped, ShapedMap):
        return None
    read = Written(shaped, {}, expressions=dict(PARSED))
    parse_rules(read)
    if tree is EVERY_MEMBER:
        PARSED.update(read.expressions)
    return None if read.problems else AsWritten(shaped, read.expressions)


def good(tree: Tree) -> AsWritten:
    found = written(tree)
    assert found is not None
    return found


def digest_of(edition: AsWritten) -> str:
    return digest(edition.shaped, dict(edition.rules))


def changes_of(old: str | Tree, new: str | Tree) -> tuple[Change, ...]:
    a, b = (tree_of(each) if isinstance(each, str) else each for each in (old, new))
    return compared(good(a), good(b))


def ways(tree: Tree, above: Way = ()) -> Iterator[tuple[Way, Tree]]:
    """Every part of a tree, the whole one first."""
    yield above, tree
    if isinstance(tree, Mapping):
        for entry in tree.entries:
            yield from ways(entry.value, (*above, entry.key.text))
    elif isinstance(tree, Sequence):
        for i, item in enumerate(tree.items):
            yield from ways(item, (*above, i))


def at(tree: Tree, way: Way, change: Callable[[Tree], Tree]) -> Tree:
    """The tree with one part changed."""
    if not way:
        return change(tree)
    step, rest = way[0], way[1:]
    if isinstance(tree, Mapping):
        return replace(tree, entries=tuple(
            Entry(entry.key, at(entry.value, rest, change)) if entry.key.text == step else entry
            for entry in tree.entries))  # fmt: skip
    assert isinstance(tree, Sequence)
    items = (at(item, rest, change) if i == step else item for i, item in enumerate(tree.items))
    return replace(tree, items=tuple(items))


def put(way: Way, text: str, tree: Tree = EVERY_MEMBER) -> Tree:
    """The tree with another text in one place."""

    def other(part: Tree) -> Tree:
        assert isinstance(part, Scalar), way
        return replace(part, text=text)

    return at(tree, way, other)


def without(way: Way, tree: Tree = EVERY_MEMBER) -> Tree:
    """The tree without one of its parts."""
    *above, step = way

    def other(part: Tree) -> Tree:
        if isinstance(part, Mapping):
            return replace(part, entries=tuple(entry for entry in part.entries if entry.key.text != step))
        assert isinstance(part, Sequence)
        return replace(part, items=tuple(item for i, item in enumerate(part.items) if i != step))

    return at(tree, tuple(above), other)


def turned(tree: Tree) -> Tree:
    """The tree with the entries of each of its mappings in the opposite order."""
    if isinstance(tree, Mapping):
        return replace(tree, entries=tuple(Entry(e.key, turned(e.value)) for e in reversed(tree.entries)))
    return replace(tree, items=tuple(map(turned, tree.items))) if isinstance(tree, Sequence) else tree
