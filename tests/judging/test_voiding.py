"""What a fault of the test takes the value from, and what then becomes of the verdict."""

from __future__ import annotations

import pytest

from judging.small import COUNT, HELD, LOADED, edition, finding, judged, record
from tautbook.explaining.explain import explain

GOOD, SHORT, BAD, SHORT_AND_BAD = ("41 kip", 0), ("40 kip", 0), ("41 kip", 3), ("40 kip", 3)


@pytest.mark.parametrize(
    ("voids", "specimen", "verdict"),
    [
        ("passes", SHORT, "invalid"),  # a good count at less load proves nothing
        ("passes", SHORT_AND_BAD, "fail"),  # a bad one is bad enough
        ("failures", SHORT, "pass"),  # a good count stands
        ("failures", SHORT_AND_BAD, "invalid"),  # a bad one does not, and is no pass either
        ("both", SHORT, "invalid"),
        ("both", SHORT_AND_BAD, "invalid"),
        ("both", GOOD, "pass"),
        ("both", BAD, "fail"),
    ],
)
def test_a_fault_of_one_specimen_of_three(voids: str, specimen: tuple[str, int], verdict: str) -> None:
    rules = edition({"count": COUNT, "loaded": {**LOADED, "voids": voids}})
    assert judged(rules, record(GOOD, specimen, GOOD)).verdict == verdict


@pytest.mark.parametrize(
    ("voids", "specimen", "verdict"),
    [
        ("passes", GOOD, "invalid"),
        ("passes", BAD, "fail"),
        ("failures", GOOD, "pass"),
        ("failures", BAD, "invalid"),
        ("both", BAD, "invalid"),
    ],
)
def test_a_fault_of_the_whole_test(voids: str, specimen: tuple[str, int], verdict: str) -> None:
    rules = edition({"count": COUNT, "held": {**HELD, "voids": voids}})
    assert judged(rules, record(GOOD, specimen, GOOD, head_held=False)).verdict == verdict


def test_a_void_specimen_does_not_count_and_another_may_stand_in_for_it() -> None:
    rules = edition({"count": COUNT, "loaded": LOADED})
    three = judged(rules, record(GOOD, SHORT, GOOD))
    four = judged(rules, record(GOOD, SHORT, GOOD, GOOD))
    assert (three.verdict, four.verdict) == ("invalid", "pass")
    assert finding(four, "count", "specimens[2]").voided
    assert not finding(four, "count", "specimens[1]").voided


def test_every_specimen_counts_and_there_is_no_best_three_of_four() -> None:
    assert judged(edition({"count": COUNT}), record(GOOD, GOOD, GOOD, BAD)).verdict == "fail"


def test_a_specimen_set_aside_does_not_count_and_keeps_its_number() -> None:
    spoiled = {"at_verification": {"tension": "41 kip", "refusals": 5}, "set_aside": {"why": "slipped", "by": "M. Ito"}}
    verdict = judged(edition({"count": COUNT}), record(GOOD, spoiled, GOOD, GOOD))
    assert verdict.verdict == "pass"
    assert [each.item for each in verdict.findings if each.id == "count"] == [f"specimens[{n}]" for n in (1, 3, 4)]
    assert verdict.observed.set_aside == ("specimens[2]",)


def test_an_acceptance_over_the_whole_list_is_void_by_a_fault_of_any_specimen_in_it() -> None:
    total = {"kind": "acceptance", "require": "sum(specimens, specimen.at_verification.refusals) <= 4"}
    rules = edition({"total": total, "loaded": LOADED})
    assert judged(rules, record(GOOD, GOOD, BAD)).verdict == "pass"
    verdict = judged(rules, record(GOOD, SHORT, GOOD, GOOD))
    assert (verdict.verdict, finding(verdict, "total").voided) == ("invalid", True)
    assert explain(verdict).headline.startswith("invalid: loaded")
    assert judged(rules, record(BAD, SHORT_AND_BAD, GOOD)).verdict == "invalid"


def test_an_acceptance_over_the_list_through_a_term_is_one_too() -> None:
    term = {"worst": {"title": "worst", "is": "largest(specimens, specimen.at_verification.refusals)"}}
    rules = edition({"worst-count": {"kind": "acceptance", "require": "worst <= 2 and worst >= 0"}, "loaded": LOADED},
                    terms=term)  # fmt: skip
    assert judged(rules, record(GOOD, SHORT, GOOD, GOOD)).verdict == "invalid"


def test_advice_never_decides() -> None:
    advice = {"kind": "advice", "require": "tested_scrapped"}
    rules = edition({"count": COUNT, "scrapped": advice})
    for more in ({}, {"tested_scrapped": False}, {"tested_scrapped": True}):
        assert judged(rules, record(GOOD, GOOD, GOOD, **more)).verdict == "pass"


def test_where_nothing_is_judged_nothing_passes() -> None:
    assert judged(edition({"held": HELD}), record(GOOD, GOOD, GOOD, head_held=True)).verdict == "incomplete"


def test_too_few_specimens_never_pass_even_where_nothing_is_asked_of_them() -> None:
    rules = edition({"held": {"kind": "acceptance", "require": "head_held"}})
    verdict = judged(rules, record(GOOD, head_held=True))
    assert (verdict.verdict, verdict.could_be) == ("incomplete", ("pass",))
    assert explain(verdict).headline.startswith("incomplete: 1 of 3 specimens recorded; ")


def test_two_specimens_are_judged_as_if_a_third_were_to_come() -> None:
    rules = edition({"count": COUNT})
    verdict = judged(rules, record(GOOD, GOOD))
    assert (verdict.verdict, verdict.could_be) == ("incomplete", ("pass", "fail"))
    assert finding(verdict, "count", "specimens[3]").missing == ("specimens[3].at_verification.refusals",)
    assert judged(rules, record(GOOD, BAD)).verdict == "fail"


def test_no_specimens_at_all_is_incomplete() -> None:
    rules = edition({"count": COUNT})
    assert judged(rules, record()).verdict == "incomplete"
