"""The outcome of one requirement: when it applies, what excepts it, what is missing, what has no rule."""

from __future__ import annotations

import pytest

from judging.small import COUNT, HELD, edition, finding, judged, problems_of, record
from tautbook.explaining.explain import explain
from tautbook.lang.limits import LIMITS

GOOD, BAD = ("41 kip", 0), ("41 kip", 3)
THREE = (GOOD, GOOD, GOOD)


def test_a_requirement_that_does_not_apply_is_not_held_against_the_test() -> None:
    rules = edition({"count": COUNT, "held": {**HELD, "applies": 'wrench = "impact"'}})
    verdict = judged(rules, record(*THREE, head_held=False, wrench="hand"))
    assert (verdict.verdict, finding(verdict, "held").outcome) == ("pass", "not applicable")
    assert judged(rules, record(*THREE, head_held=False, wrench="impact")).verdict == "invalid"


def test_what_holds_is_met_even_where_it_may_not_apply() -> None:
    rules = edition({"count": COUNT, "held": {**HELD, "applies": 'wrench = "impact"'}})
    assert finding(judged(rules, record(*THREE, head_held=True)), "held").outcome == "met"
    verdict = judged(rules, record(*THREE, head_held=False))
    found = finding(verdict, "held")
    assert (found.outcome, found.missing, set(found.can)) == ("open", ("wrench",), {"not met", "not applicable"})
    assert (verdict.verdict, verdict.could_be) == ("incomplete", ("pass", "invalid"))


def test_an_exception_is_shown_by_its_name() -> None:
    exceptions = {"small": {"title": "small bolts", "when": "bolt.diameter <= 1 in"},
                  "dry": {"title": "dry bolts", "when": 'lubrication = "dry"'}}  # fmt: skip
    rules = edition({"count": COUNT, "held": {**HELD, "unless": exceptions}})
    found = finding(judged(rules, record(*THREE, head_held=False)), "held")
    assert found.outcome == "not applicable" and found.exception is not None and found.exception.title == "small bolts"


def test_an_exception_that_may_still_hold_leaves_the_requirement_open() -> None:
    exceptions = {"large": {"title": "large bolts", "when": "bolt.diameter > 1 in"},
                  "dry": {"title": "dry bolts", "when": 'lubrication = "dry"'}}  # fmt: skip
    rules = edition({"count": COUNT, "held": {**HELD, "unless": exceptions}})
    verdict = judged(rules, record(*THREE, head_held=False))
    assert (finding(verdict, "held").missing, verdict.could_be) == (("lubrication",), ("pass", "invalid"))
    assert judged(rules, record(*THREE, head_held=False, lubrication="as delivered")).verdict == "invalid"


def test_what_the_source_asks_and_the_edition_does_not_hold_is_open_for_good() -> None:
    rules = edition({"count": COUNT, "turn": {"kind": "acceptance", "absent": "the turn is in a drawing"}})
    verdict = judged(rules, record(*THREE))
    assert (verdict.verdict, verdict.could_be) == ("incomplete", ("incomplete",))
    assert finding(verdict, "turn").no_rule[0].detail == "the turn is in a drawing"
    assert "nothing that is recorded can change this" in explain(verdict).headline
    assert judged(rules, record(GOOD, BAD, GOOD)).verdict == "fail"


def test_what_is_not_covered_never_passes_even_where_no_rule_reads_it() -> None:
    verdict = judged(edition({"count": COUNT}), record(*THREE, bolt={"grade": "A490", "diameter": "1 in"}))
    assert (verdict.verdict, verdict.could_be) == ("incomplete", ("incomplete",))
    assert finding(verdict, "covered").no_rule[0].detail == "this edition does not cover bolt.grade A490"


def test_missing_and_no_rule_together_can_still_become_anything() -> None:
    table = {"t": {"title": "t", "by": [{"key": "indicator.spaces"}], "source": {"of": "s", "clause": "1"},
                   "rows": {"4": "1 kip"}}}  # fmt: skip
    rule = {"kind": "acceptance", "require": "t[indicator.spaces] > 0 kip or head_held"}
    rules = edition({"either": rule}, tables=table)
    verdict = judged(rules, record(*THREE))
    assert set(finding(verdict, "either").can) == {"met", "not met", "open"}
    assert verdict.could_be == ("pass", "fail", "incomplete")
    assert judged(rules, record(*THREE, head_held=True)).verdict == "pass"


