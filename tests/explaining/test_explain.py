"""What an explanation says: headline, standing, comparisons with their origins, margins and ties."""

from __future__ import annotations

from typing import Any

import pytest

from judging.small import COUNT, HELD, edition, judged, record
from tautbook.explaining.comparisons import Comparison
from tautbook.explaining.explain import Explained, explain
from tautbook.explaining.sentences import how_far
from tautbook.rendering.parts_json import from_json, value_json

GOOD = ("41 kip", 0)
THREE = (GOOD, GOOD, GOOD)
TABLE = {"t": {"title": "t", "by": [{"key": "bolt.grade"}], "source": {"of": "s", "clause": "Table 1"},
               "rows": {"A325": "28 kip"}}}  # fmt: skip
TERMS = {"needed": {"title": "needed", "is": "nearest(1.05 * t[bolt.grade], 1 kip, ties up)"}}


def explained(requirement: dict[str, Any], on: Any = None, **more: Any) -> Explained:
    rules = edition({"it": requirement}, **more)
    told = explain(judged(rules, record(*THREE) if on is None else on))
    return next(each for each in told.findings if each.finding.id == "it")


def only(requirement: dict[str, Any], on: Any = None, **more: Any) -> Comparison:
    (found,) = explained(requirement, on, **more).comparisons
    return found


def test_a_limit_is_followed_through_its_term_to_the_cell_of_its_table() -> None:
    rule = {"kind": "acceptance", "each": "specimens", "require": "specimen.at_verification.tension >= needed"}
    found = only(rule, tables=TABLE, terms=TERMS)
    assert found.limit is not None and value_json(found.limit.value) == {"value": "29", "unit": "kip"}
    by = edition({"it": rule}, tables=TABLE, terms=TERMS)
    invented = {"source": "s", "standing": "invented", "layer": None}
    assert [from_json(origin, by) for origin in found.limit.origins] == [
        {"term": "needed", "value": "29", "unit": "kip", "clause": None, **invented},
        {"rule": True, "value": "1.05", "unit": None},
        {"table": "t", "key": ["A325"], "value": "28", "unit": "kip", "clause": "Table 1", **invented},
    ]
    assert how_far(found) == "12 kip to spare"


@pytest.mark.parametrize(
    ("rule", "tension", "far"),
    [
        ("specimen.at_verification.tension >= 41 kip", "41 kip", "exactly at the limit"),
        ("specimen.at_verification.tension >= 41 kip", "40.5 kip", "0.5 kip short"),
        ("specimen.at_verification.tension <= 41 kip", "41.5 kip", "0.5 kip over"),
        ("41 kip >= specimen.at_verification.tension", "41.5 kip", "0.5 kip over"),
        ("not specimen.at_verification.tension > 41 kip", "41.5 kip", "0.5 kip over"),
        ("specimen.at_verification.tension < 41 kip", "40 kip", "1 kip to spare"),
        ("specimen.at_verification.tension >= 41 kip", "182 kN", "≈0.08477 kip short"),
        ("specimen.at_verification.tension = 41 kip", "41 kip", ""),
    ],
)
def test_how_far_from_the_limit(rule: str, tension: str, far: str) -> None:
    on = record((tension, 0))
    assert how_far(only({"kind": "acceptance", "each": "specimens", "require": rule}, on, asks=1)) == far


