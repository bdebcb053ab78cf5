"""Checking and evaluating take work in proportion to the rule: a level that doubled it would run these for hours.

How much it is can be told before: no derivation has more steps, or more of them in each other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from conformance.engine import bare, fixed, outcome
from lang.cases import checked, generated
from tautbook.lang.evaluate import Step, evaluate
from tautbook.lang.kernel import Field, Parameter, Rules
from tautbook.lang.values import Items, Open
from tautbook.lang.work import Size, size

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


def sizes_of(rules: Rules, length: Callable[[Field], int]) -> Mapping[str, Size]:
    """Of the terms. In the vocabulary each stands after those that it calls."""
    sizes: dict[str, Size] = {}
    for name, term in rules.terms.items():
        sizes[name] = size(term.body, sizes, length)
    return sizes


def taken(step: Step) -> Size:
    """What a derivation took: a step that others share was taken once, an argument where its term was called."""
    depth: dict[int, int] = {}

    def below(step: Step) -> int:
        if id(step) not in depth:
            parts = () if isinstance(step.node, Parameter) else step.parts
            depth[id(step)] = 1 + max((below(part) for part in parts), default=0)
        return depth[id(step)]

    return Size(below(step), len(depth))


@pytest.mark.parametrize(
    ("text", "depth", "steps"),
    [
        ("3 kip", 1, 1),
        ("force_a > 3 kip", 2, 3),
        ("1.05 * force_a + force_b > 3 kip", 4, 7),
        ("head_held and force_a > 3 kip", 3, 5),
        ("count(items, item.force > 3 kip)", 3, 1 + 4 * 3),
        ("slender", 3, 1 + 3),
        ("slender > 4 and slender < 8", 5, 1 + 2 * (2 + 4)),
        ("refused <= 2", 5, 1 + (1 + 1 + 4 * 3) + 1),
        ("recorded(force_a)", 1, 1),
        ("interpolate(curve, force_a)", 2, 2),
    ],
)
def test_the_size_of_a_rule_counts_the_terms_it_calls_and_the_items_of_its_lists(
    text: str, depth: int, steps: int
) -> None:
    assert size(checked(text), sizes_of(fixed()[1], lambda _: 4), lambda _: 4) == Size(depth, steps)


def test_no_derivation_takes_more_than_was_told() -> None:
    full = 0
    for case in generated(500, 7):
        held = {name: len(of.items) for name, of in case.record.fields.items() if isinstance(of, Items)}

        def length(of: Field, held: Mapping[str, int] = held) -> int:
            return held.get(".".join(of.path), 0)

        told = size(case.node, sizes_of(case.rules, length), length)
        found = taken(evaluate(case.node, case.rules, case.record, case.bound))
        assert found.depth <= told.depth and found.steps <= told.steps, (case.text, found, told)
        full += found == told
    assert full > 150
