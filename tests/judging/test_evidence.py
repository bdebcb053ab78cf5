"""A record that rests on another: that one is judged by the same edition, and its verdict can be read."""

from __future__ import annotations

from typing import Any

import pytest

from judging.small import COUNT, HELD, edition, finding, judged, problems_of, record, recorded
from tautbook.explaining.explain import explain
from tautbook.lang.values import Leaf, data_at

PASSED = {"kind": "acceptance", "require": 'evidence.earlier.verdict = "pass"'}
BY = {"count": {**COUNT, "applies": "not retest"}, "held": {**HELD, "applies": "not retest"},
      "earlier-passed": {**PASSED, "applies": "retest"}}  # fmt: skip
"""A first test is judged by its counts, a later one by the earlier."""


def earlier(*refusals: int | None, **more: Any) -> dict[str, Any]:
    counted = [{} if n is None else {"refusals": n} for n in refusals]
    return {
        "procedure": "dti-lot", "id": "S-0", "tested": "2026-04-10",
        "bolt": {"grade": "A325", "diameter": "7/8 in"}, "indicator": {"type": "325", "spaces": 5},
        "specimens": [{"mark": n, "at_verification": each} for n, each in enumerate(counted, 1)],
        "head_held": True, **more,
    }  # fmt: skip


def later(other: dict[str, Any], **more: Any) -> Any:
    return record(retest_of="S-0", evidence={"earlier": other}, **more)


@pytest.mark.parametrize(
    ("other", "verdict"),
    [
        (earlier(0, 1, 2), "pass"),
        (earlier(0, 1, 3), "fail"),
        (earlier(0, 1, 2, head_held=False), "fail"),  # it was invalid, and a pass is asked for
    ],
)
def test_the_verdict_on_the_other_record_is_read(other: dict[str, Any], verdict: str) -> None:
    found = judged(edition(BY, asks=0), later(other))
    assert found.verdict == verdict
    assert set(found.evidence) == {"earlier"}


def test_what_the_other_record_lacks_is_missing_here_too() -> None:
    found = judged(edition(BY, asks=0), later(earlier(0, None, 2)))
    assert found.verdict == "incomplete"
    lacking = finding(found, "earlier-passed").missing
    assert lacking == ("evidence.earlier.specimens[2].at_verification.refusals",)
    told = explain(found).findings[-1].sentence
    assert told == "not recorded: refusals (at the verification tension) of specimen 2 in the earlier test"


def test_where_the_edition_has_no_rule_for_the_other_record_nothing_mends_it() -> None:
    found = judged(edition(BY, asks=0), later(earlier(0, bolt={"grade": "A490", "diameter": "7/8 in"})))
    reasons = [reason.told for reason in finding(found, "earlier-passed").no_rule]
    assert reasons == ["no rule: this edition does not cover bolt.grade A490"]


def test_too_few_items_of_the_other_record_are_missing() -> None:
    by = edition({"held": {**HELD, "kind": "acceptance", "applies": "not retest"},
                  "earlier-passed": {**PASSED, "applies": "retest"}})  # fmt: skip
    found = judged(by, later(earlier(0), head_held=True))
    assert finding(found, "earlier-passed").missing == ("evidence.earlier.specimens",)


def test_where_the_edition_judges_nothing_of_the_other_record_nothing_mends_it() -> None:
    verdict = judged(edition({"earlier-passed": {**PASSED, "applies": "retest"}}, asks=0), later(earlier()))
    open_ = finding(verdict, "earlier-passed")
    assert [reason.told for reason in open_.no_rule] == ["no rule: nothing of S-0 is judged by this edition"]
    assert verdict.could_be == ("incomplete",)


def test_where_the_other_record_has_no_items_they_are_missing() -> None:
    found = judged(edition(BY, asks=0), later(earlier()))
    assert finding(found, "earlier-passed").missing == ("evidence.earlier.specimens",)


MOST = {"kind": "acceptance", "applies": "retest",
        "require": "largest(evidence.earlier.specimens, specimen.at_verification.refusals) <= 1"}  # fmt: skip
LONG_ENOUGH = {"kind": "setup", "each": "specimens", "voids": "both", "require": 'specimen.mark != "2"'}


