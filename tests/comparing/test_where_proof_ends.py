"""What the proof does not reach is not decided, with the reason; it is never told as no effect."""

from __future__ import annotations

import pytest

pytest.importorskip("z3")

from comparing.editions import SMALL
from reference.both import edition_of
from tautbook.comparing.effect import Effect
from tautbook.comparing.redline import redline

EDITION = SMALL + """\
tables:
  few:
    title: few
    by: [{key: indicator.spaces}]
    source: {of: s, clause: T}
    rows: {4: 1, 5: 1}
fields:
  blue: {title: blue, description: Painted blue., kind: yes-no}
procedures:
  dti-lot:
    asks: {specimens: 3}
    requirements:
      rule: {title: a rule, kind: acceptance, require: 'RULE', waivable_by: [WAIVER]}
  dti-short-bolt:
    requirements:
      rests:
        title: rests on longer bolts
        kind: acceptance
        require: evidence.long_bolt.verdict = "pass" and RESTS
"""


def effects(old: dict[str, str], new: dict[str, str]) -> dict[tuple[str, str | None], Effect]:
    texts = []
    for edits in (old, new):
        text = EDITION
        for name, value in {"RULE": "head_held", "WAIVER": "engineer", "RESTS": "head_held",
                            **edits}.items():  # fmt: skip
            text = text.replace(name, value)
        texts.append(edition_of(text))
    return {(each.procedure, each.requirement): each for each in redline(*texts).effects.effects}


LOT, SHORT = "dti-lot", "dti-short-bolt"
REFUSED = "specimen.at_verification.refusals > 2"
CASES: dict[str, tuple[dict[str, str], dict[str, str], tuple[str, str | None], str]] = {
    # name: (before, after, what is not decided, a part of the reason)
    "a share of a longer list": (
        {"RULE": f"count(specimens, {REFUSED}) <= 5"}, {"RULE": f"count(specimens, {REFUSED}) <= 6"},
        (LOT, "rule"), "it counts specimens, which can be more",
    ),
    "lines of a correction table": (
        {"RULE": "count(device.corrections.points, recorded(point.dial)) >= 4"},
        {"RULE": "count(device.corrections.points, recorded(point.dial)) >= 5"},
        (LOT, "rule"), "which can be more",
    ),
    "the verdict then as well": (
        {"RULE": f"count(specimens, {REFUSED}) <= 5"}, {"RULE": f"count(specimens, {REFUSED}) <= 6"},
        (LOT, None), "a requirement is not decided",
    ),
    "who may waive": ({}, {"WAIVER": "owner"}, (LOT, None), "who may waive"),
    "what one authority observes": (
        {"RULE": "local.blue"}, {"RULE": "local.blue", "ruleset: small": "ruleset: other"}, (LOT, "rule"),
        "only one authority observes",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_it_is_not_decided(name: str) -> None:
    old, new, where, reason = CASES[name]
    effect = effects(old, new)[where]
    assert effect.effect == "not decided"
    assert reason in (effect.reason or "")


def test_what_is_counted_of_one_list_is_not_what_is_added_up() -> None:
    both = f"count(specimens, {REFUSED}) <= 5 and mean(specimens, specimen.at_verification.refusals) <= 1"
    effect = effects({"RULE": both}, {"RULE": f"({both}) and 1 < 2"})[LOT, "rule"]
    assert (effect.effect, effect.reason) == ("none", "proved: no record is judged otherwise")


@pytest.mark.parametrize(
    "rewritten",
    [f"not (count(specimens, {REFUSED}) > 5)", f"5 >= count(specimens, {REFUSED})",
     f"count(specimens, {REFUSED}) <= 5 and count(specimens, {REFUSED}) >= 0"],
)  # fmt: skip
def test_the_same_count_of_any_list_is_proved_the_same(rewritten: str) -> None:
    effect = effects({"RULE": f"count(specimens, {REFUSED}) <= 5"}, {"RULE": rewritten})[LOT, "rule"]
    assert (effect.effect, effect.reason) == ("none", "proved: no record is judged otherwise")


def test_a_verdict_that_rests_on_another_names_the_changes_that_turn_it() -> None:
    found = effects({"RULE": "head_held"}, {"RULE": "head_held or new_assemblies"})
    verdict, rests = found[LOT, None], found[SHORT, None]
    assert verdict.effect == "looser"
    assert verdict.because and rests.because == verdict.because
