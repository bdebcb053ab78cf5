"""Leave given not to hold a requirement against a test: when it acts, and why else it is ignored."""

from __future__ import annotations

from typing import Any

import pytest

from judging.small import COUNT, HELD, LOADED, edition, finding, judged, record
from tautbook.explaining.explain import explain

GOOD, SHORT = ("41 kip", 0), ("40 kip", 0)
BY_ENGINEER = {"waivable_by": ["engineer"]}


def waiver(requirement: str, role: str = "engineer", **more: Any) -> dict[str, Any]:
    return {"requirement": requirement, "by": "J. Orr", "role": role, "on": "2026-04-15", "why": "seen", **more}


def test_a_waiver_by_the_named_role_takes_the_fault_away_and_is_told_first() -> None:
    rules = edition({"count": COUNT, "held": {**HELD, **BY_ENGINEER}})
    verdict = judged(rules, record(GOOD, GOOD, GOOD, head_held=False, waivers=[waiver("held")]))
    assert (verdict.verdict, finding(verdict, "held").outcome) == ("pass", "waived")
    told = explain(verdict)
    assert told.headline.startswith("pass, 1 requirement waived (as stated, not verified); ")
    assert "waived by J. Orr (engineer) on 2026-04-15: seen" in "".join(each.sentence for each in told.findings)


def test_a_waived_acceptance_counts_as_judged() -> None:
    rules = edition({"count": {**COUNT, **BY_ENGINEER}}, asks=1)
    verdict = judged(rules, record(("41 kip", 3), waivers=[waiver("count", item="specimens[1]")]))
    assert (verdict.verdict, verdict.ignored_waivers) == ("pass", ())


def test_a_waiver_of_one_specimen_does_not_speak_of_the_others() -> None:
    rules = edition({"count": COUNT, "loaded": {**LOADED, **BY_ENGINEER}})
    one = judged(rules, record(SHORT, SHORT, GOOD, waivers=[waiver("loaded", item="specimens[1]")]))
    both = judged(rules, record(SHORT, SHORT, GOOD, waivers=[waiver("loaded")]))
    assert (one.verdict, both.verdict) == ("invalid", "pass")


@pytest.mark.parametrize(
    ("given", "why"),
    [
        (waiver("held", role="inspector"), "this edition lets only engineer or owner waive it, not inspector"),
        (waiver("loaded"), "this edition lets nobody waive this requirement"),
        (waiver("hold"), "this edition has no requirement `hold`"),
        (waiver("scrapped"), "advice decides nothing and needs no waiver"),
        (waiver("held", item="specimens[1]"), "there is no finding of this requirement on `specimens[1]`"),
        (waiver("turned"), "the requirement is still open"),
        (waiver("grip"), "the requirement is not broken"),
        (waiver("absent"), "this edition lets nobody waive this requirement"),
    ],
)
def test_any_other_waiver_is_ignored_with_the_reason(given: dict[str, Any], why: str) -> None:
    by = {"waivable_by": ["engineer", "owner"]}
    rules = edition({
        "count": COUNT, "loaded": LOADED, "held": {**HELD, **by},
        "scrapped": {"kind": "advice", "require": "tested_scrapped", **by},
        "turned": {"kind": "setup", "require": 'indicator.turned = "nut"', **by},
        "grip": {"kind": "setup", "require": "threads_in_grip >= 3", **by},
        "absent": {"kind": "setup", "absent": "not held here"},
    })  # fmt: skip
    on = record(GOOD, GOOD, GOOD, head_held=False, tested_scrapped=False, threads_in_grip=4, waivers=[given])
    (ignored,) = judged(rules, on).ignored_waivers
    assert ignored.why == why


def test_a_second_waiver_of_the_same_fault_is_ignored() -> None:
    rules = edition({"count": COUNT, "held": {**HELD, **BY_ENGINEER}})
    on = record(GOOD, GOOD, GOOD, head_held=False, waivers=[waiver("held"), waiver("held")])
    (ignored,) = judged(rules, on).ignored_waivers
    assert (ignored.waiver.path, ignored.why) == ("waivers[2]", "it was waived already")


def test_a_role_is_the_same_in_small_and_large_letters() -> None:
    rules = edition({"count": COUNT, "held": {**HELD, **BY_ENGINEER}})
    on = record(GOOD, GOOD, GOOD, head_held=False, waivers=[waiver("held", role="Engineer")])
    assert judged(rules, on).verdict == "pass"


def test_what_was_never_observed_cannot_be_waived() -> None:
    rules = edition({"count": COUNT, "held": {**HELD, **BY_ENGINEER}})
    verdict = judged(rules, record(GOOD, GOOD, GOOD, waivers=[waiver("held")]))
    assert (verdict.verdict, verdict.could_be) == ("incomplete", ("pass", "invalid"))
    (ignored,) = verdict.ignored_waivers
    assert ignored.why == "the requirement is still open"
