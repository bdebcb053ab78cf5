"""An amendment and the edition that it amends, put together as plain data."""

import copy
from pathlib import Path
from typing import Any

from reference.shapes import read

RULESETS = Path(__file__).parents[2] / "rulesets"
Tree = dict[str, Any]


def whole(edition: Tree) -> Tree:
    """The edition itself, or with all that it amends."""
    if "amends" not in edition:
        return edition
    of = edition["amends"]
    base = whole(read((RULESETS / of["ruleset"] / f"{of['edition']}.yaml").read_text(encoding="utf-8")))
    joined = copy.deepcopy(base)
    for path in edition.get("strike", {}):
        first, rest = path.split(".", 1)
        keys = [first, *rest.split(".")] if first == "procedures" else [first, rest]
        at = joined
        for key in keys[:-1]:
            at = at[key]
        del at[keys[-1]]
    for key, value in edition.items():
        if key in ("sources", "covers", "fields", "tables", "terms"):
            _items(joined.setdefault(key, {}), value)
        elif key == "procedures":
            for id, procedure in value.items():
                into = joined[key].setdefault(id, {})
                for part, below in procedure.items():
                    if isinstance(below, dict):
                        _items(into.setdefault(part, {}), below)
                    else:
                        into[part] = below
        elif key not in ("amends", "strike"):
            joined[key] = value
    return joined


def _items(into: Tree, items: Tree) -> None:
    for id, item in items.items():
        if isinstance(item, dict) and "cells" in item:
            _cells(into[id]["rows"], item["cells"])
        else:
            into[id] = {key: part for key, part in item.items() if key != "why"} if isinstance(item, dict) else item


def _cells(rows: Tree, cells: Tree) -> None:
    for key, cell in cells.items():
        if isinstance(cell, dict):
            _cells(rows.setdefault(key, {}), cell)
        else:
            rows[key] = cell
