"""The JSON form of kernel trees and rules: there and back, frozen, and strict."""

from __future__ import annotations

import datetime
import json
from copy import deepcopy
from dataclasses import replace
from fractions import Fraction
from typing import Any, get_args

import pytest

from conformance.engine import data as data_of
from conformance.engine import fixed
from lang.cases import checked, generated
from tautbook.lang.calendar import CalendarSpan
from tautbook.lang.evaluate import evaluate
from tautbook.lang.fold import fold
from tautbook.lang.kernel import (
    Axis,
    BandRange,
    Cell,
    Constant,
    Definition,
    Node,
    NoRule,
    Parameter,
    Rules,
    Table,
    key_of,
    parts_of,
)
from tautbook.lang.kernel_json import CONSTRUCTS, kernel_from_json, kernel_json
from tautbook.lang.kinds import ChoiceKind, DateKind, NumberKind, QuantityKind, TextKind, YesNoKind
from tautbook.lang.quantity import FORCE, LENGTH, Quantity, coherent, number, read_quantity
from tautbook.lang.rules_json import rules_from_json, rules_json
from tautbook.lang.unreduce import print_kernel
from tautbook.lang.values import Group, Plain, Stuck

GOLDEN = """
{"form": "k1",
 "root": 6,
 "nodes": [
  ["field", 0, null, ["force_a"]],
  ["field", 1, null, ["bolt", "grade"]],
  ["field", 2, null, ["bolt", "diameter"]],
  ["look-up", 0, "minimum", [1, 2]],
  ["compare", 3, 0, ">=", 3],
  ["constant", 3, true],
  ["and", 3, [4, 5]]],
 "kinds": [
  {"quantity": {"length": 1, "mass": 1, "time": -2}},
  {"choice": ["A325", "A490"]},
  {"quantity": {"length": 1}},
  "yes/no"]}
"""


def same(node: Node) -> None:
    written = json.loads(json.dumps(kernel_json(node)))
    again = kernel_from_json(written)
    assert again == node
    assert kernel_json(again) == written
    assert like(again, node)


def like(a: Node, b: Node) -> bool:
    """Kinds and the units of figures, which equality leaves out."""
    if isinstance(a, Constant) and isinstance(b, Constant) and unit_of(a.value) != unit_of(b.value):
        return False
    return a.kind == b.kind and all(like(x, y) for x, y in zip(parts_of(a), parts_of(b), strict=True))


def unit_of(value: Plain) -> object:
    return value.unit if isinstance(value, Quantity) else type(value)


def test_the_form_is_frozen() -> None:
    node = checked("force_a >= minimum[bolt.grade, bolt.diameter] and yes")
    assert kernel_json(node) == json.loads(GOLDEN)
    assert kernel_from_json(json.loads(GOLDEN)) == node


@pytest.mark.parametrize("seed", range(4))
def test_generated_rules_come_back(seed: int) -> None:
    for case in generated(500, 200 + seed):
        same(case.node)
        same(fold(case.node, case.rules, replace(case.record, fields=dict([*case.record.fields.items()][::2]))))


def test_every_construct_has_a_word() -> None:
    assert {made for made, _ in CONSTRUCTS.values()} == set(get_args(Node))


def test_a_shared_part_stands_once_and_is_shared_again() -> None:
    text = "ratio"
    for _ in range(30):
        text = f"largest({text}, ratio)"
    written = kernel_json(checked(text))
    assert len(written["nodes"]) == 61
    again = kernel_from_json(written)
    assert print_kernel(again) == text
    scope, rules = fixed()
    record = data_of({"ratio": "2"}, scope.record, "", {})
    assert isinstance(record, Group)
    assert evaluate(again, rules, record).value == number(2)


