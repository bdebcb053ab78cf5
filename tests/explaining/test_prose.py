"""Rules and what is said of them, kind by kind of node; and sentences of a small edition."""

from __future__ import annotations

import pytest

from judging.small import edition
from lang.cases import checked
from tautbook import Shelf
from tautbook.explaining.prose import sentence
from tautbook.explaining.prose_kernel import amount, condition
from tautbook.explaining.prose_names import Names, names_of
from tautbook.explaining.prose_tree import flat
from tautbook.lang.kernel import Compare, Constant, NoRule
from tautbook.lang.kinds import NumberKind, YesNoKind
from tautbook.lang.quantity import number
from tautbook.lang.values import Stuck


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        # comparisons: inclusive or not, and of what
        ("force_a >= 28 kip", "`force_a` is at least 28 kip"),
        ("force_a > 28.50 kip", "`force_a` is more than 28.50 kip"),
        ("force_a <= force_b", "`force_a` is at most `force_b`"),
        ("force_a < force_b", "`force_a` is less than `force_b`"),
        ("force_a = 7/8 kip", "`force_a` is exactly 7/8 kip"),
        ("force_a != 0.40 kN", "`force_a` is anything but 0.40 kN"),
        ("28 kip <= force_a", "`force_a` is at least 28 kip"),
        ("3 <= threads <= 5", "`threads` is at least 3 and at most 5"),
        ("5 > threads >= 3", "`threads` is less than 5 and at least 3"),
        ("load.first < force_a <= load.second", "`force_a` is more than `load.first` and at most `load.second`"),
        ("tested <= calibrated + 6 months", "`tested` is no later than 6 months after `calibrated`"),
        ("tested <= calibrated + 12 months", "`tested` is no later than 12 months after `calibrated`"),
        ("force_a != force_b", "`force_a` is not equal to `force_b`"),
        ("tested > 2026-04-14", "`tested` is after 2026-04-14"),
        ("tested = calibrated", "`tested` is the same day as `calibrated`"),
        ("tested - calibrated < 90", "the number of days from `calibrated` to `tested` is less than 90"),
        ('bolt.grade = "A325"', '`bolt.grade` is "A325"'),
        ('bolt.grade != "A325"', '`bolt.grade` is not "A325"'),
        ('marking is one of {"a", "b", "c"}', '`marking` is "a", "b" or "c"'),
        ('not (marking is one of {"a", "b"})', '`marking` is none of "a" and "b"'),
        ("head_held = plain_finish", "`head_held` is the same answer as `plain_finish`"),
        # conditions together: what would need brackets is a point
        ("head_held", "`head_held` is yes"),
        ("not head_held", "`head_held` is no"),
        ("recorded(items) and not recorded(load)",
         "all of these hold: (1) `items` is recorded; (2) `load` is not recorded"),
        ("head_held and (plain_finish or ratio > 2)",
         "all of these hold: (1) `head_held` is yes; (2) at least one of these holds: (2.1) `plain_finish` is yes; "
         "(2.2) `ratio` is more than 2"),
        ("not (head_held or ratio > 2)", "none of these holds: (1) `head_held` is yes; (2) `ratio` is more than 2"),
        ("not (head_held and ratio > 2)", "not all of these hold: (1) `head_held` is yes; (2) `ratio` is more than 2"),
        ("not (ratio > 2)", "this does not hold: (1) `ratio` is more than 2"),
        ("if head_held then ratio > 2 else ratio > 3",
         "the first of these that applies decides: (1) if `head_held` is yes: `ratio` is more than 2; (2) otherwise: "
         "`ratio` is more than 3"),
        ("not enough(force_a)", "“enough” (for `force_a`) does not hold"),
        ("every(items, item.gap)", "for every item of `items`, `items.gap` of the item is yes"),
        ("some(items, item.gap or item.refusals > 2)",
         "for at least one item of `items`, at least one of these holds: (1) `items.gap` of the item is yes; (2) "
         "`items.refusals` of the item is more than 2"),
        # figures
        ("ratio - factor - 1", "`ratio` − `factor` − 1"),
        ("ratio - (factor - 1)", "`ratio` − (`factor` − 1)"),
        ("(ratio + factor) * 2", "(`ratio` + `factor`) × 2"),
        ("bolt.length / (1/2 in)", "`bolt.length` ÷ (1/2 in)"),
        ("-(ratio + factor)", "−(`ratio` + `factor`)"),
        ("abs(ratio) + 10 %", "(the absolute value of `ratio`) + 10 %"),
        ("nearest(1.05 * force_a, 1 kip, ties up)", "1.05 × `force_a`, rounded to the nearest 1 kip, a tie upwards"),
        ("nearest(ratio, 0.5, ties even)", "`ratio`, rounded to the nearest 0.5, a tie to the even multiple"),
        ("nearest(ratio, 1, ties up)", "`ratio`, rounded to the nearest whole number, a tie upwards"),
        ("up(bolt.length, 1/16 in)", "`bolt.length`, rounded up to a multiple of 1/16 in"),
        ("down(ratio / 2, 1) + 1", "(`ratio` ÷ 2, rounded down to a whole number) + 1"),
        ("largest(2, smallest(ratio, factor))", "the larger of 2 and (the smaller of `ratio` and `factor`)"),
        ("minimum[bolt.grade, bolt.diameter]", "“minimum” (for `bolt.grade` and `bolt.diameter`)"),
        ("turn_for[ratio]", "“turn_for” (for `ratio`)"),
        ("over(force_a, 5 %) * 2", "“over” (for `force_a` and 5 %) × 2"),
        ("needed + 1 kip", "“needed” + 1 kip"),
        ("count(items, item.gap)", "the number of items of `items` for which (`items.gap` of the item is yes)"),
        ("mean(items, item.force)", "the mean over all items of `items` of `items.force` of the item"),
        ("largest(items, item.force - 1 kip)",
         "the largest over all items of `items` of (`items.force` of the item − 1 kip)"),
        ("interpolate(curve, force_a)",
         "`curve.actual` where `curve.dial` is `force_a`, on the straight line between neighbouring items of `curve` "
         "and never beyond them"),
        # choices: alone they are points, elsewhere they are put aside
        ("if ratio > 2 then 1 kip else if ratio > 1 then 2 kip else 3 kip",
         "the first of these that applies: (1) if `ratio` is more than 2: 1 kip; (2) if `ratio` is more than 1: 2 kip; "
         "(3) otherwise: 3 kip"),
        ("if head_held or ratio > 2 then 1 kip else 2 kip",
         "the first of these that applies: (1) 1 kip, if at least one of these holds: (1.1) `head_held` is yes; (1.2) "
         "`ratio` is more than 2; (2) otherwise: 2 kip"),
        ("force_a >= 2 * (if head_held then 1 kip else 2 kip)",
         "`force_a` is at least 2 × [A]; [A]: the first of these that applies: (A.1) if `head_held` is yes: 1 kip; "
         "(A.2) otherwise: 2 kip"),
        ("count(items, item.gap and item.refusals > 2)",
         "the number of items of `items` for which [A] holds; [A]: all of these hold: (A.1) `items.gap` of the item is "
         "yes; (A.2) `items.refusals` of the item is more than 2"),
    ],
)  # fmt: skip
def test_a_rule_and_what_is_said_of_it(rule: str, said: str) -> None:
    node = checked(rule)
    assert flat((condition if isinstance(node.kind, YesNoKind) else amount)(node, Names(None))) == said


