"""The digest changes with what a file means and with nothing else; its form is frozen."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator

import pytest
from shape_samples import EDITION, RECORD, RECORD_JSON, good

from tautbook.lang.parse import parse
from tautbook.lang.surface import Expression
from tautbook.shape.digest import digest
from tautbook.shape.shaped import Shaped, ShapedList, ShapedMap, ShapedValue


def rules(shaped: Shaped) -> Iterator[ShapedValue]:
    match shaped:
        case ShapedMap(entries=entries):
            for below in entries.values():
                yield from rules(below)
        case ShapedList(items=items):
            for below in items:
                yield from rules(below)
        case ShapedValue(expression=True):
            yield shaped


def parsed(shaped: Shaped) -> dict[int, Expression]:
    expressions: dict[int, Expression] = {}
    for rule in rules(shaped):
        expression, problems = parse(rule.scalar)
        assert expression is not None, problems
        expressions[id(rule.scalar)] = expression
    assert len(expressions) == 3
    return expressions


def of_edition(text: str) -> str:
    shaped = good(text, "edition")
    return digest(shaped, parsed(shaped))


def changed(text: str, old: str, new: str) -> str:
    assert text.count(old) == 1, old
    return text.replace(old, new)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("months: clamp", "months: clamp   # as the contract says"),
        ("ruleset: tern-sound\nedition: \"2021\"", "edition: 2021\nruleset: tern-sound"),
        ("effective: {from: 2021-07-01}", "effective:\n  from: 2021-07-01"),
        ("title: minimum bolt tension", "title: \"minimum   bolt tension\""),
        ("1/2 in: 12 kip", "0.5 in: 12.0 kip"),
        ("A490: {}}", "A490:  {}}"),
        ("when: bolt.standard = \"F3125\"", "when: (bolt.standard=\"F3125\")"),
        ("1.05 * minimum", "1.050*minimum"),
        ("tension\n            >= verification_tension", "tension >= verification_tension"),
    ],
)
def test_comments_order_layout_and_spelling_are_out(old: str, new: str) -> None:
    assert of_edition(changed(EDITION, old, new)) == of_edition(EDITION)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("title: minimum bolt tension", "title: least bolt tension"),
        ("year: 2021", "year: 2020"),
        ("clause: 7.10", "clause: 7.1"),
        ("1/2 in: 12 kip", "1/2 in: 12.1 kip"),
        ("1/2 in: 12 kip", "1/2 in: 12000 lbf"),
        ("1/2 in: 12 kip", "9/16 in: 12 kip"),
        ("[1/2 in, 5/8 in,", "[5/8 in, 1/2 in,"),
        ("asks: {specimens: 3}", "asks: {specimens: 4}"),
        ("F3125", "A325"),
        ("1.05 * minimum", "1.06 * minimum"),
        (">= verification_tension", "> verification_tension"),
        ("voids: passes", "voids: both"),
    ],
)
def test_whatever_people_read_is_in(old: str, new: str) -> None:
    assert of_edition(changed(EDITION, old, new)) != of_edition(EDITION)


def test_the_order_of_parameters_is_in() -> None:
    """A term takes its arguments by their place."""
    written = changed(EDITION, "    is: 'nearest(", "    of: {load: force, other: force}\n    is: 'nearest(")
    turned = changed(written, "{load: force, other: force}", "{other: force, load: force}")
    one, two = (good(text, "edition") for text in (written, turned))
    assert digest(one, parsed(one)) != digest(two, parsed(two))


def test_a_record_has_one_digest_in_both_forms() -> None:
    yaml, json = good(RECORD, "records/dti-lot"), good(RECORD_JSON, "records/dti-lot", "sample.json")
    assert digest(yaml) == digest(json)
    assert digest(good(changed(RECORD, "41 kip", "41.5 kip"), "records/dti-lot")) != digest(yaml)


def test_letters_with_marks_are_one_however_they_are_coded() -> None:
    one, two = (changed(RECORD, "M. Ito", name) for name in ("Z. Nov\u00e1k", "Z. Nova\u0301k"))
    assert one != two
    assert digest(good(one, "records/dti-lot")) == digest(good(two, "records/dti-lot"))


def part(shaped: Shaped, *path: str) -> Shaped:
    for key in path:
        assert isinstance(shaped, ShapedMap)
        shaped = shaped.entries[key]
    return shaped


@pytest.mark.parametrize(
    ("path", "text"),
    [
        (("tested",), '{"date":"2026-04-14"}'),
        (("head_held",), "true"),
        (("gauge",), '{"id":"G-2","thickness":["127/1000000","in"]}'),
        (("nut",), '{"grade":"8.8","lot":"Nov\\u00e1k 4"}'),
        (("specimens",), '[{"at_verification":{"refusals":["0",""],"tension":["1/8","kN"]}}]'),
    ],
)
def test_the_form_of_a_record_is_frozen(path: tuple[str, ...], text: str) -> None:
    """Written out by hand: sorted keys, no blanks, figures as reduced value in base units and unit."""
    record = RECORD[: RECORD.index("specimens:")] + (
        'nut: {lot: "Nova\u0301k   4", grade: 8.8}\n'
        "specimens: [{at_verification: {tension: 0.000125 kN, refusals: 0}}]\n"
    )
    assert digest(part(good(record, "records/dti-lot"), *path)) == hashed(text)


@pytest.mark.parametrize(
    ("path", "text"),
    [
        (("covers", "bolt.diameter"), '[["127/10000","in"],"any other"]'),
        (
            ("tables", "minimum_tension", "rows"),
            r'{"\"A325\"":{"[\"127/10000\", \"in\"]":["12000","kN"]},"\"A490\"":["none",["1/2",""]]}',
        ),
        (
            ("terms", "verification_tension", "is"),
            '["expression",["*",["21/20",""],["cell","minimum_tension",["name","bolt","grade"],{"word":"any"}]]]',
        ),
    ],
)
def test_the_form_of_an_edition_is_frozen(path: tuple[str, ...], text: str) -> None:
    """Rules as their parse tree; figures that a later stage reads by value and unit, the rest as words."""
    edition = changed(EDITION, "[1/2 in, 5/8 in, 3/4 in, 7/8 in, 1 in]", '[0.500 in, any  other]')
    edition = changed(
        edition, "A325: {1/2 in: 12 kip, 5/8 in: 19 kip, 3/4 in: 28 kip, 7/8 in: 39 kip, 1 in: 51 kip}",
        "{A325: {0.50 in: 12.0 kN}, A490: [none, 0.5]}",
    )  # fmt: skip
    edition = changed(
        edition, "'nearest(1.05 * minimum_tension[bolt.grade, bolt.diameter], 1 kip, ties up)'",
        "'1.050 * (minimum_tension[bolt.grade, \"any\"])'",
    )  # fmt: skip
    shaped = good(edition, "edition")
    assert digest(part(shaped, *path), parsed(shaped)) == hashed(text)


def hashed(text: str) -> str:
    return "m1:" + hashlib.sha256(text.encode("ascii")).hexdigest()
