"""The same rules in other words: proved to have no effect, and said so; and what looks the same and is not."""

from __future__ import annotations

import pytest

pytest.importorskip("z3")

from comparing.test_effects_of_mutations import LOT, SHORT, WORK, Edit, edited, effects_of
from reference.both import EDITIONS, edition_of

PROVED = "proved: no record is judged otherwise"
SAME = "the same rule"
NEW_TERM = "\n  most_refusals_when_snug:\n"

HEAD = (
    "        require: head_held\n"
    "        otherwise: A head that turns rubs the protrusions down. Hold the lot."
    " Repeat with the head held by a second wrench.\n"
)
HEAD_IF_RECORDED = HEAD.replace("head_held", "not recorded(head_held) or head_held")
HELD = f"""
        otherwise: Hold the lot. Repeat the test with the indicator under the head and the nut turned.

      head-held:
        title: bolt head kept from turning
        clause: 8.4(d)
        kind: setup
{HEAD}
      insert"""
UNDER_HEAD = """indicator.position = "under head"
          and indicator.turned = "nut"
          and indicator.protrusions_against = "head\""""
UNDER_HEAD_OTHERWISE = """indicator.protrusions_against = "head"
          and indicator.position = "under head"
          and indicator.turned = "nut\""""

REWRITES: dict[str, tuple[tuple[Edit, ...], dict[tuple[str, str], str]]] = {
    # name: (what the new edition says otherwise, how each requirement that is concerned is known to have no effect)
    "a decimal as a fraction": (
        (("1.05 * minimum_tension", "(21/20) * minimum_tension"),),
        {(LOT, "load-reached"): PROVED, (LOT, "load-not-passed"): PROVED},
    ),
    "a figure in another unit": (
        (("1 in: 86 kip\n", "1 in: 382.547058912403 kN\n"),), {(LOT, "tension-at-full-refusal"): SAME},
    ),
    "a length in another unit": (
        (("1/2 in: 20 kip", "12.7 mm: 20 kip"),), {(LOT, "tension-at-full-refusal"): SAME},
    ),
    "parts of `and` in another order": (
        ((f"{UNDER_HEAD}{HELD}", f"{UNDER_HEAD_OTHERWISE}{HELD}"),),
        {(LOT, "indicator-under-head"): PROVED},
    ),
    "parts of `or` in another order": (
        (("if retest or locations_that_fail >= 1 then", "if locations_that_fail >= 1 or retest then"),),
        {(WORK, "sample"): PROVED},
    ),
    "a term split in two": (
        (("'nearest(1.05 * minimum_tension[bolt.grade, bolt.diameter], 1 kip, ties up)'",
          "nearest(raised_tension, 1 kip, ties up)"),
         (NEW_TERM, "\n  raised_tension:\n    title: raised\n"
          f"    is: 1.05 * minimum_tension[bolt.grade, bolt.diameter]\n{NEW_TERM}")),
        {(LOT, "load-reached"): PROVED, (LOT, "load-not-passed"): PROVED},
    ),
    "a chain written out": (
        (("3 <= threads_in_grip <= 5", "threads_in_grip >= 3 and threads_in_grip <= 5"),),
        {(LOT, "threads-in-grip"): PROVED},
    ),
    "`not` of the opposite": (
        (("require: tested <= device.calibrated + 6 months", "require: not (tested > device.calibrated + 6 months)"),),
        {(LOT, "calibration-in-date"): PROVED},
    ),
    "`is one of` written out": (
        (("""require: 'wrench is one of {"hand", "hand with extension", "torque multiplier"}'
        otherwise: A power wrench runs past the load""",
          """require: 'wrench = "torque multiplier" or wrench = "hand" or wrench = "hand with extension"'
        otherwise: A power wrench runs past the load"""),),
        {(LOT, "hand-wrench"): PROVED},
    ),
    "rounding up as rounding down of the opposite": (
        (("up(10 % * connection.bolts, 1)", "-down(-(10 % * connection.bolts), 1)"),),
        {(WORK, "sample"): PROVED},
    ),
    "the larger of two as a choice": (
        (("largest(2, up(10 % * connection.bolts, 1))",
          "if up(10 % * connection.bolts, 1) > 2 then up(10 % * connection.bolts, 1) else 2"),),
        {(WORK, "sample"): PROVED},
    ),
    "a count of what holds as less than all that does not": (
        (("location.after_tightening.refusals < fewest_refusals_in_the_work[indicator.spaces])",
          "not (location.after_tightening.refusals >= fewest_refusals_in_the_work[indicator.spaces]))"),),
        {(WORK, "sample"): PROVED},
    ),
    "a rounding that its figures never need": (
        (("1.05 * minimum_tension[bolt.grade, bolt.diameter], 1 kip, ties up",
          "1.05 * nearest(minimum_tension[bolt.grade, bolt.diameter], 1 kip, ties up), 1 kip, ties even"),),
        {(LOT, "load-reached"): PROVED, (LOT, "load-not-passed"): PROVED},
    ),
    "title, note and clause": (
        (("title: 3 to 5 threads within the grip\n        clause: 8.4(f)",
          "title: threads within the grip, 3 to 5\n        clause: 8.4(k)\n        note: Counted from the nut."),),
        {(LOT, "threads-in-grip"): SAME},
    ),
}  # fmt: skip
QUICK = {"a chain written out", "`is one of` written out", "a decimal as a fraction", "title, note and clause"}


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=() if name in QUICK else pytest.mark.slow) for name in REWRITES]
)
def test_the_same_rule_in_other_words_has_no_effect(name: str) -> None:
    edits, expected = REWRITES[name]
    old, new = edition_of(EDITIONS["2021"]), edition_of(edited(EDITIONS["2021"], edits))
    _, every = effects_of(old, new)
    assert {each.effect for each in every} == {"none"}
    known = {(each.procedure, each.requirement): each.reason for each in every}
    assert {key: known[key] for key in expected} == expected
    others = {reason for key, reason in known.items() if key not in expected and key[1] is not None}
    assert others <= {SAME}
    assert {known[each, None] for each in (LOT, SHORT, WORK)} == {
        "no requirement is judged otherwise, and each weighs what it weighed"
    }


