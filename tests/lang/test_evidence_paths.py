"""Another record that this one rests on is read by its path, and so is what it was judged to be."""

from __future__ import annotations

import pytest

from tautbook.lang.check import Scope, check
from tautbook.lang.evaluate import evaluate
from tautbook.lang.kernel import Rules
from tautbook.lang.kinds import ChoiceKind, GroupKind, QuantityKind, TextKind
from tautbook.lang.parse import parse_text
from tautbook.lang.quantity import Quantity, dimension_named, read_quantity
from tautbook.lang.values import Data, Group, Items, Leaf, Missing, Open, Pending, Stuck, Value, placed

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


OPEN = Open(frozenset({Missing("evidence.long_bolt.specimens[2].tension"), Stuck("no rule", "not covered")}))


@pytest.mark.parametrize("rule", ['evidence.long_bolt.verdict = "pass"', "recorded(evidence.long_bolt.verdict)"])
def test_a_verdict_that_is_not_settled_is_open_for_its_own_reasons(rule: str) -> None:
    assert outcome(rule, {"verdict": Pending("evidence.long_bolt.verdict", OPEN)}) == OPEN


def test_what_a_record_holds_is_seen_from_another_by_longer_paths() -> None:
    specimen = Group("specimens[3]", {"tension": Leaf("specimens[3].tension", "41", "41")})
    pending = Pending("verdict", Open(frozenset({Missing("head_held"), Stuck("no rule", "not covered")})))
    whole = Group("", {"specimens": Items("specimens", (specimen,), written=False), "verdict": pending})
    seen = placed(whole, "evidence.long_bolt")
    assert isinstance(seen, Group) and seen.path == "evidence.long_bolt"
    items, verdict = seen.fields["specimens"], seen.fields["verdict"]
    assert isinstance(items, Items) and (items.path, items.written) == ("evidence.long_bolt.specimens", False)
    (item,) = items.items
    assert isinstance(item, Group) and item.path == "evidence.long_bolt.specimens[3]"
    assert item.fields["tension"].path == "evidence.long_bolt.specimens[3].tension"
    assert isinstance(verdict, Pending) and verdict.path == "evidence.long_bolt.verdict"
    assert verdict.open.missing == ("evidence.long_bolt.head_held",)
    assert [reason.told for reason in verdict.open.stuck] == ["no rule: not covered"]
