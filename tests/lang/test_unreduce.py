"""The way back from the kernel tree to text: what is printed reads as the same rule."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest

from lang.cases import checked, generated
from tautbook.lang.calendar import CalendarSpan
from tautbook.lang.kernel import Band, Compare, Constant, If, Multiply, Negate, Node, NoRule, Parameter
from tautbook.lang.kinds import CalendarSpanKind, DateKind, NumberKind, QuantityKind, TextKind, YesNoKind
from tautbook.lang.quantity import ANGLE, UNITS, number, read_quantity
from tautbook.lang.unreduce import print_kernel
from tautbook.lang.values import Plain, Stuck


@pytest.mark.parametrize("seed", range(4))
def test_what_is_printed_reads_as_the_same_rule(seed: int) -> None:
    same = 0
    for case in generated(1_000, 100 + seed):
        printed = print_kernel(case.node)
        again = checked(printed, case.lists)
        assert again == case.node, (case.text, printed)
        assert print_kernel(again) == printed, case.text
        same += 1
    assert same > 950


@pytest.mark.parametrize(
    ("written", "printed"),
    [
        ("force_a>=0.50 kip", "force_a >= 0.5 kip"),
        ("3 <= threads <= 5", "3 <= threads and threads <= 5"),
        ('bolt.grade is one of {"A325", "A490"}', 'bolt.grade = "A325" or bolt.grade = "A490"'),
        ('bolt.grade is one of {"A325"}', 'bolt.grade = "A325"'),
        ("ratio - (factor - 1)", "ratio - (factor - 1)"),
        ("ratio + -factor", "ratio - factor"),
        ("(if head_held then ratio else factor) * 2", "(if head_held then ratio else factor) * 2"),
        ("largest(force_a, force_b)", "largest(force_a, force_b)"),
        ("smallest(force_a, force_b) / 2", "smallest(force_a, force_b) / 2"),
        ("if ratio >= factor then ratio else factor", "if ratio >= factor then ratio else factor"),
        ("allowed[bolt.grade, force_a + 1 kip] > 2", "allowed[bolt.grade, force_a + 1 kip] > 2"),
        ("enough(force_a) and not head_held", "enough(force_a) and not head_held"),
        ("recorded(load) or recorded(items)", "recorded(load) or recorded(items)"),
        ("mean(items, item.after.force)", "mean(items, item.after.force)"),
        ("interpolate(curve, abs(force_a))", "interpolate(curve, abs(force_a))"),
        ("calibrated + valid_for > tested", "calibrated + valid_for > tested"),
        ("tested - calibrated <= 90", "tested - calibrated <= 90"),
        ("nearest(force_a, 0.5 kip, ties even)", "nearest(force_a, 0.5 kip, ties even)"),
        ("up(bolt.length, 1/16 in) / (1/2 in)", "up(bolt.length, 1/16 in) / (1/2 in)"),
    ],
)
def test_canonical_text(written: str, printed: str) -> None:
    assert print_kernel(checked(written)) == printed


def constant(value: Plain) -> Node:
    return Constant(value, kind=NumberKind())


def quantity(text: str) -> Plain:
    found = read_quantity(text)
    assert isinstance(found, Plain)
    return found


@pytest.mark.parametrize(
    ("value", "printed"),
    [
        (True, "yes"),
        ("A325", '"A325"'),
        (datetime.date(2026, 4, 14), "2026-04-14"),
        (CalendarSpan(6, 0), "6 months"),
        (quantity("7/8 in"), "7/8 in"),
        (quantity("-3 kip"), "-3 kip"),
        (quantity("-10 degC"), "-10 degC"),
        (number(-2), "-2"),
    ],
)
def test_a_figure_that_was_put_in(value: Plain, printed: str) -> None:
    assert print_kernel(constant(value)) == printed


def test_a_figure_below_zero_is_read_back_as_the_negative_of_one() -> None:
    """There are no literals below zero, so the text has the same value, not the same tree."""
    written = checked("ratio * 2")
    assert isinstance(written, Multiply)
    assert print_kernel(replace(written, right=constant(number(-2)))) == "ratio * -2"
    assert checked("ratio * -2") == replace(written, right=Negate(constant(number(2)), kind=NumberKind()))


def test_no_rule_is_said_so() -> None:
    stuck = NoRule(Stuck("no rule", "table `t` has no figure for 3"), kind=NumberKind())
    node = Compare(stuck, ">", constant(number(2)), kind=YesNoKind())
    assert print_kernel(node) == "no rule > 2"


def test_a_band_is_the_figure_it_is_found_by() -> None:
    assert print_kernel(Band("turn_for", 0, Parameter("share", kind=NumberKind()), kind=TextKind())) == "share"


@pytest.mark.parametrize("kind", [DateKind(), CalendarSpanKind(), QuantityKind(ANGLE)])
def test_largest_is_of_numbers_and_quantities(kind: DateKind | CalendarSpanKind | QuantityKind) -> None:
    """Two dates that happen to be one node stay an ``if``, since ``largest`` takes no dates."""
    first, second = Parameter("first", kind=kind), Parameter("second", kind=kind)
    node = If(Compare(first, ">=", second, kind=YesNoKind()), first, second, kind=kind)
    words = "largest(first, second)" if kind == QuantityKind(ANGLE) else "if first >= second then first else second"
    assert print_kernel(node) == words


def test_a_deep_choice_is_printed_once() -> None:
    text = "ratio"
    for _ in range(30):
        text = f"largest({text}, ratio)"
    assert print_kernel(checked(text)) == text


def test_every_unit_comes_back() -> None:
    for name, unit in UNITS.items():
        if name == unit.name:
            assert print_kernel(checked(f"2 {name}")) == f"2 {name}"
