"""Another record that this one rests on is read by its path, and so is what it was judged to be."""

from __future__ import annotations

import pytest

from tautbook.lang.check import Scope, check
from tautbook.lang.evaluate import evaluate
from tautbook.lang.kernel import Rules
from tautbook.lang.kinds import ChoiceKind, GroupKind, QuantityKind, TextKind
from tautbook.lang.parse import parse_text
from tautbook.lang.quantity import Quantity, dimension_named, read_quantity
from tautbook.lang.values import Data, Group, Leaf, Open, Value

LENGTH = dimension_named("length")
assert LENGTH is not None
BOLT = GroupKind({"diameter": QuantityKind(LENGTH), "maker": TextKind()})
VERDICT = ChoiceKind(("pass", "fail", "invalid", "incomplete"))
RECORD = GroupKind({"bolt": BOLT, "evidence": GroupKind({"long_bolt": GroupKind({"bolt": BOLT, "verdict": VERDICT})})})


def size(path: str, text: str) -> Group:
    value = read_quantity(text)
    assert isinstance(value, Quantity)
    return Group(path, {"diameter": Leaf(f"{path}.diameter", value, text)})


def outcome(rule: str, evidence: dict[str, Data]) -> Value:
    expression, problems = parse_text(rule)
    assert expression is not None, problems
    node, problems = check(expression, Scope(RECORD), "yes/no")
    assert node is not None, problems
    longer = Group("evidence.long_bolt", evidence)
    record = Group("", {"bolt": size("bolt", "7/8 in"), "evidence": Group("evidence", {"long_bolt": longer})})
    return evaluate(node, Rules({}, {}), record).value


@pytest.mark.parametrize(("written", "held"), [("7/8 in", True), ("0.875 in", True), ("1 in", False)])
def test_the_evidence_is_of_the_same_diameter(written: str, held: bool) -> None:
    evidence: dict[str, Data] = {"bolt": size("evidence.long_bolt.bolt", written)}
    assert outcome("evidence.long_bolt.bolt.diameter = bolt.diameter", evidence) is held


def test_the_evidence_passed_or_is_missing() -> None:
    passed: dict[str, Data] = {"verdict": Leaf("evidence.long_bolt.verdict", "pass", "pass")}
    assert outcome('evidence.long_bolt.verdict = "pass"', passed) is True
    missing = outcome('evidence.long_bolt.verdict = "pass"', {})
    assert isinstance(missing, Open) and missing.missing == ("evidence.long_bolt.verdict",)


def test_a_word_that_is_no_verdict_is_a_problem() -> None:
    expression, _ = parse_text('evidence.long_bolt.verdict = "passed"')
    assert expression is not None
    _, (problem,) = check(expression, Scope(RECORD))
    assert (problem.code, problem.help) == ("unknown-choice", 'did you mean "pass"?')
