"""Stored verdicts: whatever is changed in one after it was given is found, and named."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest

from tautbook import Shelf, explain, judge, read_record
from tautbook.api import verdict_json
from tautbook.comparing.edition_at_hand import AtHand
from tautbook.comparing.recheck import Difference, Rechecked, differences_of, recheck_stored
from tautbook.comparing.stored import Stored, read_stored
from tautbook.editions.shelf import Shelf as PlainShelf
from tautbook.lang.problem import Problem
from tautbook.lang.reading_parts import read_json_parts

RULESET = Path(__file__).parents[2] / "rulesets" / "tern-sound"
EXAMPLES = RULESET / "examples"
SHIPPED = AtHand(Shelf.default())

Place = tuple[str | int, ...]


@cache
def _verdict(name: str, edition: str) -> str:
    found = judge(read_record(EXAMPLES / f"{name}.yaml"), Shelf.default().edition("tern-sound", edition))
    return json.dumps(verdict_json(explain(found)))


def verdict(name: str, edition: str = "2025") -> dict[str, Any]:
    """A stored verdict on a worked record, to be changed."""
    found: dict[str, Any] = json.loads(_verdict(name, edition))
    return found


def stored(whole: Any) -> tuple[Stored | None, tuple[Problem, ...]]:
    ((name, tree, problems),) = read_json_parts(BytesIO(json.dumps(whole).encode()), "v.json")
    return (None, problems) if tree is None else read_stored(tree, name)


def recheck(whole: Any, at_hand: AtHand = SHIPPED) -> Rechecked | tuple[Problem, ...]:
    """What the commands do with one verdict: rechecked, or why it cannot be."""
    found, problems = stored(whole)
    if found is None:
        return problems
    edition, problems = at_hand.of(found)
    if edition is None:
        return problems
    rechecked, problems = recheck_stored(found, edition, verdict_json)
    return problems if rechecked is None else rechecked


def parts(whole: Any) -> set[str]:
    found = recheck(whole)
    assert isinstance(found, Rechecked), found
    assert not found.holds
    return {each.part for each in found.differences}


def caught(whole: Any) -> bool:
    found = recheck(whole)
    return not isinstance(found, Rechecked) or not found.holds


FEW = "0704-invalid-not-turned-far-enough"
SHOWN = [
    ("0411-fail-closed-early", "2016"),
    ("0435-incomplete-reading-missing", "2021"),
    ("0457-pass-threads-waived-by-the-engineer", "2025"),
    ("0603-fail-nut-does-not-run-load-low", "2025"),
    (FEW, "2025"),
]


@pytest.mark.parametrize(("name", "edition"), SHOWN)
def test_a_verdict_as_it_was_given_holds(name: str, edition: str) -> None:
    found = recheck(verdict(name, edition))
    assert isinstance(found, Rechecked)
    assert (found.holds, found.differences, found.notes) == (True, (), ())
    assert found.edition.name == f"tern-sound@{edition}"


# Whatever is changed


def leaves(node: Any, place: Place = ()) -> Iterator[Place]:
    below = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, value in below:
        yield from leaves(value, (*place, key))
    if not isinstance(node, dict | list):
        yield place


def changed(whole: Any, place: Place, change: Callable[[Any], Any]) -> Any:
    found = at = copy.deepcopy(whole)
    for key in place[:-1]:
        at = at[key]
    at[place[-1]] = change(at[place[-1]])
    return found


def other(value: Any) -> Any:
    match value:
        case bool():
            return not value
        case int():
            return value + 1
        case None:
            return "x"
        case _:
            return f"{value}x"


@pytest.mark.parametrize(("name", "edition"), [SHOWN[0], SHOWN[-1]])
def test_every_single_change_of_what_a_verdict_says_is_caught(name: str, edition: str) -> None:
    whole = verdict(name, edition)
    places = [
        place for place in leaves(whole)
        if place not in {("record", "file"), ("engine", "version"), ("engine", "language")}
        and place[:2] != ("record", "content") and place[-1] != "file"
    ]  # fmt: skip
    assert len(places) > 300
    stated, missed = copy.deepcopy(whole), []
    for place in places:
        at = stated
        for key in place[:-1]:
            at = at[key]
        kept = at[place[-1]]
        at[place[-1]] = other(kept)
        missed += [place] * (not any(differences_of(stated, whole)))
        at[place[-1]] = kept
    assert missed == [] and not any(differences_of(stated, whole))


def test_every_single_change_of_the_record_inside_is_caught() -> None:
    whole = verdict("0801-pass-in-the-work")
    places = [place for place in leaves(whole) if place[:2] == ("record", "content")]
    assert len(places) > 20
    for place in places:
        found = recheck(changed(whole, place, other))
        # It is no record any more, or it is another one.
        assert not isinstance(found, Rechecked) or "record.digest" in [each.where for each in found.differences], place


def test_another_verdict_and_another_first_line_do_not_hold() -> None:
    whole = verdict(FEW)
    for word in ("pass", "fail", "incomplete"):
        assert parts({**whole, "verdict": word}) == {"verdict"}
    assert parts({**whole, "headline": "pass"}) == {"headline"}


@pytest.mark.parametrize(("name", "edition"), SHOWN)
def test_every_finding_with_another_outcome_is_named(name: str, edition: str) -> None:
    whole = verdict(name, edition)
    for i, finding in enumerate(whole["findings"]):
        outcome = "met" if finding["outcome"] != "met" else "not met"
        stated = changed(whole, ("findings", i, "outcome"), lambda _, outcome=outcome: outcome)
        item = "" if finding["item"] is None else f" {finding['item']}"
        where = f"{finding['requirement']}{item}: outcome"
        assert list(differences_of(stated, whole)) == [Difference("finding", where, outcome, finding["outcome"])]


def test_a_record_that_was_edited_inside_is_found_by_its_digest_and_judged_as_it_is() -> None:
    whole = verdict("0411-fail-closed-early", "2016")
    whole["record"]["content"]["specimens"][1]["at_verification"]["refusals"] = 2
    found = recheck(whole)
    assert isinstance(found, Rechecked) and not found.holds
    assert found.now.verdict.verdict == "pass"
    assert [each.where for each in found.differences if each.part == "record"] == ["record.digest"]
    assert {each.part for each in found.differences} >= {"record", "verdict", "headline", "finding", "figure"}


def test_a_record_written_in_another_order_is_the_same_record() -> None:
    whole = verdict("0411-fail-closed-early", "2016")
    whole["record"]["content"] = dict(reversed(whole["record"]["content"].items()))
    found = recheck(whole)
    assert isinstance(found, Rechecked) and found.holds


def test_a_record_that_it_rests_on_is_part_of_what_is_held_to() -> None:
    whole = verdict("0603-fail-nut-does-not-run-load-low")
    slots = whole["record"]["content"]["evidence"]
    assert set(slots) and all(isinstance(each, dict) for each in slots.values())
    slot = next(iter(slots))
    slots[slot]["id"] = "another"
    assert "record" in parts(whole)


@pytest.mark.parametrize(
    ("change", "part"),
    [
        (lambda whole: whole["findings"].pop(), "finding"),
        (lambda whole: whole["findings"].append(whole["findings"][0]), "finding"),
        (lambda whole: whole["findings"].append({"requirement": "made-up", "outcome": "met"}), "finding"),
        (lambda whole: whole["findings"].reverse(), "wording"),
        (lambda whole: whole.update(findings=[[]]), "finding"),
        (lambda whole: whole.update(findings=None), "finding"),
        (lambda whole: whole.pop("could_be"), "verdict"),
        (lambda whole: whole.update(could_be=[*whole["could_be"], "pass"]), "verdict"),
        (lambda whole: whole.update(approved=True), "wording"),
        (lambda whole: whole.update(advisory=0), "verdict"),
        (lambda whole: whole["rules"].update(ruleset="../../elsewhere"), "rules"),
        (lambda whole: whole["rules"].update(edition="2016"), "rules"),
        (lambda whole: whole["rules"].update(layers=[]), "rules"),
        (lambda whole: whole["record"].update(id="TS-0001"), "record"),
        (lambda whole: whole["findings"][0].update(comparisons=[]), "figure"),
    ],
)
def test_what_is_left_out_added_or_of_another_form_is_caught(change: Callable[[Any], Any], part: str) -> None:
    whole = verdict(FEW)
    change(whole)
    assert parts(whole) == {part}


def test_a_draft_cannot_be_made_an_enacted_edition_afterwards() -> None:
    whole = verdict(FEW)
    whole["rules"]["enacted"] = False
    assert parts(whole) == {"headline"}  # a verdict by a draft says so in its first line


# Another program


def test_by_another_version_of_the_program_the_same_may_be_said_in_other_words() -> None:
    whole = verdict(FEW)
    whole["engine"]["version"] = "0.0.9"
    whole["findings"][0]["sentence"] = "worded otherwise"
    found = recheck(whole)
    assert isinstance(found, Rechecked) and found.holds
    assert [(each.part, each.stated) for each in found.differences] == [("wording", "worded otherwise")]
    assert found.notes == ("judged by version 0.0.9 of the program, and again by 0.1.0",)
    assert "headline" in parts({**whole, "headline": "pass"})


# The edition of the stated digest


def codes(found: Rechecked | tuple[Problem, ...]) -> list[str]:
    assert not isinstance(found, Rechecked)
    return [problem.code for problem in found]


def agency(folder: Path, ruleset: str, change: Callable[[str], str] = str) -> AtHand:
    """A shelf with only one edition: that of 2016, as the ruleset of an agency, with something changed."""
    (folder / ruleset).mkdir(parents=True)
    text = (RULESET / "2016.yaml").read_text(encoding="utf-8").replace("ruleset: tern-sound", f"ruleset: {ruleset}")
    (folder / ruleset / "2016.yaml").write_text(change(text), encoding="utf-8")
    return AtHand(PlainShelf(((folder, "own"),)))


def retitled(text: str) -> str:
    assert "title: device calibrated" in text
    return text.replace("title: device calibrated", "title: the device calibrated")


def test_an_edition_that_is_not_the_one_that_judged_is_not_taken_for_it(tmp_path: Path) -> None:
    whole = verdict("0411-fail-closed-early", "2016")
    found = recheck(whole, agency(tmp_path, "tern-sound", retitled))
    assert codes(found) == ["edition-other"] and not isinstance(found, Rechecked)
    assert whole["rules"]["digest"] in found[0].message and "tern-sound@2016" in found[0].message


def test_an_edition_of_the_stated_name_that_cannot_be_read_is_told_with_its_problems(tmp_path: Path) -> None:
    broken = agency(tmp_path, "tern-sound", lambda text: text.replace("53 kip", "53 kips"))
    found = codes(recheck(verdict("0411-fail-closed-early", "2016"), broken))
    assert found[0] == "edition-not-at-hand" and len(found) > 1


def test_the_same_rules_are_found_in_any_folder_and_in_two_at_once(tmp_path: Path) -> None:
    whole = verdict("0411-fail-closed-early", "2016")
    changed_one = agency(tmp_path / "a", "tern-sound", retitled)
    both = AtHand(PlainShelf((*changed_one.shelf.folders, *Shelf.default().folders)))
    found = recheck(whole, both)
    assert isinstance(found, Rechecked) and found.edition.digest == whole["rules"]["digest"]


def test_a_digest_that_nothing_at_hand_has_is_told(tmp_path: Path) -> None:
    whole = verdict("0411-fail-closed-early", "2016")
    assert codes(recheck(whole, agency(tmp_path, "other"))) == ["edition-not-at-hand"]
    assert codes(recheck(changed(whole, ("rules", "digest"), lambda _: "m1:" + 64 * "0"))) == ["edition-other"]


# What is no stored verdict


@pytest.mark.parametrize(
    "whole",
    [[], {}, "x", 3, {"verdict": "pass"}, {**verdict(FEW), "rules": []}, {**verdict(FEW), "record": "x"},
     {**verdict(FEW), "verdict": None}, {**verdict(FEW), "engine": {"version": 1}}],
)  # fmt: skip
def test_what_is_no_stored_verdict_is_told(whole: Any) -> None:
    found, problems = stored(whole)
    assert found is None and {problem.code for problem in problems} <= {"not-a-verdict", "empty-value", "file-empty"}


@pytest.mark.parametrize("name", [name for name in verdict(FEW) if name not in ("evidence",)])
def test_a_verdict_without_one_of_its_parts_never_holds(name: str) -> None:
    whole = verdict(FEW)
    del whole[name]
    assert caught(whole)


def test_a_record_can_name_nothing_outside_of_its_verdict() -> None:
    whole = verdict("0603-fail-nut-does-not-run-load-low")
    slots = whole["record"]["content"]["evidence"]
    for name in ("0701-pass-rotational-capacity.yaml", "/etc/passwd", "TS-0701"):
        whole["record"]["content"]["evidence"] = dict.fromkeys(slots, name)
        assert set(codes(recheck(whole))) == {"evidence-no-folder"}
