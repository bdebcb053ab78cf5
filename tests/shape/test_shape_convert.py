from __future__ import annotations

import datetime
from fractions import Fraction
from typing import Any

import pytest
from shape_samples import EDITION, RECORD, RECORD_JSON, good, shaped_text

from tautbook.lang.calendar import CalendarSpan
from tautbook.lang.problem import Problem, show
from tautbook.lang.quantity import number, read_quantity
from tautbook.lang.reading import read_tree
from tautbook.lang.source import Source
from tautbook.lang.tree import Mapping
from tautbook.shape.convert import shape
from tautbook.shape.schemas import Schema
from tautbook.shape.shaped import (
    Raw,
    Shaped,
    ShapedList,
    ShapedMap,
    ShapedValue,
    items_at,
    map_at,
    scalar_at,
    text_at,
    value_at,
)  # fmt: skip


def values(shaped: Shaped) -> Any:
    """Values without places, to compare."""
    match shaped:
        case ShapedValue(value=value):
            return value
        case ShapedList(items=items):
            return [values(item) for item in items]
        case ShapedMap(entries=entries):
            return {key: values(below) for key, below in entries.items()}
        case Raw(tree=tree):
            return tree.span.text


def at(shaped: Shaped, *path: str | int) -> Any:
    for step in path:
        if isinstance(step, int):
            assert isinstance(shaped, ShapedList)
            shaped = shaped.items[step]
        else:
            assert isinstance(shaped, ShapedMap)
            shaped = shaped.entries[step]
    return values(shaped)


def test_a_record_has_the_values_that_were_written() -> None:
    record = good(RECORD, "records/dti-lot")
    assert at(record, "tested") == datetime.date(2026, 4, 14)
    assert at(record, "bolt", "diameter") == read_quantity("7/8 in")
    assert at(record, "indicator", "lot") == "0217"
    assert at(record, "indicator", "type") == "325"
    assert at(record, "indicator", "spaces") == number(Fraction(5))
    assert at(record, "head_held") is True
    assert at(record, "specimens", 0, "at_verification", "refusals") == number(Fraction(0))
    assert at(record, "specimens", 0, "at_installation", "spaces")[2] == "partial"


def test_each_value_keeps_its_text_and_place() -> None:
    record = good(RECORD, "records/dti-lot")
    gauge = record.entries["gauge"]
    assert isinstance(gauge, ShapedMap)
    thickness = scalar_at(gauge, "thickness")
    assert thickness is not None and thickness.written == thickness.span.text == "0.005 in"
    assert gauge.key_span("thickness").text == "thickness"
    assert value_at(gauge, "shape") is None and text_at(gauge, "shape") is None
    assert text_at(gauge, "id") == "G-2"
    assert items_at(record, "waivers") == () and len(items_at(record, "specimens")) == 1
    assert map_at(record, "nut") == {} and "serial" in map_at(record, "device")


def test_json_and_yaml_give_equal_values() -> None:
    yaml = values(good(RECORD, "records/dti-lot"))
    assert values(good(RECORD_JSON, "records/dti-lot", "sample.json")) == yaml


def test_an_edition_keeps_rules_as_text_and_rows_as_read() -> None:
    edition = good(EDITION, "edition")
    assert at(edition, "edition") == "2021"
    assert at(edition, "terms", "verification_tension", "clause") == "7.10"
    rule = at(edition, "procedures", "dti-lot", "requirements", "load-reached", "require")
    assert rule.startswith("specimen.at_verification.tension")
    assert at(edition, "procedures", "dti-lot", "asks", "specimens") == number(Fraction(3))
    table = map_at(edition, "tables")["minimum_tension"]
    assert isinstance(table, ShapedMap)
    rows = table.entries["rows"]
    assert isinstance(rows, Raw) and isinstance(rows.tree, Mapping)
    covers = map_at(edition, "covers")
    diameters, grades = covers["bolt.diameter"], covers["bolt.grade"]
    assert isinstance(diameters, ShapedList) and isinstance(diameters.items[0], Raw)
    assert diameters.items[0].span.text == "1/2 in"
    assert at(grades, "A325", "when") == 'bolt.standard = "F3125"'
    assert at(grades, "A490") == {}


def test_all_problems_of_a_file_come_at_once_and_in_order() -> None:
    bad = RECORD.replace("tested: 2026-04-14", "tested: 2026-02-30").replace(
        "head_held: true", "head_held: yes"
    )
    bad = bad.replace("wrench: hand", "wrench: hands").replace("refusals: 0", "refusal: 0")
    shaped, problems = shaped_text(bad, "records/dti-lot")
    assert shaped is None
    spans = [problem.span for problem in problems if problem.span is not None]
    assert [span.source.position(span.start)[0] for span in spans] == [5, 14, 15, 17]


