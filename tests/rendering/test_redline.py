"""Redlines as people read them: whole ones byte for byte, effects built by hand, and titles that try to be more."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from pytest_regressions.file_regression import FileRegressionFixture

from rendering.test_markdown import more_than_text, rows, texts
from tautbook import Shelf
from tautbook.comparing.asked import asked_otherwise
from tautbook.comparing.change import Change
from tautbook.comparing.changes import changes
from tautbook.comparing.effect import Deciding, Effect, Effects, Outcome
from tautbook.comparing.redline import NEEDS_PROOF, Redline, redline
from tautbook.editions.edition import Edition
from tautbook.editions.read import read_edition
from tautbook.lang.problem import Problem
from tautbook.rendering.redline import headline, scope_text
from tautbook.rendering.redline_json import redline_json
from tautbook.rendering.redline_markdown import redline_markdown
from tautbook.rendering.redline_text import redline_text

PAIRS = [("2016", "2021"), ("2021", "2025"), ("2016", "2025")]


@cache
def edition(name: str) -> Edition:
    return Shelf.default().edition("tern-sound", name)


def worded(old: str, new: str) -> Redline:
    """As it is told without the extra that decides effects."""
    a, b = edition(old), edition(new)
    found = changes(a, b)
    return Redline(a, b, found, Effects((), (), NEEDS_PROOF), asked_otherwise(a, b, found))


@pytest.mark.parametrize(("old", "new"), PAIRS)
def test_a_redline_of_wording_as_text(old: str, new: str, file_regression: FileRegressionFixture) -> None:
    text = redline_text(worded(old, new))
    assert max(map(len, text.splitlines())) <= 100
    file_regression.check(text.encode(), extension=".txt", binary=True)


@pytest.mark.parametrize(("old", "new"), PAIRS)
def test_a_redline_of_wording_in_markdown(old: str, new: str, file_regression: FileRegressionFixture) -> None:
    text = redline_markdown(worded(old, new))
    assert more_than_text(text) == set()
    file_regression.check(text.encode(), extension=".md", binary=True)


# Effects


LOWER = Effect(
    procedure="dti-lot", requirement="tension-at-full-refusal",
    title="tension at full refusal no higher than the highest allowed", advice=False, effect="stricter",
    scope=(("bolt.grade", ("Group 150",)), ("bolt.diameter", ("7/8 in", "1 in"))),
    because=("tables.highest_tension.rows.Group 150.7/8 in", "tables.highest_tension.rows.Group 150.1 in"),
    records=(
        Deciding(
            name="dti-lot-tension-at-full-refusal-1", direction="stricter",
            content={"procedure": "dti-lot", "id": "D-1"}, before=Outcome("pass", "met", "66 kip is 66 kip."),
            after=Outcome("fail", "not met", "66 kip is more than 65 kip."),
            about="a tension of 66 kip at full refusal",
        ),
    ),
    said=(("stricter", "a Group 150 bolt of 7/8 in or 1 in may hold 1 kip less at full refusal"),),
)  # fmt: skip
VERDICT = Effect("dti-lot", None, "", False, "both ways", (), ("terms.verification_tension.is",), (),
                 said=(("stricter", "pass becomes fail"), ("looser", "fail becomes pass")))  # fmt: skip
ONLY = replace(LOWER, effect="looser", scope=(("bolt.grade", ("Group 120",)),), because=(), records=(),
               said=(("looser", "a Group 120 bolt may hold more at full refusal"),))  # fmt: skip
SOME = replace(LOWER, effect="none", scope=(("bolt.diameter", ("1/2 in",)),), because=(), records=(), said=(),
               reason="the same rule")  # fmt: skip
"""The same requirement for other bolts: an effect can differ by what is tested."""
ADVICE = Effect("dti-installed", "gap-left", "a gap left", True, "looser", (), (), ())
OPEN = Effect("dti-lot", "retest-once", "tested again no more than once", False, "not decided", (), (), (),
              reason="evidence is deeper than 2")  # fmt: skip
SAME = (
    Effect("dti-lot", "gauge", "gauge", False, "none", (), (), (), reason="the same rule"),
    Effect("dti-lot", "one-lot", "one lot", False, "none", (), (), (), reason="the same rule"),
    Effect("dti-installed", "gauge", "gauge", False, "none", (), (), (), reason="the same rule"),
    Effect("dti-lot", "load-reached", "load", False, "none", (), (), (), reason="proved"),
)
BOUNDS = (("items in a list", "at most 3"), ("dates", "1950-01-01 to 2100-12-31"))


def decided(*effects: Effect, old: str = "2021", new: str = "2025") -> Redline:
    a, b = edition(old), edition(new)
    told = tuple(each for each in changes(a, b) if "highest_tension" in each.id or each.id.startswith("terms.verif"))
    return Redline(a, b, told, Effects(effects, BOUNDS))


def test_a_redline_with_effects_as_text(file_regression: FileRegressionFixture) -> None:
    text = redline_text(decided(LOWER, ONLY, SOME, VERDICT, ADVICE, OPEN, *SAME))
    assert max(map(len, text.splitlines())) <= 100
    file_regression.check(text.encode(), extension=".txt", binary=True)


def test_a_redline_with_effects_in_markdown(file_regression: FileRegressionFixture) -> None:
    text = redline_markdown(decided(LOWER, ONLY, SOME, VERDICT, ADVICE, OPEN, *SAME))
    assert more_than_text(text) == set()
    file_regression.check(text.encode(), extension=".md", binary=True)


def test_what_an_office_must_know_is_on_the_first_screen() -> None:
    first = redline_text(decided(LOWER, ONLY, SOME, VERDICT, ADVICE, OPEN, *SAME)).splitlines()[:30]
    said = " ".join(" ".join(first).split())
    places = [said.index(sentence) for sentence in (
        "stricter pass becomes fail looser fail becomes pass", *(each.said[0][1] for each in (LOWER, ONLY)),
        "a gap left (gap-left of dti-installed, advice) looser",
        "Not decided (evidence is deeper than 2): dti-lot: retest-once.",
        "4 other requirements are proved to be the same in effect.",
    )]  # fmt: skip
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("effects", "end"),
    [
        ((LOWER, OPEN, *SAME), "16 changes of wording; requirements: 1 stricter, 1 not decided"),
        ((LOWER, replace(LOWER, scope=()), ONLY), "16 changes of wording; requirements: 1 stricter, 1 looser"),
        ((ADVICE, LOWER, VERDICT), "16 changes of wording; requirements: 1 stricter; advice: 1 looser"),
        (SAME, "16 changes of wording; no effect"),
        ((VERDICT, *SAME), "16 changes of wording; only verdicts change in effect"),
    ],
    ids=["some", "two of one", "advice", "none", "verdicts"],
)
def test_the_first_line(effects: tuple[Effect, ...], end: str) -> None:
    assert headline(decided(*effects)).partition(": ")[2] == end


def test_neighbouring_figures_are_told_as_a_range() -> None:
    every = ("1/2 in", "5/8 in", "3/4 in", "7/8 in", "1 in", "1-1/8 in")
    told = {
        ("1/2 in", "5/8 in", "3/4 in", "1-1/8 in"): "bolt diameter 1/2 in to 3/4 in, 1-1/8 in",
        ("5/8 in", "3/4 in"): "bolt diameter 5/8 in, 3/4 in",
    }
    for values, text in told.items():
        effect = replace(LOWER, scope=(("bolt.diameter", values),), among=(("bolt.diameter", every),))
        assert scope_text(effect) == text
    words = replace(LOWER, scope=(("bolt.finish", ("a", "b", "c")),), among=(("bolt.finish", ("a", "b", "c", "d")),))
    assert scope_text(words) == "bolt finish a, b, c"


def test_the_first_line_where_nothing_differs() -> None:
    assert headline(redline(edition("2021"), edition("2021"))) == (
        "tern-sound@2021, old to tern-sound@2021, new: no difference"
    )


def test_a_change_of_words_alone_says_that_it_has_no_effect() -> None:
    said = " ".join(redline_text(decided(*SAME)).split())
    assert "No requirement and no verdict changes in effect: 4 requirements are proved to be the same." in said


def test_drafts_and_two_rulesets_are_said_at_once() -> None:
    a, b = edition("2021"), edition("2025")
    draft = replace(b, enacted=None, ruleset="other")
    text = redline_text(Redline(a, draft, changes(a, draft), Effects((), (), NEEDS_PROOF)))
    head = " ".join(" ".join(text.splitlines()[:14]).split())
    assert head.startswith("tern-sound@2021 to other@2025 (draft): ")
    assert "draft, not enacted" in head and "these are two rulesets, not two editions of one" in head


def test_without_the_extra_it_is_said_which_one_is_needed() -> None:
    for text in (redline_text(worded("2021", "2025")), redline_markdown(worded("2021", "2025"))):
        assert "extra" in text and "proof" in text
    assert redline_json(worded("2021", "2025"))["missing"] == NEEDS_PROOF


# Titles that try to be more than text


HOSTILE = "x | y <b>z</b> [a](http://a.invalid) `q` @me #1 \u202e\x1b[31m # end"


def hostile() -> Redline:
    a, b = edition("2021"), edition("2025")
    change = Change("terms.a.is", "term", f"a{HOSTILE}", "changed", HOSTILE, f"{HOSTILE} more", f"`{HOSTILE}` became b",
                    ("terms", "a", "is"), f"a{HOSTILE}", "is", HOSTILE)  # fmt: skip
    effect = replace(
        LOWER, title=HOSTILE, said=(("stricter", HOSTILE),), scope=(("bolt.grade", (HOSTILE,)),),
        because=("terms.a.is",), records=tuple(replace(each, about=HOSTILE) for each in LOWER.records),
    )  # fmt: skip
    told = (
        change,
        replace(change, id="2", how="added", before=None, member="note"),
        replace(change, id="3", how="removed", after=None, member=""),
        replace(change, id="4", how="renumbered", member="clause"),
    )
    effects = (effect, replace(OPEN, reason=HOSTILE), replace(SAME[0], reason=HOSTILE))
    return Redline(a, replace(b, title=HOSTILE), told, Effects(effects, ((HOSTILE, HOSTILE),)))


def test_nothing_in_a_title_acts_in_markdown() -> None:
    text = redline_markdown(hostile())
    assert more_than_text(text) == set()
    assert all(len(row) in (2, 3, 4, 5) for row in rows(text))
    assert any("x | y <b>z</b> [a](http://a.invalid)" in said for said in texts(text))


def test_nothing_in_a_title_reaches_a_terminal() -> None:
    text = redline_text(hostile())
    assert all(char.isprintable() or char == "\n" for char in text)
    assert "\\x1b[31m" in text



# Why


BAY = """
ruleset: tern-sound
edition: bay
language: 1
amends: {ruleset: tern-sound, edition: "2021", digest: DIGEST}
title: Bay
strike: {procedures.dti-lot.requirements.head-held: nobody turns it}
tables: {highest_tension: {cells: {Group 120: {7/8 in: 52.5 kip}}, why: a misprint}}
"""
SEA = """
ruleset: tern-sound
edition: sea
language: 1
amends: {ruleset: tern-sound, edition: bay, digest: DIGEST}
tables: {highest_tension: {cells: {Group 120: {7/8 in: 52.7 kip}}}}
"""


def amendment(text: str, of: Edition, below: str = "") -> Edition:
    """An edition that amends ``of``, which is shipped or stands in the text ``below``."""
    def lookup(name: str) -> tuple[bytes | None, str, tuple[Problem, ...]]:
        return (below.encode(), "below.yaml", ()) if name == of.name and below else Shelf.default().bytes_of(name)

    found, problems = read_edition(text.replace("DIGEST", of.digest).encode(), "amendment.yaml", lookup)
    assert found is not None, problems
    return found


def test_a_change_tells_why_as_the_amendment_does() -> None:
    old = edition("2021")
    new = amendment(BAY, old)
    redline = Redline(old, new, changes(old, new), Effects((), (), NEEDS_PROOF))
    text, markdown = " ".join(redline_text(redline).split()), redline_markdown(redline)
    assert "why a misprint (tern-sound@bay) [Group 120, 7/8 in] 53 kip became 52.5 kip" in text
    assert "why nobody turns it (tern-sound@bay) removed" in text
    assert "| why |  | a misprint (tern-sound`@`bay) |  |" in markdown
    found = {each["id"]: each["why"] for each in redline_json(redline)["changes"]}
    why = [{"edition": "tern-sound@bay", "text": "nobody turns it"}]
    assert found["procedures.dti-lot.requirements.head-held"] == why and found["title"] == []


def test_an_amendment_that_both_have_is_no_reason_for_a_change() -> None:
    shipped = edition("2021")
    bay = amendment(BAY, shipped)
    sea = amendment(SEA, bay, BAY.replace("DIGEST", shipped.digest))
    cell = "tables.highest_tension.rows.Group 120.7/8 in"
    told = {
        (old.name, new.name): [reason.why for change in changes(old, new) if change.id == cell for reason in change.why]
        for old, new in ((bay, sea), (sea, bay), (bay, shipped), (shipped, sea))
    }  # fmt: skip
    assert told == {
        ("tern-sound@bay", "tern-sound@sea"): [], ("tern-sound@sea", "tern-sound@bay"): [],
        ("tern-sound@bay", "tern-sound@2021"): [], ("tern-sound@2021", "tern-sound@sea"): ["a misprint"],
    }  # fmt: skip