def test_what_a_pass_does_not_count_does_not_count_where_it_is_rested_on() -> None:
    by = edition({"count": {**COUNT, "applies": "not retest"}, "sound": LONG_ENOUGH, "most": MOST}, asks=2)
    good = {"mark": "1", "at_verification": {"tension": "41 kip", "refusals": 0}}
    verdict = judged(by, record(good, good, retest_of="S-0", evidence={"earlier": earlier(0, 5, 1)}))
    assert (verdict.evidence["earlier"].verdict, verdict.verdict) == ("pass", "pass")


def test_of_a_test_that_did_not_pass_all_can_be_read() -> None:
    by = edition({"count": {**COUNT, "applies": "not retest"}, "sound": LONG_ENOUGH, "most": MOST}, asks=3)
    good = {"mark": "1", "at_verification": {"tension": "41 kip", "refusals": 0}}
    verdict = judged(by, record(good, good, good, retest_of="S-0", evidence={"earlier": earlier(0, 5, 1)}))
    assert (verdict.evidence["earlier"].verdict, verdict.verdict) == ("invalid", "fail")


def test_a_waiver_in_what_a_record_rests_on_is_told_in_its_first_line() -> None:
    by = edition({**BY, "turned": {"kind": "setup", "applies": "not retest", "waivable_by": ["engineer"],
                                   "require": 'indicator.turned = "nut"'}}, asks=0)  # fmt: skip
    waiver = {"requirement": "turned", "by": "J. Orr", "role": "engineer", "on": "2026-04-09", "why": "agreed"}
    other = earlier(0, indicator={"type": "325", "spaces": 5, "turned": "head"}, waivers=[waiver])
    told = explain(judged(by, later(other)))
    assert told.headline.startswith("pass, 1 requirement waived (as stated, not verified); ")


def test_a_record_that_is_not_there_is_missing_whole() -> None:
    found = judged(edition(BY, asks=0), record(retest_of="S-0"))
    assert finding(found, "earlier-passed").missing == ("evidence.earlier",)
    deeper = {"kind": "acceptance", "require": "evidence.earlier.evidence.earlier.head_held"}
    found = judged(edition({"deeper": deeper}, asks=0), later(earlier(0)))
    assert finding(found, "deeper").missing == ("evidence.earlier.evidence.earlier",)


def test_an_impossible_record_inside_makes_the_whole_impossible() -> None:
    codes = [problem.code for problem in problems_of(edition(BY, asks=0), later(earlier(9)))]
    assert codes == ["evidence-unusable", "verification-refusals"]


SHORT = {
    "procedure": "dti-short-bolt", "id": "S-1", "tested": "2026-04-14", "too_short": True,
    "bolt": {"grade": "A325", "diameter": "7/8 in"}, "indicator": {"type": "325", "spaces": 5},
}  # fmt: skip
ONLY_SHORT = {
    "dti-short-bolt": {"requirements": {
        "same": {"title": "same size", "kind": "acceptance",
                 "require": "evidence.long_bolt.bolt.diameter = bolt.diameter"},
    }},
}  # fmt: skip


def test_of_a_test_that_the_edition_does_not_know_the_fields_can_be_read() -> None:
    by = edition({}, procedures=ONLY_SHORT)
    found = judged(by, recorded({**SHORT, "evidence": {"long_bolt": earlier(0)}}))
    assert (found.verdict, found.evidence) == ("pass", {})
    codes = [problem.code for problem in problems_of(by, recorded({**SHORT, "evidence": {"long_bolt": earlier(9)}}))]
    assert codes == ["evidence-unusable", "verification-refusals"]
    inside = earlier(0, retest_of="S-00", evidence={"earlier": earlier(1, id="S-00")})
    found = judged(by, recorded({**SHORT, "evidence": {"long_bolt": inside}}))
    read = data_at(found.observed.group, "evidence.long_bolt.evidence.earlier.id")
    assert isinstance(read, Leaf) and read.written == "S-00"
    inside = earlier(0, retest_of="S-00", evidence={"earlier": earlier(9, id="S-00")})
    codes = [problem.code for problem in problems_of(by, recorded({**SHORT, "evidence": {"long_bolt": inside}}))]
    assert codes == ["evidence-unusable", "evidence-unusable", "verification-refusals"]
