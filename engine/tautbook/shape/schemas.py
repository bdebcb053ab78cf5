"""The shipped schemas, found, read exactly and written out: after this no schema refers to another.

Nothing is ever fetched. A reference is looked up among the shipped files, and one that leads anywhere else is
a fault of ours.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

Schema = Mapping[str, Any]
"""A JSON Schema (2020-12) with the `x-` keywords of the record vocabulary and no `$ref` left in it."""

_END = ".schema.json"


def shipped(kind: str) -> Traversable:
    """The shipped folder ``kind`` ("schemas", "rulesets"): in the installed package, else the checkout's."""
    inside = files("tautbook") / kind
    return inside if inside.is_dir() else Path(__file__).parents[3] / kind


@cache
def schema_names() -> tuple[str, ...]:
    """Names of the shipped schemas, such as "edition" or "records/..."; sorted."""
    return tuple(sorted(_listing()))


@cache
def load_schema(name: str) -> Schema:
    """The shipped schema ``name``, references written out. KeyError if no such schema is shipped."""
    written_out: Schema = _expand(_read(name), name, ())
    return written_out


def record_schema(procedure: str) -> Schema | None:
    """The schema of the records of ``procedure``; None if no such procedure is known."""
    return load_schema(f"records/{procedure}") if procedure in procedures() else None


def procedures() -> tuple[str, ...]:
    """The procedures that have a record schema, sorted."""
    return tuple(name.removeprefix("records/") for name in schema_names() if name.startswith("records/"))


@cache
def _listing() -> Mapping[str, Traversable]:
    return dict(_below(shipped("schemas"), ""))


def _below(folder: Traversable, prefix: str) -> Iterator[tuple[str, Traversable]]:
    for item in folder.iterdir():
        if item.is_dir():
            yield from _below(item, f"{prefix}{item.name}/")
        elif item.name.endswith(_END):
            yield prefix + item.name.removesuffix(_END), item


@cache
def _read(name: str) -> Any:
    return json.loads(_listing()[name].read_text(encoding="utf-8"), parse_float=Decimal)


def _expand(node: Any, name: str, under: tuple[str, ...]) -> Any:
    """``node`` of the schema ``name``, each reference replaced by its target. ``under`` guards rings."""
    if isinstance(node, list):
        return [_expand(item, name, under) for item in node]
    if not isinstance(node, dict):
        return node
    own = {key: _expand(value, name, under) for key, value in node.items() if key not in {"$ref", "$defs"}}
    if "$ref" not in node:
        return own
    target, place = _target(node["$ref"], name)
    reference = f"{target}#{place}"
    assert reference not in under, f"schema {name} refers to itself through {reference}"
    found = _read(target)
    for step in place.strip("/").split("/"):
        found = found[step]
    return _joined(_expand(found, target, (*under, reference)), own)


def _target(reference: str, name: str) -> tuple[str, str]:
    """The schema and the place in it that ``reference``, written in the schema ``name``, leads to."""
    file, _, place = reference.partition("#")
    if not file:
        return name, place
    folder = name.split("/")[:-1]
    for step in file.removesuffix(_END).split("/"):
        folder = folder[:-1] if step == ".." else [*folder, step]
    return "/".join(folder), place


def _joined(found: dict[str, Any], own: dict[str, Any]) -> dict[str, Any]:
    """What a reference leads to and what stands beside it. Both hold; of titles the nearer one is shown."""
    required = [*found.get("required", ()), *own.get("required", ())]
    return {**found, **own, **({"required": list(dict.fromkeys(required))} if required else {})}
