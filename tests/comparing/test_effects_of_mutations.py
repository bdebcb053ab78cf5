"""Tern Sound's edition of 2021 changed in one place: what changes in effect is found, where, in which direction, by
which change, and shown by records that both editions judge so."""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import cache

import pytest

pytest.importorskip("z3")

from reference.both import EDITIONS, HOME, edition_of
from tautbook.comparing.change import Change
from tautbook.comparing.changes import changes
from tautbook.comparing.effect import Deciding, Effect
from tautbook.comparing.effects import effects
from tautbook.editions.edition import Edition
from tautbook.judging.verdict import Verdict, judge_record
from tautbook.records.evidence import with_evidence
from tautbook.records.folder import Folder, records_in
from tautbook.records.read import read_records
from tautbook.records.record import Record

Edit = tuple[str, str]
RANK = {"met": 2, "not applicable": 2, "waived": 2, "not asked": 2, "open": 1, "not met": 0}
VERDICT = {"pass": 2, "fail": 0}


@cache
def worked() -> tuple[Record, ...]:
    found = []
    for file in sorted((HOME / "examples").glob("*.yaml")):
        for record, _ in records_in(file, file.name):
            whole = None if record is None else with_evidence(record, Folder(file.parent))[0]
            if whole is not None:
                found.append(whole)
    return tuple(found)


def edited(text: str, edits: Iterable[Edit]) -> str:
    for before, after in edits:
        assert text.count(before) == 1, (text.count(before), before)
        text = text.replace(before, after)
    return text


def judged(content: object, edition: Edition) -> Verdict:
    ((record, problems),) = read_records(json.dumps(content).encode(), "record.json")
    assert record is not None, problems
    whole, problems = with_evidence(record, None)
    assert whole is not None, problems
    verdict, problems = judge_record(whole, edition)
    assert verdict is not None, problems
    return verdict


Shown = tuple[int, str | None]
"""How well something came out, and the outcome that was told of it."""


def shown(before: Verdict, after: Verdict, requirement: str | None) -> set[tuple[Shown, Shown]]:
    """What both editions say: of the record, or of each item that the requirement is said of. Other items of a record
    may be refused by both."""
    if requirement is None:
        one, two = ((VERDICT.get(each.verdict, 1), None) for each in (before, after))
        return {(one, two)}
    both = ([each for each in verdict.findings if each.id == requirement] for verdict in (before, after))
    of = [{each.item: each.outcome for each in found} for found in both]
    whole = [next(iter(each.values())) if each.keys() == {None} else "not asked" for each in of]

    def told(number: int, item: str | None) -> Shown:
        outcome = of[number].get(item, whole[number])
        return RANK[outcome], outcome

    return {(told(0, item), told(1, item)) for item in {*of[0], *of[1]}}


def hold(effect: Effect, record: Deciding, old: Edition, new: Edition) -> None:
    """A deciding record is judged so, on the item that is told of."""
    before, after = judged(record.content, old), judged(record.content, new)
    assert (before.verdict, after.verdict) == (record.before.verdict, record.after.verdict)
    found = shown(before, after, effect.requirement)
    told = {(one[0], two[0]) for one, two in found if (one[1], two[1]) == (record.before.finding, record.after.finding)}
    way = 1 if record.direction == "stricter" else -1
    assert any(way * (one - two) > 0 for one, two in told), (found, record)


def effects_of(old: Edition, new: Edition) -> tuple[tuple[Change, ...], tuple[Effect, ...]]:
    """Changes, and effects each with records that are judged so."""
    found = changes(old, new)
    every = effects(old, new, found, worked()).effects
    for effect in every:
        ways = {record.direction for record in effect.records}
        expected = {"both ways": {"stricter", "looser"}, "stricter": {"stricter"}, "looser": {"looser"}}
        assert ways == expected.get(effect.effect, set()), effect
        for record in effect.records:
            hold(effect, record, old, new)
    return found, every


LOT, SHORT, WORK = "dti-lot", "dti-short-bolt", "dti-installed"
Expected = dict[tuple[str, str | None], str]

