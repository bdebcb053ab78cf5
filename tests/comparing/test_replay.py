"""Worked records under two editions: the verdicts are the stated ones, and what decides is told with both findings."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from tautbook import Shelf, explain, judge, read_record, replay
from tautbook.api import Edition, Record, Replayed, Unusable
from tautbook.comparing.replay import NO_RULES, Counts, Says
from tautbook.editions.read import read_edition

RULESET = Path(__file__).parents[2] / "rulesets" / "tern-sound"
EXAMPLES = RULESET / "examples"
STATED: dict[str, list[dict[str, Any]]] = yaml.safe_load((RULESET / "verdicts.yaml").read_text(encoding="utf-8"))
PAIRS = [("2016", "2021"), ("2021", "2025"), ("2016", "2025")]
RECORDS = sorted(EXAMPLES.glob("*.yaml"))


@cache
def edition(name: str) -> Edition:
    return Shelf.default().edition("tern-sound", name)


def stated(file: str, under: str) -> str:
    found: str = next(said["verdict"] for said in STATED[file] if under in said["under"])
    return found


@cache
def record(file: Path) -> Record:
    return read_record(file)


@cache
def replayed(file: Path, old: str, new: str) -> Replayed | None:
    try:
        return replay(record(file), edition(old), edition(new))
    except Unusable as unusable:
        assert [problem.code for problem in unusable.problems] == ["procedure-not-in-edition"]
        return None


@pytest.mark.parametrize(("old", "new"), PAIRS)
def test_the_pairs_of_verdicts_are_those_stated_by_hand(old: str, new: str) -> None:
    for file in RECORDS:
        found = replayed(file, old, new)
        wanted = stated(file.name, old), stated(file.name, new)
        if found is None:
            assert wanted == (NO_RULES, NO_RULES), file.name
        else:
            assert (found.old.verdict, found.new.verdict) == wanted, file.name
            assert found.differs == (wanted[0] != wanted[1])


@pytest.mark.parametrize(("old", "new"), PAIRS)
def test_what_decides_is_what_each_edition_by_itself_finds(old: str, new: str) -> None:
    told = 0
    for file in RECORDS:
        found = replayed(file, old, new)
        if found is None or not found.differs:
            assert found is None or found.deciding == ()
            continue
        # Only of a record that one edition passes and the other does not know there is nothing to tell.
        assert found.deciding or {found.old.verdict, found.new.verdict} == {"pass", NO_RULES}, file.name
        for name, side in ((old, found.old), (new, found.new)):
            if side.verdict == NO_RULES:
                assert all((each.old if name == old else each.new) is None for each in found.deciding)
                continue
            explanation = explain(judge(record(file), edition(name)))
            assert side.headline == explanation.headline
            mine = {(each.finding.id, each.finding.item): each for each in explanation.findings}
            for each in found.deciding:
                says, own = each.old if name == old else each.new, mine.get((each.requirement, each.item))
                assert (says is None) == (own is None)
                if says is not None and own is not None:
                    assert (says.outcome, says.sentence) == (own.finding.outcome, own.sentence)
                    told += 1
        decided = {
            (each.requirement, each.item): each for each in found.deciding if each.old is None or each.new is None
            or (each.old.kind, each.old.outcome, each.old.voided) != (each.new.kind, each.new.outcome, each.new.voided)
        }  # fmt: skip
        assert decided or not found.deciding, file.name
    assert told > 20


def test_a_reading_between_the_old_limit_and_the_new_one() -> None:
    found = replayed(EXAMPLES / "0409-tie-highest-tension.yaml", "2021", "2025")
    assert found is not None
    (decides,) = found.deciding
    assert (decides.requirement, decides.item) == ("tension-at-full-refusal", "specimens[3]")
    assert decides.old == Says(
        "acceptance", "met", False, "8.6(b)",
        "specimen 3: tension (at full refusal) 53 kip; at most 53 kip is allowed (exactly at the limit)",
    )  # fmt: skip
    assert decides.new == Says(
        "acceptance", "not met", False, "8.6(b)",
        "specimen 3: tension (at full refusal) 53 kip (corrected 53 kip); at most 52 kip is allowed (1 kip over)",
    )  # fmt: skip


def test_a_requirement_of_another_kind() -> None:
    """No gap left is a failure by the one edition, and worth saying by the other."""
    found = replayed(EXAMPLES / "0807-fail-no-gap-left.yaml", "2021", "2025")
    assert found is not None and (found.old.verdict, found.new.verdict) == ("fail", "pass")
    (decides,) = found.deciding
    assert decides.old is not None and decides.new is not None
    assert decides.old.outcome == decides.new.outcome == "not met"
    assert (decides.old.kind, decides.new.kind) == ("acceptance", "advice")


def test_a_requirement_that_only_one_edition_has() -> None:
    found = replayed(EXAMPLES / "0468-incomplete-lot-not-recorded.yaml", "2016", "2021")
    assert found is not None
    assert [(each.requirement, each.old) for each in found.deciding] == [("lots-on-record", None)]
    assert found.deciding[0].new is not None and found.deciding[0].new.outcome == "open"


def test_by_one_edition_twice_nothing_differs_and_nothing_is_explained() -> None:
    counts = Counts()
    for file in RECORDS[::5]:
        found = replayed(file, "2025", "2025")
        assert found is not None and not found.differs and not found.other_reasons
        counts.add(found)
    assert (counts.same, counts.different, counts.other_reasons) == (len(RECORDS[::5]), 0, 0)


def changed(*changes: tuple[str, str]) -> Edition:
    """The edition of 2021 as a draft of its own with some of its text replaced."""
    text = (RULESET / "2021.yaml").read_text(encoding="utf-8")
    base = (RULESET / "2016.yaml").read_bytes()
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    found, problems = read_edition(text.encode(), "draft.yaml", lambda name: (base, "2016.yaml", ()))
    assert found is not None, problems
    return found


def test_what_is_only_from_memory_makes_another_pass() -> None:
    good = record(EXAMPLES / "0401-pass-seven-eighths.yaml")
    memory = changed(("standing: invented", "standing: from memory"))
    found = replay(good, edition("2021"), memory)
    assert (found.old.words, found.new.words) == ("pass", "pass, not for acceptance")
    assert found.differs and found.new.headline.startswith("would pass; not for acceptance")
    assert not replay(good, memory, memory).differs


def test_a_verdict_that_stays_and_rests_on_something_else_is_counted() -> None:
    others = [file for file in RECORDS for found in [replayed(file, "2016", "2025")] if found and found.other_reasons]
    for file in others:
        sides = [explain(judge(record(file), edition(name))) for name in ("2016", "2025")]
        assert sides[0].verdict.verdict == sides[1].verdict.verdict != "pass"
        reasons = [{(each.finding.id, *each.finding.missing) for each in side.deciding} for side in sides]
        assert reasons[0] != reasons[1]
    assert others
