"""Checking and evaluating take work in proportion to the rule: a level that doubled it would run these for hours."""

from __future__ import annotations

import pytest

from conformance.engine import bare, outcome
from tautbook.lang.values import Open

GIVEN = {"record": {"ratio": "1"}}


def nested(word: str, depth: int) -> str:
    text = "ratio"
    for _ in range(depth):
        text = f"{word}({text}, ratio)"
    return text


@pytest.mark.parametrize(
    ("text", "value"),
    [
        (" + ".join(["ratio"] * 31), 31),
        ("-".join(["ratio "] * 31), -29),
        (nested("largest", 30), 1),
        (nested("smallest", 30), 1),
    ],
    ids=["sum", "difference", "largest", "smallest"],
)
def test_a_deep_rule_is_worked_out_once(text: str, value: int) -> None:
    assert bare(outcome(text, GIVEN)) == value  # type: ignore[arg-type] # a problem or an open value fails here
    found = outcome(text, {})
    assert isinstance(found, Open) and found.missing == ("ratio",)
