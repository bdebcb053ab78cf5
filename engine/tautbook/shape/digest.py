"""The digest of an edition or a record: SHA-256 over canonical JSON of what it means.

Comments, key order, layout and quoting are out; titles, notes, sources and clauses are in. Expressions stand as
their parse tree before checking, literals as reduced value and unit. Of a mapping whose order means something, as that
of a term's parameters does, the order is in. The prefix names this form, frozen for good.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any, assert_never

from ..lang.one_text import one_text
from ..lang.quantity import Quantity, read_quantity
from ..lang.surface import Expression
from ..lang.surface_json import surface_json, value_json
from ..lang.tree import Mapping as TreeMapping
from ..lang.tree import Scalar, Sequence, Tree
from .shaped import Raw, Shaped, ShapedList, ShapedMap, ShapedValue

FORM = "m1"


def digest(shaped: Shaped, expressions: dict[int, Expression] | None = None) -> str:
    """``m1:`` and 64 hexadecimal digits. ``expressions`` has the parsed tree by the identity of its scalar."""
    text = canonical(shaped, expressions or {})
    return f"{FORM}:{hashlib.sha256(text.encode('ascii')).hexdigest()}"


def canonical(shaped: Shaped, expressions: Mapping[int, Expression]) -> str:
    """The canonical JSON of a part: two parts mean the same if and only if theirs is the same."""
    return json.dumps(_meaning(shaped, expressions), sort_keys=True, separators=(",", ":"), ensure_ascii=True)


def _meaning(node: Shaped, expressions: Mapping[int, Expression]) -> Any:
    match node:
        case ShapedMap(entries=entries, ordered=True) if len(entries) > 1:
            # One entry stands alone in any order, and is written as in any other mapping.
            return [[one_text(key), _meaning(below, expressions)] for key, below in entries.items()]
        case ShapedMap(entries=entries):
            return {one_text(key): _meaning(below, expressions) for key, below in entries.items()}
        case ShapedList(items=items):
            return [_meaning(item, expressions) for item in items]
        case ShapedValue(value=value, scalar=scalar):
            if id(scalar) in expressions:
                return ["expression", surface_json(expressions[id(scalar)])]
            return one_text(value) if isinstance(value, str) else value_json(value)
        case Raw(tree=tree):
            return _raw(tree)
        case _:
            assert_never(node)


def _raw(tree: Tree) -> Any:
    """A part that a later stage reads; none of them holds a rule."""
    match tree:
        case TreeMapping(entries=entries):
            return {json.dumps(_scalar(entry.key)): _raw(entry.value) for entry in entries}
        case Sequence(items=items):
            return [_raw(item) for item in items]
        case Scalar():
            return _scalar(tree)
        case _:
            assert_never(tree)


def _scalar(scalar: Scalar) -> Any:
    """Figures by value and unit, so that a key 1/2 in and a key 0.5 in are one."""
    found = read_quantity(scalar.text)
    return value_json(found) if isinstance(found, Quantity) else one_text(scalar.text)