def quantity(text: str) -> Quantity:
    found = read_quantity(text)
    assert isinstance(found, Quantity)
    return found


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (quantity("0.5 in"), ["127/10000", "in"]),
        (quantity("-10 degC"), ["5263/20", "degC"]),
        (quantity("10 %"), ["1/10", "%"]),
        (number(Fraction(-1, 3)), ["-1/3", ""]),
        (Quantity(Fraction(3), coherent(FORCE * FORCE / LENGTH)), ["3", "kg2 m / s4"]),
        (Quantity(Fraction(3), coherent(FORCE / LENGTH)), ["3", "kg / s2"]),
        (Quantity(Fraction(3), coherent(QuantityKind(FORCE).dimension / FORCE / LENGTH)), ["3", "1 / m"]),
        (True, True),
        ("A325", {"word": "A325"}),
        (datetime.date(2026, 4, 14), {"date": "2026-04-14"}),
        (CalendarSpan(6, 0), {"months": 6, "days": 0}),
    ],
)
def test_values(value: Plain, written: Any) -> None:
    node = Constant(value, kind=TextKind())
    assert kernel_json(node)["nodes"] == [["constant", 0, written]]
    same(node)


def test_a_figure_of_many_digits() -> None:
    """Arithmetic is exact, so that a figure may become longer than Python reads at once."""
    same(Constant(number(Fraction(10**5000 + 1, 3)), kind=NumberKind()))


def test_no_rule() -> None:
    node = NoRule(Stuck("no rule", "table `t` has no figure for 3"), kind=NumberKind())
    assert kernel_json(node)["nodes"] == [["no rule", 0, ["no rule", "table `t` has no figure for 3"]]]
    same(node)


def some_rules() -> Rules:
    """Each form that a table or a term may have."""
    force = QuantityKind(FORCE)
    axes = (
        Axis("size", QuantityKind(LENGTH)),
        Axis("share", NumberKind(), (BandRange("up to 1", None, number(1)), BandRange("over 1", number(1), None))),
        Axis("grade", ChoiceKind(None)),
        Axis("coated", YesNoKind()),
        Axis("since", DateKind()),
    )
    since = datetime.date(2020, 1, 1)
    at = (key_of(quantity("1/2 in")), "up to 1", "A325", True, since)
    cell = Cell(quantity("12 kip"), ("1/2 in", "up to 1", "A325", "yes", "2020-01-01"))
    table = Table("t", axes, force, {at: cell}, covers=True)
    share = Parameter("share", kind=NumberKind())
    return Rules({"part": Definition("part", (("share", NumberKind()),), share)}, {"t": table}, "refuse")


@pytest.mark.parametrize("rules", [fixed()[1], replace(fixed()[1], months="roll over"), some_rules(), Rules({}, {})])
def test_rules_come_back(rules: Rules) -> None:
    written = json.loads(json.dumps(rules_json(rules)))
    again = rules_from_json(written)
    assert again == rules
    assert rules_json(again) == written
    for name, term in rules.terms.items():
        assert again.terms[name].body.kind == term.body.kind


def test_rules_are_frozen_too() -> None:
    assert rules_json(some_rules()) == {
        "form": "k1",
        "months": "refuse",
        "terms": {"part": {"name": "part", "parameters": [["share", 0]], "body": 0}},
        "tables": {
            "t": {
                "name": "t",
                "axes": [
                    {"name": "size", "kind": 1, "bands": None},
                    {"name": "share", "kind": 0, "bands": [["up to 1", None, ["1", ""]], ["over 1", ["1", ""], None]]},
                    {"name": "grade", "kind": 2, "bands": None},
                    {"name": "coated", "kind": 3, "bands": None},
                    {"name": "since", "kind": 4, "bands": None},
                ],
                "kind": 5,
                "cells": [
                    [
                        [["127/10000", ""], {"word": "up to 1"}, {"word": "A325"}, True, {"date": "2020-01-01"}],
                        ["1/2 in", "up to 1", "A325", "yes", "2020-01-01"],
                        ["26689329691563/500000000", "kip"],
                    ]
                ],
                "covers": True,
            }
        },
        "nodes": [["parameter", 0, "share"]],
        "kinds": [
            "number",
            {"quantity": {"length": 1}},
            {"choice": None},
            "yes/no",
            "date",
            {"quantity": {"length": 1, "mass": 1, "time": -2}},
        ],
    }


def test_answers_are_those_of_the_rules_that_were_written() -> None:
    for case in generated(300, 300):
        rules = rules_from_json(json.loads(json.dumps(rules_json(case.rules))))
        node = kernel_from_json(json.loads(json.dumps(kernel_json(case.node))))
        assert evaluate(node, rules, case.record, case.bound).value == case.value(), case.text