def test_a_list_of_which_too_little_is_known_decides_by_its_bounds() -> None:
    most = {"kind": "acceptance", "require": "count(specimens, specimen.at_verification.refusals > 2) <= 1"}
    rules = edition({"most": most}, asks=4)
    assert judged(rules, record(BAD, BAD)).verdict == "fail"
    assert judged(rules, record(GOOD, GOOD, GOOD)).verdict == "incomplete"


def test_missing_readings_stand_in_the_order_of_the_record() -> None:
    every = {"kind": "acceptance", "require": "every(specimens, specimen.at_verification.tension >= 41 kip"
             " and specimen.at_verification.refusals <= 2) and head_held"}  # fmt: skip
    found = finding(judged(edition({"every": every}, asks=11), record(GOOD)), "every").missing
    assert found[:3] == ("head_held", "specimens[2].at_verification.tension", "specimens[2].at_verification.refusals")
    assert found[-1] == "specimens[11].at_verification.refusals"


def test_a_procedure_that_the_edition_has_no_rules_for(monkeypatch: pytest.MonkeyPatch) -> None:
    rules = edition({"count": COUNT})
    without = type(rules)(**{**{name: getattr(rules, name) for name in rules.__slots__}, "procedures": {}})
    (problem,) = problems_of(without, record(*THREE))
    assert (problem.code, problem.message) == ("procedure-not-in-edition", "small@1 has no rules for `dti-lot`")


def test_a_record_that_would_take_too_many_steps_is_told_before_it_is_judged() -> None:
    nested = "count(specimens, count(specimens, specimen.at_verification.refusals > 2) > 1) <= 1"
    rules = edition({"nested": {"kind": "acceptance", "require": nested}}, asks=1500)
    (problem,) = problems_of(rules, record(*THREE))
    assert problem.code == "steps-many" and str(LIMITS.steps) in problem.message


def test_spaces_one_by_one_count_as_a_list_inside_of_each_specimen() -> None:
    spaces = {"at_verification": {"spaces": ["through", "partial", "refused", "through", "through"]}}
    refused = 'count(specimen.at_verification.spaces, space = "refused") <= 1'
    rules = edition({"some": {"kind": "acceptance", "each": "specimens", "require": refused}})
    assert judged(rules, record(spaces, spaces, spaces)).verdict == "pass"


def test_an_exception_without_a_rule_leaves_a_broken_requirement_open_for_good() -> None:
    table = {"t": {"title": "t", "by": [{"key": "indicator.spaces"}], "source": {"of": "s", "clause": "1"},
                   "rows": {"4": "1 kip"}}}  # fmt: skip
    exceptions = {"odd": {"title": "odd", "when": "t[indicator.spaces] > 0 kip"},
                  "dry": {"title": "dry bolts", "when": 'lubrication = "dry"'}}  # fmt: skip
    rules = edition({"count": COUNT, "held": {**HELD, "unless": exceptions}}, tables=table)
    verdict = judged(rules, record(*THREE, head_held=False))
    assert set(finding(verdict, "held").can) == {"not applicable", "open"}
    assert verdict.could_be == ("pass", "incomplete")


def test_a_list_that_is_neither_asked_for_nor_recorded_has_no_findings() -> None:
    each = {"kind": "acceptance", "each": "waivers", "require": 'waiver.role = "engineer"'}
    verdict = judged(edition({"count": COUNT, "roles": each}), record(*THREE))
    assert [found.id for found in verdict.findings if found.id == "roles"] == []


def test_a_record_that_no_real_test_can_be_is_not_judged() -> None:
    (problem,) = problems_of(edition({"count": COUNT}), record(GOOD, ("41 kip", 6), GOOD))
    assert problem.message == "more refusals than the indicator has spaces"