@pytest.mark.parametrize(
    ("rule", "sentence"),
    [
        ("tested <= 2026-04-13", "date of test 2026-04-14; no later than 2026-04-13 is asked for (1 day late)"),
        ("tested >= 2026-04-16", "date of test 2026-04-14; no earlier than 2026-04-16 is asked for (2 days early)"),
        ("head_held", "head held no; yes is asked for"),
        ("not (wrench is one of {\"hand\", \"impact\"})", "wrench hand; anything but hand or impact is allowed"),
        ("wrench != \"hand\"", "wrench hand; anything but hand is allowed"),
        ("temperature > 70 degF", "temperature 20 degC; more than 70 degF is asked for"),
        ("(if head_held then wrench = \"hand\" else wrench = \"impact\")", "wrench hand; impact is asked for"),
        (
            "count(specimens, specimen.at_verification.refusals > 0) > 0",
            "count of specimens 0; more than 0 is asked for (exactly at the limit)",
        ),
        (
            "some(specimens, specimen.at_verification.refusals > 3)",
            "; ".join(["refusals (at the verification tension) 0; more than 3 is asked for (3 short)"] * 3),
        ),
    ],
)  # fmt: skip
def test_a_broken_requirement_in_words(rule: str, sentence: str) -> None:
    on = record(*THREE, head_held=False, wrench="hand", temperature="20 degC")
    assert explained({"kind": "setup", "require": rule}, on).sentence == sentence


def test_of_alternatives_only_what_holds_is_told() -> None:
    rule = {"kind": "setup", "require": "head_held or threads_in_grip >= 3"}
    assert explained(rule, record(*THREE, head_held=False, threads_in_grip=4)).sentence == (
        "threads in the grip 4; at least 3 is asked for (1 to spare)"
    )


def test_a_pass_that_rests_on_memory_is_not_for_acceptance() -> None:
    sources = {"s": {"title": "Invented", "standing": "invented"}, "m": {"title": "Memory", "standing": "from memory"}}
    rules = edition({"count": {**COUNT, "source": "s"}, "held": {**HELD, "source": "m"}}, sources=sources)
    told = explain(judged(rules, record(*THREE, head_held=True)))
    assert told.headline == "would pass; not for acceptance; draft rules, not enacted; demonstration figures"
    assert told.advisory


def test_an_exception_from_memory_that_takes_a_requirement_off_is_not_for_acceptance_either() -> None:
    sources = {"s": {"title": "Invented", "standing": "invented"}, "m": {"title": "Memory", "standing": "from memory"}}
    memory = {"m1": {"title": "m1", "by": [{"key": "bolt.grade"}], "source": {"of": "m", "clause": "1"},
                     "rows": {"A325": "1 in"}}}  # fmt: skip
    exceptions = {"small": {"title": "small bolts", "when": "bolt.diameter <= m1[bolt.grade]"}}
    held = {**HELD, "source": "s", "unless": exceptions}
    rules = edition({"count": {**COUNT, "source": "s"}, "held": held}, sources=sources, tables=memory)
    assert explain(judged(rules, record(*THREE, head_held=False))).advisory
    held = {**HELD, "source": "m", "applies": "bolt.diameter > 1 in"}
    rules = edition({"count": {**COUNT, "source": "s"}, "held": held}, sources=sources)
    assert not explain(judged(rules, record(*THREE, head_held=False))).advisory


def test_published_figures_need_no_word_of_their_own() -> None:
    sources = {"s": {"title": "Published", "standing": "published"}}
    told = explain(judged(edition({"count": COUNT}, sources=sources), record(*THREE)))
    assert told.headline == "pass; draft rules, not enacted"
    broken = explain(judged(edition({"count": COUNT}, sources=sources), record(GOOD, ("41 kip", 3), GOOD)))
    assert broken.headline == "fail: count; draft rules, not enacted"


def test_what_cannot_pass_any_more_says_so() -> None:
    rules = edition({"count": COUNT, "held": {**HELD, "voids": "both"}, "lots": {"kind": "setup", "require": "single"}},
                    terms={"single": {"title": "one lot", "is": "indicator.one_lot"}})  # fmt: skip
    indicator = {"type": "325", "spaces": 5, "one_lot": True}
    told = explain(judged(rules, record(GOOD, ("41 kip", 3), GOOD, indicator=indicator)))
    assert told.verdict.could_be == ("fail", "invalid")
    assert told.headline == (
        "incomplete: 1 observation not recorded; it cannot pass any more; draft rules, not enacted; "
        "demonstration figures"
    )
