"""Folding: what is known is put in, what remains is the same rule. Held to ``evaluate`` on generated cases."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from conformance.engine import data, fixed
from lang.cases import checked, generated
from tautbook.lang.evaluate import evaluate
from tautbook.lang.fold import fold
from tautbook.lang.kernel import Compare, Constant, If, Node, NoRule
from tautbook.lang.unreduce import print_kernel
from tautbook.lang.values import Data, Group, Items, Leaf, Open


def part_of(whole: Data, source: random.Random) -> Data:
    """Some of the data. A list keeps all its items, of which less is known, or is not there."""
    match whole:
        case Group(fields=fields):
            keep = source.randrange(5)
            kept = {name: below for name, below in fields.items() if source.randrange(4) < keep}
            return replace(whole, fields={name: part_of(below, source) for name, below in kept.items()})
        case Items(items=items):
            if source.randrange(4) == 0:
                return replace(whole, items=tuple(Group(item.path, {}) for item in items), written=False)
            return replace(whole, items=tuple(part_of(item, source) for item in items))
        case Leaf():
            return whole


@pytest.mark.parametrize("seed", range(10))
def test_folding_changes_no_answer(seed: int) -> None:
    source = random.Random(seed)
    folded_away = 0
    for case in generated(500, seed):
        stated = case.value()
        for _ in range(3):
            known = part_of(case.record, source)
            assert isinstance(known, Group)
            bound = {name: part_of(item, source) for name, item in case.bound.items() if source.randrange(2)}
            folded = fold(case.node, case.rules, known, bound)
            found = evaluate(folded, case.rules, case.record, case.bound).value
            assert found == stated, (case.text, print_kernel(folded), known, found, stated)
            assert fold(folded, case.rules, known, bound) == folded, (case.text, print_kernel(folded))
            folded_away += isinstance(folded, Constant)
        everything = fold(case.node, case.rules, case.record, case.bound)
        assert isinstance(everything, Constant) == (not isinstance(stated, Open)), (case.text, stated)
        if isinstance(everything, Constant):
            assert everything.value == stated
    assert 200 < folded_away < 1_200


def left(text: str, known: Mapping[str, Any], months: Any = "clamp") -> Node:
    """The rule that remains of a text once ``known`` is put in."""
    scope, rules = fixed()
    record = data(known, scope.record, "", {})
    assert isinstance(record, Group)
    return fold(checked(text), replace(rules, months=months), record)


A325 = {"bolt": {"grade": "A325", "diameter": "3/4 in"}}


@pytest.mark.parametrize(
    ("text", "known", "remains"),
    [
        # The figure that is looked for, before any reading is taken.
        ("force_a >= minimum[bolt.grade, bolt.diameter]", A325, "force_a >= 28 kip"),
        ("force_a >= needed", A325, "force_a >= 29 kip"),
        ("force_a >= needed", {"bolt": {"grade": "A325"}}, "force_a >= needed"),
        ("over(force_a, 4 % + 6 %) > 1 kip", {}, "over(force_a, 10 %) > 1 kip"),
        ("over(force_a, ratio) > over(force_a, factor)", {"factor": "1"}, "over(force_a, ratio) > over(force_a, 1)"),
        ("either(ratio) + either(-ratio * factor)", {"factor": "1"}, "either(ratio) + either(-ratio * 1)"),
        # Nothing is guessed by algebra.
        ("0 * force_a", {}, "0 * force_a"),
        ("force_a - (1 kip + 2 kip) * ratio", {}, "force_a - 3 kip * ratio"),
        # Conditions: what is met is dropped, what is not met decides.
        ("head_held and force_a > 1 kip and plain_finish", {"head_held": True}, "force_a > 1 kip and plain_finish"),
        ("head_held and force_a > 1 kip", {"head_held": True}, "force_a > 1 kip"),
        ("head_held and force_a > 1 kip", {"head_held": False}, "no"),
        ("head_held or force_a > 1 kip", {"head_held": True}, "yes"),
        ("head_held or force_a > 1 kip", {"head_held": False}, "force_a > 1 kip"),
        ("not (head_held and force_a > 1 kip)", {"head_held": True}, "not force_a > 1 kip"),
        ("(if head_held then ratio > 1 and factor > 1 else no) and ratio < 4", {"head_held": True},
         "ratio > 1 and factor > 1 and ratio < 4"),
        # A choice between two rules, once it is made; and where it makes no difference.
        ("if head_held then force_a > ratio * 1 kip else no", {"head_held": True}, "force_a > ratio * 1 kip"),
        ("if head_held then 1 kip else force_a", {"head_held": False}, "force_a"),
        ("if head_held then 1 ft else 12 in", {}, "1 ft"),
        ("if head_held then ratio + 1 else 1 + 1", {}, "if head_held then ratio + 1 else 2"),
        # The greater of two, of which one is known.
        ("largest(force_a, 1 kip + 1 kip)", {}, "largest(force_a, 2 kip)"),
        ("largest(force_a, force_b)", {"force_a": "2 kip", "force_b": "1 kip"}, "2 kip"),
        # Tables: a band is told by the figure it was found by.
        ("allowed[bolt.grade, force_a]", {"force_a": "9 kip"}, "allowed[bolt.grade, 9 kip]"),
        ("turn_for[ratio]", {"ratio": "4"}, "1/3 turn"),
        # Lists: decided by the items there are, else said of each item.
        ("every(items, item.force >= needed)", A325, "every(items, item.force >= 29 kip)"),
        ("every(items, item.force >= needed)", {**A325, "items": [{"force": "30 kip"}, {}]},
         "every(items, item.force >= 29 kip)"),
        ("every(items, item.force >= needed)", {**A325, "items": [{"force": "28 kip"}, {}]}, "no"),
        ("some(items, item.force >= needed)", {**A325, "items": [{"force": "30 kip"}, {}]}, "yes"),
        ("count(items, item.gap) >= 1", {"items": [{"gap": True}, {}]}, "yes"),
        ("count(items, item.gap) >= 2", {"items": [{"gap": True}, {}]}, "count(items, item.gap) >= 2"),
        ("largest(items, item.force) > force_a", {"items": [{"force": "9 kip"}, {}]},
         "largest(items, item.force) > force_a"),
        ("largest(items, item.force) > 8 kip", {"items": [{"force": "9 kip"}, {}]}, "yes"),
        ("every(items, item.force > 1 kip)", {"items": []}, "yes"),
        ("interpolate(curve, force_a)", {"force_a": "9 kip"}, "interpolate(curve, 9 kip)"),
        ("every(items, every(items, item.gap or head_held))", {"head_held": False},
         "every(items, every(items, item.gap))"),
        # Dates, rounding, and whether something is there at all.
        ("calibrated + valid_for", {"valid_for": "6 months"}, "calibrated + 6 months"),
        ("tested - calibrated", {"tested": "2026-04-14"}, "2026-04-14 - calibrated"),
        ("nearest(-abs(force_a * 2), 1 kip, ties up)", {}, "nearest(-abs(force_a * 2), 1 kip, ties up)"),
        ("ratio / (factor + 1)", {"factor": "1"}, "ratio / 2"),
        ("recorded(load) and recorded(items)", {"load": {"first": "1 kip"}}, "recorded(items)"),
        # No rule: stuck for one reason, whatever comes.
        ("1 / (factor - 1) > 2", {"factor": "1"}, "no rule"),
        ("turn_for[ratio]", {"ratio": "99"}, "no rule"),
        ("1 / (factor - 1) > ratio", {"factor": "1"}, "no rule > ratio"),
    ],
)  # fmt: skip
def test_what_remains(text: str, known: Mapping[str, Any], remains: str) -> None:
    assert print_kernel(left(text, known)) == remains


def test_stuck_for_two_reasons_keeps_both() -> None:
    folded = left("1 / factor > turn_for[ratio] / (1 turn)", {"factor": "0", "ratio": "99"})
    assert isinstance(folded, Compare) and isinstance(folded.left, NoRule)
    assert folded.left.reason.by == "division by zero"
    assert isinstance(folded.right, NoRule) and folded.right.reason.by == "no rule"


def test_a_stuck_list_keeps_its_bounds() -> None:
    """One item has no figure, the other one is enough for a comparison with what is still to come."""
    known = {"items": [{"refusals": "99"}, {"refusals": "8"}]}
    text = "largest(items, turn_for[item.refusals]) >= turned"
    folded = left(text, known)
    assert print_kernel(folded) == text
    scope, rules = fixed()
    record = data({**known, "turned": "1/3 turn"}, scope.record, "", {})
    assert isinstance(record, Group)
    assert evaluate(folded, rules, record).value is True


def test_an_item_that_is_bound_is_put_in() -> None:
    scope, rules = fixed()
    node = checked("item.force >= needed and item.gap", ["items"])
    item = Group("items[2]", {"gap": Leaf("items[2].gap", True, "true")})
    known = data(A325, scope.record, "", {})
    assert isinstance(known, Group)
    assert print_kernel(fold(node, rules, known, {"item": item})) == "item.force >= 29 kip"
    assert print_kernel(fold(node, rules, known)) == "item.force >= 29 kip and item.gap"


def test_a_name_means_the_nearest_item() -> None:
    """Inside of `every` the item is each one of the list, even while another one is bound outside."""
    node = checked("item.gap and every(items, item.gap)", ["items"])
    item = Group("items[1]", {"gap": Leaf("items[1].gap", True, "true")})
    assert print_kernel(fold(node, fixed()[1], Group("", {}), {"item": item})) == "every(items, item.gap)"


def test_a_free_item_may_hold_a_list() -> None:
    """An item that is still free stays so where a list or a `recorded` reads it."""
    whole = checked("every(items, recorded(item.after) and item.gap)")
    assert fold(whole, fixed()[1], Group("", {})) == whole
    inner = checked("recorded(item.force)", ["items"])
    assert fold(inner, fixed()[1], Group("", {})) == inner


def test_places_and_kinds_are_kept() -> None:
    node = checked("force_a >= needed")
    assert isinstance(node, Compare)
    folded = left("force_a >= needed", A325)
    assert isinstance(folded, Compare) and folded.span is not None and folded.span.text == "force_a >= needed"
    assert isinstance(folded.right, Constant) and folded.right.span is not None
    assert folded.right.span.text == "needed"
    assert folded.right.kind == node.right.kind


@pytest.mark.parametrize("word", ["largest", "smallest"])
def test_a_deep_rule_is_folded_once(word: str) -> None:
    """A level that doubled the work would run this for hours."""
    text = "ratio"
    for _ in range(30):
        text = f"{word}({text}, ratio)"
    folded = left(text, {})
    assert isinstance(folded, If) and isinstance(folded.condition, Compare)
    assert folded.condition.left is folded.then
    assert left(text, {"ratio": "3"}) == checked("3")
    assert print_kernel(folded) == text


def test_lists_inside_each_other_are_folded_once() -> None:
    text = "item.gap"
    for _ in range(25):
        text = f"every(items, {text})"
    assert print_kernel(left(text, {"items": [{}]})) == text