NOT_THE_SAME: dict[str, tuple[tuple[Edit, ...], tuple[str, str], str]] = {
    "a recorded reading is asked for as well": (
        ((f"{HEAD}\n      insert", f"{HEAD_IF_RECORDED}\n      insert"),),
        (LOT, "head-held"), "none",
    ),
    "a part that says nothing but must be known": (
        (("3 <= threads_in_grip <= 5", "3 <= threads_in_grip <= 5 and (head_held or not head_held)"),),
        (LOT, "threads-in-grip"), "stricter",
    ),
    "months as days": (
        (("device.calibrated + 6 months", "device.calibrated + 183 days"),), (LOT, "calibration-in-date"), "both ways",
    ),
    "a figure printed to fewer digits in another unit": (
        (("1 in: 86 kip\n", "1 in: 382.5 kN\n"),), (LOT, "tension-at-full-refusal"), "stricter",
    ),
    "a table as the number that it holds wherever it is looked up": (
        (("specimen.at_verification.refusals <= refusals_before_tension[indicator.spaces]",
          "specimen.at_verification.refusals <= down((indicator.spaces - 1) / 2, 1)"),),
        (LOT, "not-closed-early"), "looser",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", [pytest.param(name, marks=pytest.mark.slow) for name in NOT_THE_SAME])
def test_what_looks_the_same_and_is_not(name: str) -> None:
    """Where a reading is missing, or a key stands in no table, two formulas that are equal elsewhere differ."""
    edits, where, expected = NOT_THE_SAME[name]
    old, new = edition_of(EDITIONS["2021"]), edition_of(edited(EDITIONS["2021"], edits))
    _, every = effects_of(old, new)
    (found,) = (each for each in every if (each.procedure, each.requirement) == where)
    assert found.effect == expected, found
