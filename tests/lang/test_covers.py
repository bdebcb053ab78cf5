"""What an edition does not speak of is no rule, never a pass, and nothing that is recorded mends it."""

from __future__ import annotations

from dataclasses import replace

from conformance.engine import fixed
from tautbook.lang.check import Signature, check
from tautbook.lang.evaluate import evaluate
from tautbook.lang.kernel import Axis, Cell, Definition, Field, Lookup, Node, NoRule, Rules, Table
from tautbook.lang.kinds import ChoiceKind, YesNoKind
from tautbook.lang.parse import parse_text
from tautbook.lang.values import Group, Leaf, Open, Stuck, Value

GRADES = ChoiceKind(("A325", "A490"))
COVERED = Table("bolt.grade", (Axis("bolt.grade", GRADES),), GRADES, {
    ("A325",): Cell("A325", ("A325",)),
    ("Group 120",): Cell("A325", ("Group 120",)),
}, covers=True)  # fmt: skip


def node(text: str) -> Node:
    """The rule, in an edition that reads the grade through what it covers."""
    scope = replace(fixed()[0], terms={"grade": Signature((), GRADES)}, instead={"bolt.grade": "grade"})
    expression, problems = parse_text(text)
    assert expression is not None, problems
    found, problems = check(expression, scope)
    assert found is not None, problems
    return found


def judged(text: str, grade: str | None) -> Value:
    written = Lookup("bolt.grade", (Field(None, ("bolt", "grade"), kind=GRADES),), kind=GRADES)
    rules = Rules({"grade": Definition("grade", (), written)}, {"bolt.grade": COVERED})
    bolt = {} if grade is None else {"grade": Leaf("bolt.grade", grade, grade)}
    return evaluate(node(text), rules, Group("", {"bolt": Group("bolt", bolt)})).value


def test_another_name_of_a_covered_value_counts_as_that_value() -> None:
    assert judged('bolt.grade = "A325"', "A325") is True
    assert judged('bolt.grade = "A325"', "Group 120") is True


def test_a_value_that_is_not_covered_is_no_rule() -> None:
    found = judged('bolt.grade = "A325"', "A449")
    assert isinstance(found, Open) and found.missing == ()
    assert found.stuck == (Stuck("no rule", "this edition does not cover bolt.grade A449"),)


def test_another_spelling_of_a_covered_value_is_no_rule_and_told_how_it_is_written() -> None:
    for spelled in ("a325", "A 325 "):
        found = judged('bolt.grade = "A325"', spelled)
        assert isinstance(found, Open)
        (reason,) = found.stuck
        assert reason.detail == f"this edition does not cover bolt.grade {spelled}; it is written A325"


def test_a_covered_value_that_is_not_recorded_is_asked_for_by_its_field() -> None:
    found = judged('bolt.grade = "A325"', None)
    assert isinstance(found, Open) and found.missing == ("bolt.grade",)


def test_whether_a_field_was_recorded_has_nothing_to_do_with_what_is_covered() -> None:
    assert judged("recorded(bolt.grade)", "A449") is True


def test_a_rule_that_the_edition_does_not_hold_stays_open_for_its_reason() -> None:
    reason = Stuck("no rule", "the source refers to a table that is not printed")
    step = evaluate(NoRule(reason, kind=YesNoKind()), Rules({}, {}), Group("", {}))
    assert step.value == Open(frozenset({reason}))
