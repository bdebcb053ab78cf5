"""Good files damaged at random: the answer is a shape, or problems with their places, and nothing else."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from shape_samples import EDITION, RECORD_JSON, good, shaped_text

from tautbook.lang.problem import show
from tautbook.shape.shaped import Raw, Shaped, ShapedList, ShapedMap, ShapedValue

WORDS = (
    "require", "absent", "voids", "kind", "is", "also", "when", "specimens", "refusals", "spaces",
    "A325", "true",
    "",
    "7/8 in", "41 kip", "2026-04-14", "setup", "quantity", "1", "a b", "Ü", "\u202e", "x" * 80,
)  # fmt: skip
VALUES = st.recursive(
    st.sampled_from(WORDS) | st.none() | st.booleans() | st.integers(-2, 2000) | st.just(10**30),
    lambda below: st.lists(below, max_size=2) | st.dictionaries(st.sampled_from(WORDS), below, max_size=3),
    max_leaves=5,
)


def plain(shaped: Shaped) -> Any:
    """A shaped sample as JSON data, to be damaged."""
    match shaped:
        case ShapedMap(entries=entries):
            return {key: plain(below) for key, below in entries.items()}
        case ShapedList(items=items):
            return [plain(item) for item in items]
        case Raw(tree=tree):
            return {"A325": {"1/2 in": "12 kip"}} if hasattr(tree, "entries") else tree.span.text
        case ShapedValue(value=bool() as value):
            return value
        case ShapedValue(written=written):
            return int(written) if written.isdigit() and written[0] != "0" else written


def places(data: Any) -> Iterator[tuple[Any, Any]]:
    """Every (container, key) of nested data."""
    pairs = list(
        data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    )
    for key, below in pairs:
        yield data, key
        yield from places(below)


def damage(data: Any, draw: Any) -> None:
    where, key = draw(st.sampled_from(list(places(data))))
    match draw(st.sampled_from(("replace", "remove", "add"))):
        case "replace":
            where[key] = draw(VALUES)
        case "remove":
            del where[key]
        case _ if isinstance(where, dict):
            where[draw(st.sampled_from(WORDS))] = draw(VALUES)
        case _:
            where.append(draw(VALUES))


def check(data: Any, schema: str) -> None:
    shaped, problems = shaped_text(json.dumps(data, ensure_ascii=False), schema, "sample.json")
    assert (shaped is None) == bool(problems)
    for problem in problems:
        assert problem.span is not None
        assert problem.help or problem.code == "syntax"
        assert show(problem).startswith("sample.json:1:")


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_damaged_records(data: st.DataObject) -> None:
    record = json.loads(RECORD_JSON)
    for _ in range(data.draw(st.integers(1, 4))):
        damage(record, data.draw)
    check(record, "records/dti-lot")


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_damaged_editions(data: st.DataObject) -> None:
    edition = plain(good(EDITION, "edition"))
    for _ in range(data.draw(st.integers(1, 4))):
        damage(edition, data.draw)
    check(edition, "edition")