def test_grammar_of_rules_is_checked_where_the_file_has_other_problems() -> None:
    bad = EDITION.replace("ties up)'", "ties upp)'").replace("months: clamp", "months: clam")
    _, problems = shaped_text(bad, "edition")
    assert len(problems) == 2 and problems[0].code == "unknown-word"


def test_a_record_without_specimens_has_a_good_shape() -> None:
    good(RECORD[: RECORD.index("specimens:")], "records/dti-lot")
    good(RECORD[: RECORD.index("specimens:")] + "specimens: []\n", "records/dti-lot")


@pytest.mark.parametrize(
    ("key", "written", "refused"),
    [
        ("threads_in_grip", "3.5", None),
        ("threads_in_grip", "1/2", None),
        ("threads_in_grip", '"4"', None),
        ("threads_in_grip", "41", "out-of-range"),
        ("washers_between", "2", None),
        ("washers_between", "2.0", None),
        ("washers_between", "-1", "out-of-range"),
        ("washers_between", "11", "out-of-range"),
        ("washers_between", "10", None),
        ("washers_between", "2.5", "whole-number"),
        ("temperature", "20 degC", None),
        ("stick_out", "-1/8 in", None),
        ("notes", "~", "empty-value"),
        ("notes", "null", "empty-value"),
        ("notes", '"null"', None),
        ("notes", '" "', "empty-value"),
        ("tested_scrapped", '"true"', "yes-no"),
        ("tested_scrapped", "Yes", "yes-no"),
        ("tested_scrapped", "off", "yes-no"),
        ("tested_scrapped", "12", "yes-no"),
        ("specimens", "3", "list-expected"),
        ("specimens", "{a: b}", "list-expected"),
        ("nut", "DH", "fields-expected"),
        ("nut", "[DH]", "fields-expected"),
        ("nut", "", "empty-value"),
        ("nut", "{DH}", "unknown-key"),
        ("nut", "{grade}", "empty-value"),
        ("wrench", "[hand]", "one-value-expected"),
        ("local", "3", "fields-expected"),
        ("local", "{tern-sound: 3}", "fields-expected"),
        ("evidence", "{other: x}", "unknown-key"),
        ("evidence", "{}", None),
    ],
)
def test_what_is_written_decides(key: str, written: str, refused: str | None) -> None:
    text = RECORD[: RECORD.index("specimens:")].replace("wrench: hand\n", "") + f"{key}: {written}\n"
    _, problems = shaped_text(text, "records/dti-lot")
    assert [problem.code for problem in problems] == ([] if refused is None else [refused]), [
        *map(show, problems)
    ]


OWN: Schema = {
    "title": "own observations", "x-kind": "group", "type": "object", "additionalProperties": False,
    "properties": {
        "kept_for": {"x-kind": "span", "type": "string"},
        "since": {"x-kind": "date", "type": "string"},
        "by": {"x-kind": "text", "type": "string"},
    },
    "dependentRequired": {"kept_for": ["since", "by"]},
}  # fmt: skip


def own(text: str) -> tuple[Shaped | None, tuple[Problem, ...]]:
    """A file in the shape of ``OWN``: observations of an authority's own, which it may declare in any kind."""
    tree, problems = read_tree(Source("own.yaml", text), "yaml")
    assert tree is not None, problems
    return shape(tree, OWN)


def test_a_calendar_span() -> None:
    shaped, problems = own("{kept_for: 6 months, since: 2026-04-14, by: M. Ito}")
    assert shaped is not None, problems
    assert at(shaped, "kept_for") == CalendarSpan(6, 0)
    shaped, (problem,) = own("{kept_for: 6 moons, since: 2026-04-14, by: M. Ito}")
    assert shaped is None
    assert problem.span is not None and problem.span.text == "6 moons"


def test_of_fields_that_belong_together_only_those_that_are_not_there_are_asked_for() -> None:
    _, problems = own("{kept_for: 6 months, since: 2026-04-14}")
    assert [problem.message for problem in problems] == ["`kept_for` needs `by` beside it"]
    _, problems = own("{kept_for: 6 months}")
    assert [problem.message for problem in problems] == [
        "`kept_for` needs `by` beside it", "`kept_for` needs `since` beside it",
    ]  # fmt: skip
    assert own("{by: M. Ito}")[1] == ()