def tree(*nodes: Any, kinds: Any = ("number",), **more: Any) -> Any:
    return {"form": "k1", "root": len(nodes) - 1, "nodes": list(nodes), "kinds": list(kinds), **more}


FIELD = ["field", 0, None, ["a"]]
ONE = ["constant", 0, ["1", ""]]


@pytest.mark.parametrize(
    ("data", "wanted"),
    [
        (None, "an object of form, kinds, nodes, root"),
        ({"form": "k1"}, "an object of form, kinds, nodes, root"),
        (tree(ONE, form="k2"), "the form"),
        (tree(ONE, nodes={}), "a list"),
        (tree(ONE, root=1), "a number of a node before"),
        (tree(ONE, root=-1), "a number of a node before"),
        (tree(ONE, root=True), "a whole number"),
        (tree(7), "a node"),
        (tree(["add"]), "a node"),
        (tree(["power", 0, 1]), "a node"),
        (tree([["add"], 0, 1]), "a node"),
        (tree(["add", 0, 1]), "`add` with its 2 parts"),
        (tree(["constant", 1, ["1", ""]]), "a number of a kind"),
        (tree(["negate", 0, 0]), "a number of a node before"),
        (tree(ONE, ["recorded", 0, 0]), "a field"),
        (tree(["field", 0, 3, ["a"]]), "word or null"),
        (tree(["field", 0, None, "a"]), "a list of words"),
        (tree(["field", 0, None, [1]]), "a list of words"),
        (tree(["parameter", 0, None]), "word"),
        (tree(["term", 0, "t", "ab"]), "nodes"),
        (tree(ONE, ["band", 0, "t", "x", 0]), "a whole number"),
        (tree(ONE, ["compare", 0, 0, "==", 0]), "one of =, !=, <, <=, >, >="),
        (tree(ONE, ["compare", 0, 0, [], 0]), "one of =, !=, <, <=, >, >="),
        (tree(FIELD, ["round", 0, "up", 0, True, None]), "a quantity"),
        (tree(["no rule", 0, ["bad luck", ""]]), "stuck"),
        (tree(ONE, kinds=["figure"]), "a kind"),
        (tree(ONE, kinds=[{"quantity": {"width": 1}}]), "a kind"),
        (tree(ONE, kinds=[{"quantity": {"length": "1"}}]), "a whole number"),
        (tree(ONE, kinds=[{"list": ["item"]}]), "a kind"),
        (tree(["constant", 0, 1]), "a value"),
        (tree(["constant", 0, ["1.5", ""]]), "a number"),
        (tree(["constant", 0, ["2/4", ""]]), "a number in lowest terms"),
        (tree(["constant", 0, ["1/0", ""]]), "a number in lowest terms"),
        (tree(["constant", 0, ["1", "furlong"]]), "a unit"),
        (tree(["constant", 0, ["1", "turns"]]), "a unit"),
        (tree(["constant", 0, ["1", "m kg"]]), "a unit"),
        (tree(["constant", 0, {"date": "2026-02-30"}]), "a date"),
        (tree(["constant", 0, {"months": 1}]), "a value"),
    ],
)
def test_other_data_is_a_fault_of_ours(data: Any, wanted: str) -> None:
    with pytest.raises(ValueError, match=r"^not of form k1: ") as found:
        kernel_from_json(data)
    assert str(found.value).startswith(f"not of form k1: {wanted} is expected, not ")


@pytest.mark.parametrize(
    ("at", "put", "wanted"),
    [
        (["months"], "guess", "one of clamp, roll over, refuse"),
        (["terms"], [], "an object of names"),
        (["terms", "part", "parameters"], [["share"]], "a list of 2"),
        (["tables", "t", "covers"], 1, "true or false"),
        (["tables", "t", "cells"], [[]], "a list of 3"),
        (["tables", "t", "axes"], [{}], "an object of bands, kind, name"),
    ],
)
def test_other_rules_are_a_fault_of_ours(at: list[str], put: Any, wanted: str) -> None:
    data = deepcopy(rules_json(some_rules()))
    inside = data
    for name in at[:-1]:
        inside = inside[name]
    inside[at[-1]] = put
    with pytest.raises(ValueError, match=r"^not of form k1: ") as found:
        rules_from_json(data)
    assert str(found.value).startswith(f"not of form k1: {wanted} is expected, not ")
