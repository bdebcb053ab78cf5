"""Scalar, list or mapping: whether a part of the file has the form that its schema asks for."""

from __future__ import annotations

from ..lang.problem import Problem
from ..lang.source import Span
from ..lang.tree import Mapping, Scalar, Sequence, Tree
from .scalars import is_empty
from .schemas import Schema

Form = type[Scalar] | type[Sequence] | type[Mapping]

_TYPES: dict[str, Form] = {"object": Mapping, "array": Sequence}
_SHOWN = 6


def form_wanted(schema: Schema) -> Form | None:
    """The form that ``schema`` asks for; None if it takes any."""
    if schema["x-kind"] in {"group", "map"}:
        return Mapping
    if schema["x-kind"] == "list":
        return Sequence
    if schema["x-kind"] == "evidence":
        return None
    if schema["x-kind"] != "raw":
        return Scalar
    if "type" not in schema:
        return None
    return Scalar if isinstance(schema["type"], list) else _TYPES.get(schema["type"], Scalar)


def form_problem(tree: Tree, schema: Schema, name: str, key: Span) -> Problem | None:
    """What is wrong with the form of ``tree``; None if nothing is. ``key`` is where its key stands."""
    wanted = form_wanted(schema)
    if schema["x-kind"] == "evidence":
        return _evidence_problem(tree, name, key)
    if wanted is None or isinstance(tree, wanted):
        return None
    span = _start(tree)
    if isinstance(tree, Scalar) and is_empty(tree):
        what = "fields" if wanted is Mapping else "items, each starting with `- `"
        help = f"write its {what} on the next lines, indented, or leave `{name}` out"
        return Problem("empty-value", f"nothing is written after `{name}:`", key, help)
    if wanted is Mapping:
        return Problem("fields-expected", f"`{name}` holds fields of its own", span, _fields(schema, name))
    if wanted is Sequence:
        help = "start each item with `- `, or put them in [ ]"
        return Problem("list-expected", f"`{name}` is a list", span, help)
    if isinstance(tree, Sequence):
        message = f"`{name}` takes one value, not a list"
        return Problem("one-value-expected", message, span, "write one of them")
    if schema["x-kind"] == "expression":
        message = f"`{name}` is a rule, and braces or a colon made something else of it"
        return Problem("rule-in-braces", message, span, "write the rule in quotes, or as a block after `|`")
    message = f"`{name}` takes one value, not fields of its own"
    help = "if this is one text that holds a colon or braces, put it in quotes"
    return Problem("one-value-expected", message, span, help)


def _evidence_problem(tree: Tree, name: str, key: Span) -> Problem | None:
    help = "name its file, give its number, or write its fields below"
    if isinstance(tree, Sequence):
        return Problem("one-value-expected", f"`{name}` is one record", _start(tree), help)
    if isinstance(tree, Scalar) and is_empty(tree):
        return Problem("empty-value", f"nothing is written after `{name}:`", key, help)
    return None


def _fields(schema: Schema, name: str) -> str:
    known = tuple(schema.get("properties", {}))
    if not known:
        return f"write each on a line of its own below `{name}:`, indented"
    some = ", ".join(f"`{field}`" for field in known[:_SHOWN])
    return f"write them indented below, or in braces: {some}" + (" and more" if len(known) > _SHOWN else "")


def _start(tree: Tree) -> Span:
    """Where to point: a long part of a file only at its first line."""
    end = tree.span.text.find("\n")
    return tree.span if end < 0 else tree.span.at(0, end)
