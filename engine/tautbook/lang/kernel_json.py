"""Kernel trees as plain JSON data in one versioned form, ``k1``: for the cache, the page and the workers.

Spans are left out; values are exact, kinds are kept. Data of another form is a fault of ours and raises ``ValueError``.

Nodes stand in one list, each distinct one once, and refer by number to nodes before them: ``largest(a, b)`` holds
both of its parts twice, so that a tree inside a tree could grow double with every level. A node is
``[construct, number of its kind, ...]``.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from . import kernel
from .kernel import Field, Node
from .kinds import Kind
from .quantity import Quantity
from .values import Stuck
from .values_json import kind_from_json, kind_json, value_from_json, value_json, whole, words, wrong

FORM = "k1"

_STUCK = ("no rule", "division by zero", "outside the points", "date refused", "empty list")
_PAIR = {"left": "node", "right": "node"}
_How = str | tuple[str | None, ...]

CONSTRUCTS: Mapping[str, tuple[type[Node], Mapping[str, _How]]] = {
    "constant": (kernel.Constant, {"value": "value"}),
    "no rule": (kernel.NoRule, {"reason": "stuck"}),
    "field": (kernel.Field, {"root": "word or null", "path": "words"}),
    "parameter": (kernel.Parameter, {"name": "word"}),
    "term": (kernel.Term, {"name": "word", "arguments": "nodes"}),
    "look-up": (kernel.Lookup, {"table": "word", "keys": "nodes"}),
    "band": (kernel.Band, {"table": "word", "axis": "whole", "of": "node"}),
    "negate": (kernel.Negate, {"of": "node"}),
    "add": (kernel.Add, _PAIR),
    "multiply": (kernel.Multiply, _PAIR),
    "divide": (kernel.Divide, _PAIR),
    "absolute": (kernel.Absolute, {"of": "node"}),
    "round": (
        kernel.Round,
        {"way": ("nearest", "up", "down"), "of": "node", "step": "quantity", "ties": ("up", "even", None)},
    ),
    "shift": (kernel.Shift, {"date": "node", "by": "node"}),
    "days between": (kernel.DaysBetween, _PAIR),
    "compare": (
        kernel.Compare,
        {"left": "node", "relation": ("=", "!=", "<", "<=", ">", ">="), "right": "node"},
    ),
    "not": (kernel.Not, {"of": "node"}),
    "and": (kernel.Both, {"parts": "nodes"}),
    "or": (kernel.Either, {"parts": "nodes"}),
    "if": (kernel.If, {"condition": "node", "then": "node", "otherwise": "node"}),
    "over": (
        kernel.Over,
        {
            "what": ("count", "every", "some", "smallest", "largest", "sum", "mean"),
            "of": "field",
            "singular": "word",
            "body": "node",
        },
    ),
    "interpolate": (kernel.Interpolate, {"points": "field", "where": "word", "value": "word", "at": "node"}),
    "recorded": (kernel.Recorded, {"of": "field"}),
}
"""Word of each construct: its node, and how each part of it is written, in order. A tuple lists the words it may be."""

_WORD_OF = {made: word for word, (made, _) in CONSTRUCTS.items()}


def kernel_json(node: Node) -> Any:
    """``{"form": "k1", "root": number, "nodes": [...], "kinds": [...]}``; the same for equal trees of equal kinds."""
    out = Writer()
    root = out.node(node)
    return {"form": FORM, "root": root, "nodes": out.nodes, "kinds": out.kinds}


def kernel_from_json(data: Any) -> Node:
    """The tree that ``kernel_json`` wrote, without spans. Raises ``ValueError`` for anything else."""
    return Reader(of_form(data, {"root"})).node(data["root"])


def of_form(data: Any, more: set[str]) -> dict[str, Any]:
    """``data`` if it is of this form and holds ``more``."""
    found = object_of(data, {"form", "nodes", "kinds"} | more)
    return found if found["form"] == FORM else wrong("the form", found["form"])


def object_of(data: Any, keys: set[str] | None = None) -> dict[str, Any]:
    """``data`` if it is an object, with just these keys if they are given."""
    if not isinstance(data, dict) or (keys is not None and set(data) != keys):
        wrong(f"an object of {', '.join(sorted(keys or {'names'}))}", data)
    return data


def list_of(data: Any, length: int | None = None) -> list[Any]:
    """``data`` if it is a list, of that length if one is given."""
    if not isinstance(data, list) or length not in (None, len(data)):
        wrong("a list" if length is None else f"a list of {length}", data)
    return data


class Writer:
    """Nodes and kinds, each written once; where one is wanted, its number."""

    def __init__(self) -> None:
        self.nodes: list[Any] = []
        self.kinds: list[Any] = []
        self.numbers: dict[str, int] = {}
        self.seen: dict[int, int] = {}  # the caller holds the tree, so an identity stays one node's

    def numbered(self, data: Any, among: list[Any]) -> int:
        """The number of ``data`` in its list, in which it stands once."""
        key = ("n" if among is self.nodes else "k") + json.dumps(data, sort_keys=True)
        if key not in self.numbers:
            self.numbers[key] = len(among)
            among.append(data)
        return self.numbers[key]

    def kind(self, kind: Kind) -> int:
        return self.numbered(kind_json(kind), self.kinds)

    def node(self, node: Node) -> int:
        if id(node) not in self.seen:
            word = _WORD_OF[type(node)]
            parts = [self.part(how, getattr(node, name)) for name, how in CONSTRUCTS[word][1].items()]
            self.seen[id(node)] = self.numbered([word, self.kind(node.kind), *parts], self.nodes)
        return self.seen[id(node)]

    def part(self, how: _How, value: Any) -> Any:
        match how:
            case "node" | "field":
                return self.node(value)
            case "nodes":
                return [self.node(part) for part in value]
            case "value" | "quantity":
                return value_json(value)
            case "stuck":
                return [value.by, value.detail]
            case "words":
                return list(value)
            case _:
                return value


class Reader:
    """The nodes and kinds of data, made at once; each is asked for by its number."""

    def __init__(self, data: dict[str, Any]) -> None:
        self.kinds = [kind_from_json(kind) for kind in list_of(data["kinds"])]
        self.nodes: list[Node] = []
        for row in list_of(data["nodes"]):
            self.nodes.append(self.made(row))

    def made(self, row: Any) -> Node:
        if not isinstance(row, list) or len(row) < 2 or not isinstance(row[0], str) or row[0] not in CONSTRUCTS:
            wrong("a node", row)
        make, parts = CONSTRUCTS[row[0]]
        if len(row) != 2 + len(parts):
            wrong(f"`{row[0]}` with its {len(parts)} parts", row)
        inside: dict[str, Any] = {
            name: self.part(how, data) for (name, how), data in zip(parts.items(), row[2:], strict=True)
        }
        return make(**inside, kind=self.kind(row[1]))

    def kind(self, data: Any) -> Kind:
        at = whole(data)
        return self.kinds[at] if 0 <= at < len(self.kinds) else wrong("a number of a kind", data)

    def node(self, data: Any) -> Node:
        at = whole(data)
        return self.nodes[at] if 0 <= at < len(self.nodes) else wrong("a number of a node before", data)

    def part(self, how: _How, data: Any) -> Any:
        match how, data:
            case "node", _:
                return self.node(data)
            case "field", _:
                node = self.node(data)
                return node if isinstance(node, Field) else wrong("a field", data)
            case "nodes", list():
                return tuple(map(self.node, data))
            case "value", _:
                return value_from_json(data)
            case "quantity", _:
                value = value_from_json(data)
                return value if isinstance(value, Quantity) else wrong("a quantity", data)
            case "stuck", [str() as by, str() as detail] if by in _STUCK:
                return Stuck(by, detail)  # type: ignore[arg-type]  # one of _STUCK
            case "words", _:
                return words(data)
            case "whole", _:
                return whole(data)
            case ("word" | "word or null", str()) | ("word or null", None):
                return data
            case tuple(), str() | None if data in how:
                return data
            case _:
                return wrong(how if isinstance(how, str) else f"one of {', '.join(map(str, how))}", data)