def test_what_has_no_rule_is_said_so() -> None:
    stuck = NoRule(Stuck("no rule", "table `t` has no figure for 3"), kind=NumberKind())
    node = Compare(stuck, ">", Constant(number(-2), kind=NumberKind()), kind=YesNoKind())
    said = "no figure (no rule: table `t` has no figure for 3) is more than minus 2"
    assert flat(condition(node, Names(None))) == said


def test_a_requirement_says_of_what_when_and_what_takes_it_off() -> None:
    by = edition({
        "spaces": {"kind": "acceptance", "each": "specimens", "applies": "head_held",
                   "require": "specimen.at_verification.refusals <= 2",
                   "unless": {"broke": {"title": "it broke", "when": 'specimen.ended = "fracture"'}}},
        "later": {"kind": "setup", "absent": "the tables were not at hand"},
    })  # fmt: skip
    procedure = by.procedures["dti-lot"]
    said = {each.id: sentence(each, procedure, by) for each in procedure.requirements}
    assert said == {
        "covered": "The bolt grade is one that this edition covers.",
        "spaces": "For each specimen: the number of refusals at the verification tension of the specimen is at most 2. "
        "It applies only if “head held” is yes. It does not apply if “ended by” of the specimen is \"fracture\".",
        "later": "No rule: the tables were not at hand.",
    }


def test_what_is_of_another_record_is_told_apart_from_this_one() -> None:
    by = Shelf.default().edition("tern-sound", "2025")
    procedure = by.procedures["dti-short-bolt"]
    (longer,) = [each for each in procedure.requirements if each.id == "long-bolt-longer"]
    said = "The bolt length in the long-bolt test is more than the bolt length in this record."
    assert sentence(longer, procedure, by) == said


def test_two_things_of_one_title_are_told_apart() -> None:
    terms = {name: {"title": "the limit", "is": figure, "clause": "7.1"} for name, figure in
             {"high": "30 kip", "low": "20 kip"}.items()}  # fmt: skip
    require = "specimen.at_verification.tension >= low and specimen.at_verification.tension <= high"
    by = edition({"load": {"kind": "setup", "each": "specimens", "require": require}}, terms=terms)
    procedure = by.procedures["dti-lot"]
    said = sentence(procedure.requirements[-1], procedure, by)
    assert "is at least “the limit” `low` (7.1)" in said and "is at most “the limit” `high` (7.1)" in said


@pytest.mark.parametrize("procedure", ["dti-lot", "dti-short-bolt", "dti-installed", "rotational-capacity"])
def test_no_two_fields_of_a_record_have_one_name(procedure: str) -> None:
    names = names_of(Shelf.default().edition("tern-sound", "2025"), procedure)
    assert names.words is not None
    said = [names.at(path) for path in names.words.fields]
    assert len(set(said)) == len(said)
