"""Walking a rule part by part meets all of it, left to right."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from conformance.test_conformance_reference import CASES
from reference.generate import seeded
from tautbook.lang.parse import parse_text
from tautbook.lang.surface import Expression, Given, Name, parts_of
from tautbook.lang.surface_json import surface_json


def leaves(e: Expression) -> Iterator[Expression]:
    parts = parts_of(e)
    if isinstance(e, Given | Name):
        assert parts == ()
        yield e
    for part in parts:
        yield from leaves(part)


def names(data: Any) -> Iterator[list[str]]:
    """Every name in the plain form of a rule, which is written without ``parts_of``."""
    if isinstance(data, list):
        if data and data[0] == "name":
            yield data[1:]
        for below in data[1:]:
            yield from names(below)


def test_every_name_and_figure_is_met_in_the_order_of_the_text() -> None:
    for text in [*(case["expression"] for case in CASES), *(text for text, _ in seeded(300, 3))]:
        expression, _ = parse_text(text)
        if expression is None:
            continue
        met = list(leaves(expression))
        named = [list(leaf.path) for leaf in met if isinstance(leaf, Name)]
        assert named == list(names(surface_json(expression))), text
        starts = [leaf.span.start for leaf in met]
        assert starts == sorted(set(starts)), text
