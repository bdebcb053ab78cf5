"""Which worked records stand at the limits, and the records that are made where none does."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from judging.small import COUNT, HELD, LOADED, edition, judged, record
from tautbook import Shelf, read_record
from tautbook.editions.edition import Edition
from tautbook.proofreading.boundaries import Boundary, boundaries
from tautbook.proofreading.boundary_examples import made_for
from tautbook.proofreading.record_data import example_text
from tautbook.records.read import read_records
from tautbook.records.record import Record, content

LOAD = {**LOADED, "require": "specimen.at_verification.tension >= 41 kip"}
CERTIFIED = {
    "serial": "T-1", "capacity": "100 kip", "graduation": "0.5 kip", "calibrated": "2026-01-20",
    "corrections": {"sign": "add to dial", "points": [
        {"dial": "5 kip", "correction": "0 kip"}, {"dial": "20 kip", "correction": "2 kip"},
        {"dial": "100 kip", "correction": "2 kip"},
    ]},
}  # fmt: skip
"""Between 20 kip and 100 kip a tension is 2 kip more than the dial says."""
CORRECTED = {"corrected": {
    "title": "corrected tension", "of": {"tension": "force"},
    "is": "tension + interpolate(device.corrections.points, tension)",
}}  # fmt: skip


def by_name(found: tuple[Boundary, ...]) -> dict[str, str | None]:
    """Who covers what: ``loaded at``, or ``loaded least[5] at`` for a cell."""
    return {
        " ".join(filter(None, [each.requirement, str(each.cell or ""), each.what])): each.covered_by for each in found
    }


def made(by: Edition, *worked: Record) -> dict[str, dict[str, Any]]:
    """The records made for what the worked ones do not show, by the names of their files."""
    found = made_for(by, boundaries(by, worked), [each.id for each in worked])
    return {each.file: content(each.verdict.record.shaped) for each in found.examples}


def shown(by: Edition, *records: Record) -> set[str]:
    return {name for name, covered in by_name(boundaries(by, records).boundaries).items() if covered}


def test_a_comparison_of_a_reading_has_four_boundaries_and_a_yes_or_no_three() -> None:
    rules = edition({"loaded": LOAD, "held": HELD}, asks=1)
    found = boundaries(rules, [record(("41 kip", 0), head_held=True), record(("41.5 kip", 0), id="S-2")])
    assert by_name(found.boundaries) == {
        "loaded at": "S-1", "loaded inside": "S-2", "loaded outside": None, "loaded missing": None,
        "held inside": "S-1", "held outside": None, "held missing": "S-2",
    }  # fmt: skip
    assert found.share == Fraction(4, 7)


@pytest.mark.parametrize(
    ("tension", "stands"),
    [
        ("40 kip", None), ("40.5 kip", "outside"), ("40.9 kip", "outside"), ("41 kip", "at"), ("41.1 kip", "inside"),
        ("41.5 kip", "inside"), ("41.6 kip", None), ("183 kN", "inside"), ("182 kN", "outside"), ("184 kN", None),
    ],
)  # fmt: skip
def test_a_step_is_that_of_the_reading_in_its_own_unit(tension: str, stands: str | None) -> None:
    """41 kip are 182.4 kN. A dial in kip is usually read to half a kip, one in kN to whole ones."""
    found = shown(edition({"loaded": LOAD}, asks=1), record((tension, 0)))
    assert found == ({f"loaded {stands}"} if stands else set())


@pytest.mark.parametrize(("tension", "stands"), [("41.5 kip", None), ("41.1 kip", "inside"), ("40.9 kip", "outside")])
def test_where_the_record_says_how_fine_the_dial_is_that_is_the_step(tension: str, stands: str | None) -> None:
    fine = {"serial": "T-1", "graduation": "0.1 kip"}
    found = shown(edition({"loaded": LOAD}, asks=1), record((tension, 0), device=fine))
    assert found == ({f"loaded {stands}"} if stands else set())


@pytest.mark.parametrize(
    ("dial", "stands"),
    [("39 kip", "at"), ("39.5 kip", "inside"), ("38.5 kip", "outside"), ("41 kip", None), ("40 kip", None)],
)
def test_of_a_corrected_reading_the_dial_moves_and_the_corrected_value_is_compared(
    dial: str, stands: str | None
) -> None:
    rule = {**LOAD, "require": "corrected(specimen.at_verification.tension) >= 41 kip"}
    found = shown(edition({"loaded": rule}, asks=1, terms=CORRECTED), record((dial, 0), device=CERTIFIED))
    assert found == ({f"loaded {stands}"} if stands else set())


@pytest.mark.parametrize(
    ("tested", "stands"),
    [("2026-07-20", "at"), ("2026-07-19", "inside"), ("2026-07-21", "outside"), ("2026-07-18", None)],
)
def test_of_a_date_it_is_the_day_itself_the_day_before_and_the_day_after(tested: str, stands: str | None) -> None:
    rule = {"kind": "setup", "require": "tested <= device.calibrated + 6 months"}
    found = shown(edition({"in-date": rule}, asks=1), record(("41 kip", 0), device=CERTIFIED, tested=tested))
    assert found == ({f"in-date {stands}"} if stands else set())


def test_a_range_has_boundaries_at_both_ends_and_a_figure_that_is_asked_for_none_inside() -> None:
    rules = edition({
        "threads": {"kind": "setup", "require": "3 <= threads_in_grip <= 5"},
        "gauge": {"kind": "setup", "require": "gauge.thickness = 0.005 in"},
    }, asks=1)  # fmt: skip
    found = boundaries(rules, [record(("41 kip", 0), threads_in_grip=3, gauge={"thickness": "0.006 in"})])
    assert [(each.rule, each.what) for each in found.boundaries if each.covered_by] == [
        ("3 <= threads_in_grip", "at"), ("gauge.thickness = 0.005 in", "outside"),
    ]  # fmt: skip
    assert len(found.boundaries) == 4 + 4 + 3


def test_a_requirement_of_words_and_a_number_has_both_kinds() -> None:
    """What breaks it is the number in the first record, the word in the second."""
    rules = edition({"washer": {"kind": "setup", "require": "washers_between >= 1 and washer.hardened"}}, asks=1)
    number = record(("41 kip", 0), washers_between=0, washer={"hardened": True})
    word = record(("41 kip", 0), washers_between=1, washer={"hardened": False}, id="S-2")
    found = [(each.rule, each.what, each.covered_by) for each in boundaries(rules, [number, word]).boundaries]
    assert ("washers_between >= 1", "outside", "S-1") in found
    assert ("washers_between >= 1", "at", "S-2") in found
    assert ("", "outside", "S-2") in found


def test_where_a_requirement_does_not_apply_nothing_is_shown() -> None:
    rules = {
        "loaded": {**LOAD, "applies": "head_held"},
        "count": {**COUNT, "unless": {"scrapped": {"title": "scrapped", "when": "tested_scrapped"}}},
    }
    at_both = record(("41 kip", 2), head_held=True, tested_scrapped=False)
    at_none = record(("41 kip", 2), head_held=False, tested_scrapped=True)
    assert shown(edition(rules, asks=1), at_both) == {"loaded at", "count at"}
    assert shown(edition(rules, asks=1), at_none) == set()


def test_what_no_record_can_show_does_not_count() -> None:
    """No half kip is 41.25 kip; a count is never below nothing; and a record always says which day it was."""
    rules = edition({
        "loaded": {**LOAD, "require": "specimen.at_verification.tension >= 41.25 kip"},
        "none": {**COUNT, "require": "specimen.at_verification.refusals <= 0"},
        "day": {"kind": "setup", "require": "tested >= 2026-04-14"},
    }, asks=1)  # fmt: skip
    found = boundaries(rules, [record(("41 kip", 0))])
    never = {f"{each.requirement} {each.what}": each.never for each in found.boundaries if each.never}
    assert list(never) == ["loaded at", "none inside"]
    assert never["none inside"] == "`specimens.at_verification.refusals` never is -1"
    assert "day missing" not in by_name(found.boundaries)
    assert found.share == Fraction(3, 4 + 4 + 3 - 2)


LEAST = {"least": {
    "title": "least load", "by": [{"key": "bolt.diameter"}], "rows": {"7/8 in": "41 kip", "1 in": "54 kip"},
    "source": {"of": "s"},
}}  # fmt: skip
SIZES = {"covers": {"bolt.grade": ["A325"], "bolt.diameter": ["7/8 in", "1 in"]}, "tables": LEAST}
OF_TABLE = {**LOAD, "require": "specimen.at_verification.tension >= least[bolt.diameter]"}


def test_each_cell_of_a_table_has_boundaries_of_its_own() -> None:
    found = boundaries(edition({"loaded": OF_TABLE}, asks=1, **SIZES), [record(("41 kip", 0))])
    names = by_name(found.boundaries)
    assert len(names) == 3 * 4
    assert {name for name, by in names.items() if by} == {"loaded at", "loaded least[7/8 in] at"}


def test_records_are_made_for_what_is_not_covered_and_close_the_gaps() -> None:
    rules = edition({"loaded": OF_TABLE, "count": COUNT, "held": HELD}, asks=1, **SIZES)
    worked = [record(("41.5 kip", 0), head_held=True)]
    before = boundaries(rules, worked)
    found = made_for(rules, before, ["S-1"])
    read = [_read(content(each.verdict.record.shaped)) for each in found.examples]
    after = boundaries(rules, [*worked, *read])
    assert before.share < Fraction(1, 3) and found.unmade == ()
    assert (after.share, after.uncovered) == (1, ())
    assert [judged(rules, each).verdict for each in read] == [each.verdict.verdict for each in found.examples]
    assert len({each.id for each in [*worked, *read]}) == 1 + len(found.examples)


def test_a_record_made_shows_what_it_can_and_one_that_passes_goes_on_passing() -> None:
    """Load and count may both stand at their limits; both are over them in another record, and not read in the last."""
    rules = edition({"loaded": LOAD, "count": COUNT}, asks=1)
    found = made(rules, record(("44 kip", 0)))
    assert {file: whole.get("specimens") for file, whole in found.items()} == {
        "dti-lot-loaded-at-pass.yaml": [{"at_verification": {"tension": "41 kip", "refusals": 2}}],
        "dti-lot-loaded-inside-pass.yaml": [{"at_verification": {"tension": "41.5 kip", "refusals": 1}}],
        "dti-lot-loaded-outside-invalid.yaml": [{"at_verification": {"tension": "40.5 kip", "refusals": 3}}],
        "dti-lot-loaded-missing-incomplete.yaml": None,
    }


def test_no_record_is_made_of_which_the_others_show_all() -> None:
    rules = edition({"loaded": LOAD, "count": COUNT, "held": HELD}, asks=2)
    found = made_for(rules, boundaries(rules, [record(("44 kip", 0), ("44 kip", 0), head_held=True)]), ["S-1"])
    for each in found.examples:
        others = frozenset[object]().union(*(other.shows for other in found.examples if other is not each))
        assert not each.shows <= others, each.file


def test_a_record_made_is_written_as_people_write_one() -> None:
    rules = edition({"loaded": LOAD}, asks=1)
    found = made(rules, record(("41.5 kip", 0), job="0217", head_held=True, performed_by={"name": "yes", "role": "~"}))
    whole = next(iter(found.values()))
    text = example_text(whole)
    assert text.splitlines()[0] == "# yaml-language-server: $schema=../../../schemas/records/dti-lot.schema.json"
    assert "tested: 2026-04-14\n" in text and "job: 0217\n" in text and "head_held: true\n" in text
    assert "indicator: {type: 325, spaces: 5}\n" in text and "{name: 'yes', role: '~'}" in text
    assert _read(whole).digest == _read(whole, text.replace("# yaml", "#")).digest


def test_where_no_record_can_be_made_it_is_said_why() -> None:
    rules = edition({
        "loaded": {**LOAD, "require": "specimen.at_verification.tension >= 41.25 kip"},
        "total": {"kind": "setup", "require": "sum(specimens, specimen.at_verification.refusals) <= 4"},
        "washer": {"kind": "setup", "applies": "washer.hardened", "require": "washers_between >= 1"},
    }, asks=1)  # fmt: skip
    worked = [record(("41.5 kip", 0), washer={"hardened": False})]
    found = made_for(rules, boundaries(rules, worked), ["S-1"])
    assert {f"{each.boundary.requirement} {each.boundary.what}": each.why for each in found.unmade} == {
        f"washer {what}": "no worked record that passes comes to it" for what in ("at", "inside", "outside", "missing")
    } | {"total outside": "one other reading is not enough: what else is recorded decides"}


def test_a_reading_without_which_a_requirement_may_not_apply_is_never_missing() -> None:
    """`washers` speaks only of a record that says how many; `least` of one that says whether it was hardened."""
    rules = edition({
        "washers": {"kind": "setup", "applies": "washers_between >= 1", "require": "washers_between <= 2"},
        "least": {"kind": "setup", "applies": "washer.hardened", "require": "washers_between >= 1"},
    }, asks=1)  # fmt: skip
    found = boundaries(rules, [record(("41 kip", 0), washers_between=1, washer={"hardened": True})])
    assert {each.requirement: each.never for each in found.never} == {
        "washers": "where it is missing, it is open whether the requirement applies"
    }
    assert "least missing" in {f"{each.requirement} {each.what}" for each in found.uncovered}


def test_a_record_brought_to_another_size_of_a_table_of_counts_keeps_its_loads() -> None:
    most = {"most": {"title": "most refusals", "by": [{"key": "indicator.spaces"}], "rows": {"5": 2, "7": 3},
                     "source": {"of": "s"}}}  # fmt: skip
    rule = {**COUNT, "require": "specimen.at_verification.refusals <= most[indicator.spaces]"}
    rules = edition({"count": rule, "loaded": LOAD}, asks=1, tables=most)
    example = made(rules, record(("41.5 kip", 0)))["dti-lot-count-most-7-outside-fail.yaml"]
    assert example["indicator"] == {"type": "325", "spaces": 7}
    assert example["specimens"] == [{"at_verification": {"tension": "41.5 kip", "refusals": 4}}]


@pytest.mark.parametrize(
    ("file", "stands"),
    [
        ("0405-tie-load-equal", "load-reached printed_verification_tension[A325, 3/4 in] at"),
        ("0406-tie-most-refusals", "not-closed-early refusals_before_tension[7] at"),
        ("0407-tie-twelve-months", "calibration-in-date at"),
        ("0409-tie-highest-tension", "tension-at-full-refusal highest_tension[A325, 7/8 in] at"),
        ("0428-fail-short-with-bad-count", "not-closed-early refusals_before_tension[5] outside"),
    ],
)
def test_the_shipped_records_that_are_named_for_a_limit_stand_there(file: str, stands: str) -> None:
    examples = Path(__file__).parents[2] / "rulesets" / "tern-sound" / "examples"
    assert stands in shown(Shelf.default().edition("tern-sound", "2016"), read_record(examples / f"{file}.yaml"))


def _read(content: Mapping[str, Any], text: str | None = None) -> Record:
    written = example_text(dict(content)) if text is None else text
    ((found, problems),) = read_records(written.encode(), "example.yaml")
    assert found is not None, problems
    return found


def test_of_a_table_with_very_many_cells_for_very_many_requirements_only_the_limit_as_such_is_asked() -> None:
    sizes = [f"{n} mm" for n in range(400)]
    huge = {"least": {"title": "least load", "by": [{"key": "bolt.length"}], "rows": dict.fromkeys(sizes, "41 kip"),
                      "source": {"of": "s"}}}  # fmt: skip
    rule = {**LOAD, "require": "specimen.at_verification.tension >= least[bolt.length]"}
    some = edition({f"loaded-{n}": rule for n in range(2)}, asks=1, tables=huge)
    many = edition({f"loaded-{n}": rule for n in range(300)}, asks=1, tables=huge)
    assert len(boundaries(some, []).boundaries) == 2 * 401 * 4
    assert len(boundaries(many, []).boundaries) == 300 * 4