MUTATIONS: dict[str, tuple[tuple[Edit, ...], tuple[Edit, ...], Expected]] = {
    # name: (what both have changed, what the new one has changed besides, the effects that are not none)
    "an operator, at least": (
        (), (("at_verification.tension >= verification_tension", "at_verification.tension > verification_tension"),),
        {(LOT, "load-reached"): "stricter", (LOT, None): "stricter"},
    ),
    "an operator, at most": (
        (), (("at_verification.refusals <= refusals_before", "at_verification.refusals < refusals_before"),),
        {(LOT, "not-closed-early"): "stricter", (LOT, None): "stricter"},
    ),
    "an operator between dates": (
        (), (("require: device.calibrated <= tested", "require: device.calibrated < tested"),),
        {(LOT, "calibration-before-test"): "stricter", (LOT, None): "stricter"},
    ),
    "an operator in a chain": (
        (), (("3 <= threads_in_grip <= 5", "3 < threads_in_grip <= 5"),),
        {(LOT, "threads-in-grip"): "stricter", (LOT, None): "stricter"},
    ),
    "a limit": (
        (), (("3 <= threads_in_grip <= 5", "3 <= threads_in_grip <= 6"),),
        {(LOT, "threads-in-grip"): "looser", (LOT, None): "looser"},
    ),
    "a limit at both ends": (
        (), (("3 <= threads_in_grip <= 5", "4 <= threads_in_grip <= 6"),),
        {(LOT, "threads-in-grip"): "both ways", (LOT, None): "both ways"},
    ),
    "a cell": (
        (), (("1 in: 86 kip\n", "1 in: 86.5 kip\n"),),
        {(LOT, "tension-at-full-refusal"): "looser", (LOT, None): "looser"},
    ),
    "a cell that two rules come to": (
        (), (("3/4 in: 28 kip", "3/4 in: 28.5 kip"),),
        {(LOT, "load-reached"): "stricter", (LOT, "load-not-passed"): "looser", (LOT, None): "both ways"},
    ),
    "a cell whose change is rounded away": ((), (("7/8 in: 39 kip", "7/8 in: 39.2 kip"),), {}),
    "the step of a rounding": (
        (), (("bolt.diameter], 1 kip, ties up)'", "bolt.diameter], 2 kip, ties up)'"),),
        {(LOT, "load-reached"): "both ways", (LOT, "load-not-passed"): "both ways", (LOT, None): "both ways"},
    ),
    "the way of a rounding": (
        (), (("nearest(1.05 * minimum_tension[bolt.grade, bolt.diameter], 1 kip, ties up)",
              "down(1.05 * minimum_tension[bolt.grade, bolt.diameter], 1 kip)"),),
        {(LOT, "load-reached"): "looser", (LOT, "load-not-passed"): "stricter", (LOT, None): "both ways"},
    ),
    "a tie rule": (
        (("is: down(indicator.spaces / 2, 1)", "is: nearest(indicator.spaces / 2, 1, ties up)"),),
        (("indicator.spaces / 2, 1, ties up", "indicator.spaces / 2, 1, ties even"),),
        {(WORK, "snug-count"): "stricter", (WORK, None): "stricter"},
    ),
    "a tie rule where nothing ties": ((), (("1 kip, ties up", "1 kip, ties even"),), {}),
    "a unit": (
        (), (("<= verification_tension + 1 kip", "<= verification_tension + 1 kN"),),
        # With one specimen to spare: what is void for it lets off a bolt that broke.
        {(LOT, "load-not-passed"): "stricter", (LOT, None): "both ways"},
    ),
    "a number of months": (
        (), (("device.calibrated + 6 months", "device.calibrated + 12 months"),),
        {(LOT, "calibration-in-date"): "looser", (LOT, None): "looser"},
    ),
    "the months policy": (
        (), (("months: clamp", "months: roll over"),),
        {(LOT, "calibration-in-date"): "looser", (LOT, None): "looser"},
    ),
    "the months policy, where a day is refused": (
        (), (("months: clamp", "months: refuse"),),
        {(LOT, "calibration-in-date"): "stricter", (LOT, None): "stricter"},
    ),
    "a covered key": (
        (), (("bolt.finish: [plain]", "bolt.finish: [plain, galvanized]"),),
        {**{(each, "covered"): "looser" for each in (LOT, SHORT, WORK)}, (LOT, None): "looser", (WORK, None): "looser"},
    ),
    "another name of a covered key": (
        (), (("Group 150: {also: [A490]}", "Group 150: {also: [A490, Class 150]}"),),
        {**{(each, "covered"): "looser" for each in (LOT, SHORT, WORK)}, (LOT, None): "looser", (WORK, None): "looser"},
    ),
    "what a fault voids": (
        (), (("voids: passes                 # at less load", "voids: both # at less load"),),
        {(LOT, None): "looser"},
    ),
    "an exception": (
        (), (("""        require: specimen.at_full_refusal.visible_gap
        unless:
          ended:
            title: the specimen broke, stripped or seized before all was read
            when: 'specimen.ended is one of {"fracture", "stripped", "seized"}'""",
              """        require: specimen.at_full_refusal.visible_gap
        unless:
          ended:
            title: the specimen broke, stripped or seized before all was read
            when: 'specimen.ended is one of {"fracture", "stripped"}'"""),),
        {(LOT, "gap-visible"): "stricter", (LOT, None): "looser"},  # a specimen that seized no longer fails for certain
    ),
    "fewer asked for": ((), (("asks: {specimens: 3}", "asks: {specimens: 2}"),), {(LOT, None): "looser"}),
    "more asked for": ((), (("asks: {specimens: 3}", "asks: {specimens: 4}"),), {(LOT, None): "stricter"}),
    "acceptance made advice": (
        (), (("clause: 8.6(a)\n        kind: acceptance", "clause: 8.6(a)\n        kind: advice"),),
        {(LOT, None): "looser"},
    ),
    "advice": (
        (), (("""        clause: 8.7(a)
        kind: advice
        require: tested_scrapped
        otherwise: Find the tested bolts, nuts and indicators. Mark them and scrap them.

      thicker""", """        clause: 8.7(a)
        kind: advice
        require: tested_scrapped or head_held
        otherwise: Find the tested bolts, nuts and indicators. Mark them and scrap them.

      thicker"""),),
        {(LOT, "tested-scrapped"): "looser"},
    ),
}  # fmt: skip


