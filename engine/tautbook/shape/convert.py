"""Plain tree and schema, walked together: every scalar to a value of its kind, every mistake of form found.

All problems of a file come at once: those of single scalars, those of structure (structure.py), and, where
there are any, those of the grammar of its expressions.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any, assert_never

from ..lang.parse import parse
from ..lang.problem import Problem, in_order
from ..lang.quantity import Quantity
from ..lang.source import Span
from ..lang.tree import Entry, Mapping, Scalar, Sequence, Tree
from .forms import form_problem, form_wanted
from .scalars import convert, is_empty
from .schemas import Schema
from .shaped import Raw, Shaped, ShapedList, ShapedMap, ShapedValue
from .structure import Path, structure_problems

NOTES = "notes"
"""The field of a record, or of an item, that takes what no other field does."""
_WORDS_BEHIND = re.compile(r"[\"']?[0-9]+[^0-9A-Za-z]*\s[^0-9A-Za-z]*[0-9]*\s*[A-Za-z]{2}")
_MISSHAPEN = object()
"""Stands in the plain instance where a problem was already found; structure checks pass over it."""

_Pair = tuple[Shaped | None, Any]
"""The shaped part (None after a problem), and the plain instance of it for structure checks."""


def shape(tree: Tree, schema: Schema) -> tuple[Shaped | None, tuple[Problem, ...]]:
    """``tree`` in the kinds of ``schema`` (references written out, see schemas.py), or all its problems."""
    walk = _Walk()
    shaped, instance = walk.tree(tree, schema, (), schema["title"], tree.span)
    problems = [*walk.problems, *structure_problems(tree, instance, schema, frozenset(walk.misshapen))]
    if problems or shaped is None:
        syntax = [problem for scalar in walk.expressions for problem in parse(scalar)[1]]
        return None, in_order([*problems, *syntax])
    return shaped, ()


@dataclass(slots=True)
class _Walk:
    """One pass over a file: the problems, where they are in the plain instance, and the expressions met."""

    problems: list[Problem] = field(default_factory=list)
    misshapen: set[Path] = field(default_factory=set)
    expressions: list[Scalar] = field(default_factory=list)

    def tree(self, tree: Tree, schema: Schema, path: Path, name: str, key: Span) -> _Pair:
        schema = _branch(tree, schema)
        problem = form_problem(tree, schema, name, key)
        if problem is not None:
            return self.fail(problem, path)
        if schema["x-kind"] in {"raw", "evidence"}:
            return Raw(tree), plain(tree)
        match tree:
            case Scalar():
                return self.scalar(tree, schema, path, name)
            case Sequence():
                return self.sequence(tree, schema, path, name)
            case Mapping():
                return self.mapping(tree, schema, path)
            case _:
                assert_never(tree)

    def fail(self, problem: Problem, path: Path) -> _Pair:
        self.problems.append(problem)
        self.misshapen.add(path)
        return None, _MISSHAPEN

    def scalar(self, scalar: Scalar, schema: Schema, path: Path, name: str) -> _Pair:
        value = convert(scalar, schema, name)
        if isinstance(value, Problem):
            return self.fail(value, path)
        rule = schema["x-kind"] == "expression"
        if rule:
            self.expressions.append(scalar)
        shaped = ShapedValue(value, scalar.text, scalar, rule)
        if schema["x-kind"] == "whole":
            assert isinstance(value, Quantity)
            return shaped, int(Fraction(value.value))
        return shaped, value if isinstance(value, bool) else scalar.text

    def sequence(self, sequence: Sequence, schema: Schema, path: Path, name: str) -> _Pair:
        pairs: list[_Pair] = []
        for i, item in enumerate(sequence.items):
            if isinstance(item, Scalar) and is_empty(item):
                message = f"an item of `{name}` is empty"
                problem = Problem("empty-value", message, item.span, "write it, or take the item out")
                pairs.append(self.fail(problem, (*path, i)))
            else:
                singular = schema.get("x-singular", name)
                pairs.append(self.tree(item, schema["items"], (*path, i), singular, item.span))
        items = tuple(shaped for shaped, _ in pairs if shaped is not None)
        return ShapedList(items, sequence.span), [instance for _, instance in pairs]

    def mapping(self, mapping: Mapping, schema: Schema, path: Path) -> _Pair:
        entries: dict[str, Shaped] = {}
        keys: dict[str, Scalar] = {}
        instance: dict[str, Any] = {}
        told = len(self.problems)
        for entry in mapping:
            key = entry.key.text
            below = _below(entry, schema)
            shaped, instance[key] = self.tree(entry.value, below, (*path, key), key, entry.key.span)
            if shaped is not None:
                entries[key], keys[key] = shaped, entry.key
        if NOTES in schema.get("properties", {}):
            self.problems[told:] = [_with_notes(problem) for problem in self.problems[told:]]
        return ShapedMap(entries, keys, mapping.span, schema.get("x-ordered", False)), instance


def _with_notes(problem: Problem) -> Problem:
    """Words behind a number have a place of their own."""
    if problem.code not in {"whole-number", "number-form"} or problem.span is None or problem.help is None:
        return problem
    if NOTES in problem.help or _WORDS_BEHIND.match(problem.span.text) is None:
        return problem
    return replace(problem, help=f"{problem.help}; what else there is to say stands in `{NOTES}`")


def _branch(tree: Tree, schema: Schema) -> Schema:
    """Of the ways a schema leaves open, the one of the form that is written; the first if none is."""
    if "oneOf" not in schema:
        return schema
    return next((way for way in schema["oneOf"] if form_wanted(way) is type(tree)), schema["oneOf"][0])


def _below(entry: Entry, schema: Schema) -> Schema:
    """The schema of the value of ``entry``. An unknown key is left to the structure checks."""
    known: Schema | None = schema.get("properties", {}).get(entry.key.text)
    if known is not None:
        return known
    others = schema.get("additionalProperties", False)
    return others if isinstance(others, dict) else {"x-kind": "raw"}


def plain(tree: Tree) -> Any:
    """Text, lists and mappings only: an instance that structure checks can read."""
    match tree:
        case Scalar(text=text):
            return text
        case Sequence(items=items):
            return [plain(item) for item in items]
        case Mapping(entries=entries):
            return {entry.key.text: plain(entry.value) for entry in entries}
        case _:
            assert_never(tree)
