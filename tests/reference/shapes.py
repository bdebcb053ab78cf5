"""What the record schemas say: kinds of fields, lists with their singulars, points, and fields that others give."""

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from reference.plain import plain

SCHEMAS = Path(__file__).parents[2] / "schemas"
DEEPEST = 4
"""How deep records may rest on others."""

Tree = dict[str, Any]


def read(text: str) -> Any:
    """YAML with every scalar as its text."""
    return yaml.load(text, getattr(yaml, "CBaseLoader", yaml.BaseLoader))


@cache
def schema(procedure: str) -> Tree:
    """The record schema with what it refers to put in its place."""
    parts = json.loads((SCHEMAS / "parts.schema.json").read_text(encoding="utf-8"))["$defs"]

    def resolved(node: Any) -> Any:
        if isinstance(node, list):
            return [resolved(each) for each in node]
        if not isinstance(node, dict):
            return node
        if "$ref" in node:
            node = {**parts[node["$ref"].rpartition("/")[2]], **{k: v for k, v in node.items() if k != "$ref"}}
        return {key: resolved(below) for key, below in node.items()}

    found: Tree = resolved(json.loads((SCHEMAS / "records" / f"{procedure}.schema.json").read_text(encoding="utf-8")))
    return found


def slots(procedure: str) -> dict[str, str]:
    """Procedure of the evidence, by slot."""
    listed = schema(procedure)["properties"]["evidence"].get("properties", {})
    return {slot: below["x-procedure"] for slot, below in listed.items()}


def field(of: Tree, path: str) -> Tree:
    for name in path.split("."):
        of = (of.get("items") or of)["properties"][name]
    return of


def top_lists(procedure: str) -> dict[str, Tree]:
    """The lists of the record itself."""
    return {name: of for name, of in schema(procedure)["properties"].items() if of.get("x-kind") == "list"}


def _lists(of: Tree, prefix: str) -> Iterator[tuple[str, Tree]]:
    for name, below in of.get("properties", {}).items():
        if below.get("x-kind") == "list":
            yield prefix + name, below
            yield from _lists(below["items"], f"{prefix}{name}.")
        yield from _lists(below, f"{prefix}{name}.")


@cache
def lists(procedure: str, deepest: int = DEEPEST) -> dict[str, Tree]:
    """Every list by its path, those inside the evidence too."""
    found = dict(_lists(schema(procedure), ""))
    for slot, other in slots(procedure).items() if deepest else ():
        found |= {f"evidence.{slot}.{path}": of for path, of in lists(other, deepest - 1).items()}
    return found


@cache
def singulars(procedure: str) -> dict[str, str]:
    return {path: of["x-singular"] for path, of in lists(procedure).items()}


@cache
def points(procedure: str) -> dict[str, tuple[str, str]]:
    """(place, value) of each list that a straight line is drawn through."""
    found = {path: of["x-points"] for path, of in lists(procedure).items() if "x-points" in of}
    return {path: (names["at"], names["value"]) for path, names in found.items()}


def derived(of: Tree, prefix: str = "") -> Iterator[tuple[str, Tree]]:
    """What other fields give, by path; not inside of lists."""
    for name, below in of.get("properties", {}).items():
        if "x-derived" in below:
            yield prefix + name, below
        yield from derived(below, f"{prefix}{name}.")


def values(written: Any, of: Tree) -> Any:
    """The plain values of what is written, by the kinds of its schema. Evidence and an authority's own are left out."""
    if isinstance(written, list):
        return [values(item, of["items"]) for item in written]
    if isinstance(written, dict):
        below = of.get("properties", {})
        return {
            key: values(part, below[key])
            for key, part in written.items()
            if key in below and below[key].get("x-kind") not in ("evidence", "raw")
        }
    return written == "true" if of["x-kind"] == "yes-no" else plain(written, of["x-kind"])