def _together(ways: set[str]) -> str:
    """One word for the effects in different scopes."""
    return "both ways" if {"stricter", "looser"} <= ways else ways.pop() if len(ways) == 1 else str(ways)


QUICK = {"a cell", "a tie rule", "advice", "a number of months"}


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=() if name in QUICK else pytest.mark.slow) for name in MUTATIONS]
)
def test_a_change_has_its_effect(name: str) -> None:
    base, edits, expected = MUTATIONS[name]
    text = edited(EDITIONS["2021"], base)
    old, new = edition_of(text), edition_of(edited(text, edits))
    found, every = effects_of(old, new)
    different = [effect for effect in every if effect.effect != "none"]
    told: dict[tuple[str, str | None], set[str]] = {}
    for each in different:
        told.setdefault((each.procedure, each.requirement), set()).add(each.effect)
    # The verdict on bolts too short for the device rests on that of longer bolts.
    rests = told.pop((SHORT, None), None)
    assert (rests is not None) == ((LOT, None) in expected)
    different = [effect for effect in different if (effect.procedure, effect.requirement) != (SHORT, None)]
    assert {key: _together(ways) for key, ways in told.items()} == expected
    ids = {change.id for change in found}
    for effect in different:
        assert set(effect.because) <= ids and effect.because, effect
        if len(ids) == 1:
            assert set(effect.because) == ids


TERMS = """
  least_threads:
    title: fewest threads
    is: {least}
  other_least_threads:
    title: fewest threads again
    is: {other}

  most_refusals_when_snug:
"""
THREADS = ("3 <= threads_in_grip <= 5", "{rule} and threads_in_grip <= 5")


def with_terms(rule: str, least: str, other: str) -> Edition:
    """Two terms, and a rule that reads both."""
    return edition_of(edited(EDITIONS["2021"], (
        ("\n  most_refusals_when_snug:\n", TERMS.format(least=least, other=other)),
        (THREADS[0], THREADS[1].format(rule=rule)),
    )))  # fmt: skip


def of_threads(old: Edition, new: Edition) -> Effect:
    _, every = effects_of(old, new)
    (found,) = (each for each in every if (each.procedure, each.requirement) == (LOT, "threads-in-grip"))
    return found


def test_changes_that_act_only_together_are_told_together() -> None:
    rule = "(threads_in_grip >= least_threads or threads_in_grip >= other_least_threads)"
    found = of_threads(with_terms(rule, "3", "3"), with_terms(rule, "4", "4"))
    assert found.effect == "stricter"
    assert set(found.because) == {"terms.least_threads.is", "terms.other_least_threads.is"}


def test_changes_that_cancel_each_other_are_told_so() -> None:
    rule = "threads_in_grip >= least_threads * other_least_threads"
    found = of_threads(with_terms(rule, "3", "1"), with_terms(rule, "6", "0.5"))
    assert (found.effect, found.reason) == ("none", "proved: the changes cancel each other")
    assert set(found.because) == {"terms.least_threads.is", "terms.other_least_threads.is"}


def test_the_one_change_that_causes_an_effect_is_told_from_one_that_does_not() -> None:
    rule = "(threads_in_grip >= least_threads and threads_in_grip >= other_least_threads)"
    found = of_threads(with_terms(rule, "3", "2"), with_terms(rule, "4", "1"))
    assert found.effect == "stricter"
    assert found.because == ("terms.least_threads.is",)


@pytest.mark.slow
def test_what_has_an_effect_only_with_another_is_told_where_it_has_one() -> None:
    """A coated indicator alone needs one change, on a coated bolt both; a coated bolt alone the other."""
    text = EDITIONS["2021"]
    edits = ("bolt.finish: [plain]", "indicator.finish: [plain]")
    new = edited(text, ((each, each.replace("plain", "plain, galvanized")) for each in edits))
    _, every = effects_of(edition_of(text), edition_of(new))
    told = {
        dict(each.scope)["indicator.finish"]: {id.split(".")[1] for id in each.because}
        for each in every if (each.procedure, each.requirement) == (LOT, "covered")
    }  # fmt: skip
    assert told == {("plain",): {"bolt"}, ("galvanized",): {"bolt", "indicator"}}
