"""A record that rests on another: that one is judged by the same edition, and its verdict can be read."""

from __future__ import annotations

from typing import Any

import pytest

from judging.small import COUNT, HELD, edition, finding, judged, problems_of, record, recorded
from tautbook.explaining.explain import explain

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


def test_where_nothing_of_the_other_record_was_judged_its_verdict_is_missing() -> None:
    found = judged(edition({"earlier-passed": {**PASSED, "applies": "retest"}}, asks=0), later(earlier()))
    assert finding(found, "earlier-passed").missing == ("evidence.earlier.verdict",)


def test_a_record_that_is_not_there_is_missing_whole() -> None:
    found = judged(edition(BY, asks=0), record(retest_of="S-0"))
    assert finding(found, "earlier-passed").missing == ("evidence.earlier",)
    deeper = {"kind": "acceptance", "require": "evidence.earlier.evidence.earlier.head_held"}
    found = judged(edition({"deeper": deeper}, asks=0), later(earlier(0)))
    assert finding(found, "deeper").missing == ("evidence.earlier.evidence.earlier",)


def test_an_impossible_record_inside_makes_the_whole_impossible() -> None:
    (problem,) = problems_of(edition(BY, asks=0), later(earlier(9)))
    assert problem.code == "verification-refusals"


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
    (problem,) = problems_of(by, recorded({**SHORT, "evidence": {"long_bolt": earlier(9)}}))
    assert problem.code == "verification-refusals"
