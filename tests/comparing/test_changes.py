"""What changed between two editions, in wording: nothing is missed, nothing is told that is not so."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from comparing.editions import EVERY_MEMBER, Way, at, changes_of, digest_of, good, put, turned, ways, without, written
from reference.generate import seeded
from tautbook import Shelf
from tautbook.comparing.change import Change
from tautbook.comparing.changes import changes, compared
from tautbook.comparing.changes_rules import rule_changes
from tautbook.editions.edition import AsWritten
from tautbook.editions.shelf import read_edition_file
from tautbook.lang.parse import parse_text
from tautbook.lang.surface_json import surface_json
from tautbook.lang.tree import Scalar, Sequence, Tree
from tautbook.shape.schemas import load_schema

BASE = good(EVERY_MEMBER)
NAMES = {("ruleset",), ("edition",), ("language",)}
PAIRS = [("2016", "2021"), ("2021", "2025"), ("2016", "2025")]


def told(found: tuple[Change, ...]) -> list[tuple[str, str, str | None, str | None, str]]:
    return [(each.where, each.how, each.before, each.after, each.detail) for each in found]


def mirrored(found: tuple[Change, ...]) -> Counter[tuple[str, str | None, str | None]]:
    other = {"added": "removed", "removed": "added"}
    return Counter((other.get(each.how, each.how), each.after, each.before) for each in found)


def as_told(found: tuple[Change, ...]) -> Counter[tuple[str, str | None, str | None]]:
    return Counter((each.how, each.before, each.after) for each in found)


# Every single change is found


OTHERWISE = {
    "acceptance": "advice", "setup": "acceptance", "advice": "acceptance", "passes": "failures", "clamp": "refuse",
    "invented": "common practice", "published": "from memory", "true": "false", "force": "length", "whole": "number",
    "choice": "text", "quantity": "number", "number": "whole number", "3": "4", "2021": "2022",
    "2021-07-01": "2021-07-02", "2031-06-30": "2031-07-01", "2021-06-30": "2021-06-29",
}  # fmt: skip
"""Another text where only some can stand."""


def other_texts(text: str) -> Iterator[str]:
    """Other texts for the same place; several are tried, since not all of them fit there."""
    if text in OTHERWISE:
        yield OTHERWISE[text]
    elif text[0].isdigit():
        yield from ("13.5 kip", "1/4", "7 months", f"{text}x", f"{text} + 1")
    else:
        yield from (f"{text}x", f"not ({text})", f"2 * {text}", text.replace("6 months", "1 year"))


def changed_at(way: Way, part: Scalar) -> AsWritten:
    for text in other_texts(part.text):
        found = written(put(way, text))
        if found is not None and digest_of(found) != digest_of(BASE):
            return found
    raise AssertionError(f"no other text fits at {way}")


def a_name(way: Way) -> bool:
    """Whether the text there is what its item is known by: with another one, one goes and another comes."""
    return way[:2] == ("covers", "bolt.diameter") or way == ("programme", 0, "procedure")


BOUND = {("fields", "wind", "kind"), ("procedures", "dti-lot", "requirements", "reached", "kind")}
"""Kinds whose other members (`dimension`, `voids`) fit no other."""
SCALARS = [
    (way, part) for way, part in ways(EVERY_MEMBER) if isinstance(part, Scalar) and way not in NAMES | BOUND
]  # fmt: skip


@pytest.mark.parametrize(("way", "part"), SCALARS, ids=[".".join(map(str, way)) for way, _ in SCALARS])
def test_another_text_in_any_one_place_is_one_change(way: Way, part: Scalar) -> None:
    other = changed_at(way, part)
    found = compared(BASE, other)
    assert [each.how for each in found] in (
        [["added", "removed"]] if a_name(way) else [["renumbered"]] if way[-1] == "clause" else [["changed"]]
    )
    assert mirrored(found) == as_told(compared(other, BASE))


MUST_STAND = {
    "ruleset", "edition", "language", "title", "effective", "months", "sources", "covers", "procedures", "from", "by",
    "source", "rows", "of", "is", "kind", "description", "standing", "requirements", "require", "absent", "what",
    "procedure", "for_each", "checked", "crosscheck", "reading", "unless", "also", "options", "dimension",
}  # fmt: skip
"""What an edition, or one of its items, is none without; or what holds such a member."""
PARTS = [way for way, _ in ways(EVERY_MEMBER) if way and way not in NAMES]


@pytest.mark.parametrize("way", PARTS, ids=[".".join(map(str, way)) for way in PARTS])
def test_whatever_is_taken_out_is_told(way: Way) -> None:
    """Where the edition is none without it, it cannot be taken out."""
    other = written(without(way))
    if other is None:
        assert any(part in way for part in MUST_STAND) or isinstance(way[-1], int), way
        return
    found = compared(BASE, other)
    assert found and mirrored(found) == as_told(compared(other, BASE))
    assert len({each.id for each in found}) == len(found)


def lists() -> list[Way]:
    return [way for way, part in ways(EVERY_MEMBER) if isinstance(part, Sequence) and len(part.items) > 1]


@pytest.mark.parametrize("way", lists(), ids=[".".join(map(str, way)) for way in lists()])
def test_another_order_of_a_list_is_one_change(way: Way) -> None:
    def backwards(part: Tree) -> Tree:
        assert isinstance(part, Sequence)
        return replace(part, items=part.items[::-1])

    (found,) = changes_of(EVERY_MEMBER, at(EVERY_MEMBER, way, backwards))
    assert found.how == "changed"


def members(schema: Mapping[str, Any], above: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Every member that a schema knows; ``*`` stands for names that an edition gives, and for places in a list."""
    for key, below in schema.get("properties", {}).items():
        yield (*above, key)
        yield from members(below, (*above, key))
    for below in (schema.get("additionalProperties"), schema.get("items")):
        if isinstance(below, Mapping):
            yield from members(below, (*above, "*"))
    for below in schema.get("oneOf", ()):
        yield from members(below, above)


def test_the_sample_has_every_member_that_an_edition_can_have() -> None:
    places = [way for way, _ in ways(EVERY_MEMBER)]
    for known in members(load_schema("edition")):
        assert any(
            len(way) == len(known) and all(a in ("*", b) for a, b in zip(known, way, strict=True)) for way in places
        ), known


# What is no change


def test_an_edition_and_itself_differ_in_nothing() -> None:
    shelf = Shelf.default()
    for name in ("2016", "2021", "2025"):
        edition = shelf.edition("tern-sound", name)
        assert changes(edition, edition) == ()


@pytest.mark.parametrize(
    ("way", "text"),
    [
        (("tables", "load", "rows", "Group 120", "1/2 in"), "12.0 kip"),
        (("tables", "load", "crosscheck", "formula"), "1.050 * threads[bolt.diameter]"),
        (("tables", "load", "note"), "Whole   kips."),
        (("covers", "bolt.diameter", 1), "3/4 in"),
        (("terms", "needed", "is"), "(nearest((1.050*load[bolt.grade,bolt.diameter]), 1 kip, ties up) + tension)"),
        (("procedures", "dti-lot", "requirements", "age", "require"), "tested<=device.calibrated+6 months"),
    ],
)
def test_the_same_written_otherwise_is_no_change(way: Way, text: str) -> None:
    other = good(put(way, text))
    assert digest_of(other) == digest_of(BASE)
    assert compared(BASE, other) == ()


def test_the_order_in_which_a_term_takes_its_arguments_is_one() -> None:
    """Although it is an order of keys: another order does other things, and is another digest."""
    old = Path(__file__).with_name("every-member.yaml").read_text(encoding="utf-8")
    old = old.replace("of: {tension: force}", "of: {tension: force, other: force}")
    new = old.replace("of: {tension: force, other: force}", "of: {other: force, tension: force}")
    assert told(changes_of(old, new)) == [
        ("needed, of", "changed", "tension: force; other: force", "other: force; tension: force", "another order")
    ]


def test_the_order_of_keys_is_no_change() -> None:
    assert changes_of(EVERY_MEMBER, turned(EVERY_MEMBER)) == ()


def test_the_names_of_the_editions_are_no_change() -> None:
    assert changes_of(EVERY_MEMBER, put(("edition",), "two")) == ()


# How a change is told


def one(way: Way, text: str) -> Change:
    (found,) = changes_of(EVERY_MEMBER, put(way, text))
    return found


def rule(text: str) -> str:
    """What became of the rule for the age of the calibration."""
    return one(("procedures", "dti-lot", "requirements", "age", "require"), text).detail


def test_a_figure_stands_beside_the_earlier_one() -> None:
    found = one(("tables", "load", "rows", "Group 120", "1/2 in"), "13 kip")
    assert found == Change(
        "tables.load.rows.Group 120.1/2 in", "table", "Table 1, load [Group 120, 1/2 in]", "changed", "12 kip",
        "13 kip", "1 kip more (≈8.333 %)", ("tables", "load", "rows", "Group 120", "1/2 in"), "Table 1, load",
        "Group 120, 1/2 in", "load",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("after", "detail"),
    [
        ("9 kip", "3 kip less (25 %)"),
        ("12.4 kip", "0.4 kip more (≈3.333 %)"),
        ("60 kN", "≈6.621 kN more (≈12.4 %)"),
        ("12000 lbf", "the same, in another unit"),
        ("1 in", ""),
    ],
)
def test_differences_are_exact_or_say_that_they_are_rounded(after: str, detail: str) -> None:
    assert one(("tables", "load", "rows", "Group 120", "1/2 in"), after).detail == detail


def test_figures_of_a_table_with_one_unit_for_all_are_shown_with_it() -> None:
    found = one(("tables", "turn", "rows", "up to 4"), "1/2")
    assert (found.where, found.before, found.after, found.detail) == (
        "turn [up to 4]", "1/3 turn", "1/2 turn", "1/6 turn more (50 %)"
    )  # fmt: skip


def test_only_the_clause_number() -> None:
    found = one(("procedures", "dti-lot", "requirements", "reached", "clause"), "3.9")
    assert (found.what, found.where, found.how, found.before, found.after) == (
        "requirement", "dti-lot, reached, clause", "renumbered", "3.2", "3.9"
    )  # fmt: skip


def test_what_words_of_an_edition_mean_is_said() -> None:
    found = one(("months",), "roll over")
    assert found.detail == "from the last day of the month to that many days on in the next month"
    found = one(("procedures", "dti-lot", "requirements", "age", "kind"), "advice")
    assert found.detail == "from deciding whether the material passes to advice that decides nothing"


def test_a_renamed_term_is_told_as_renamed_and_where_it_is_used() -> None:
    old = Path(__file__).with_name("every-member.yaml").read_text(encoding="utf-8")
    found = changes_of(old, old.replace("needed:", "load_needed:").replace(">= needed", ">= load_needed"))
    assert told(found) == [
        ("load_needed, name", "changed", "needed", "load_needed", "renamed"),
        ("dti-lot, reached, require", "changed", "specimen.at_verification.tension >= needed",
         "specimen.at_verification.tension >= load_needed", "`needed` became `load_needed`"),
    ]  # fmt: skip


def test_a_requirement_that_moved_to_another_procedure_says_so() -> None:
    old = Path(__file__).with_name("every-member.yaml").read_text(encoding="utf-8")
    line = "      paper: {title: certificates, kind: advice, absent: nobody can tell}\n"
    stays = "      other: {title: other, kind: advice, absent: nobody can tell}\n"
    shorter = f"  dti-installed:\n    requirements:\n{stays}"
    new = old.replace(line, "").replace("left_to_people:", f"{shorter}{line}left_to_people:")
    found = changes_of(old.replace("left_to_people:", f"{shorter}left_to_people:"), new)
    assert [(each.where, each.how, each.detail) for each in found] == [
        ("dti-lot, paper", "removed", "moved to dti-installed, paper"),
        ("dti-installed, paper", "added", "moved from dti-lot, paper"),
    ]


def test_where_two_could_be_the_renamed_one_both_are_new() -> None:
    old = Path(__file__).with_name("every-member.yaml").read_text(encoding="utf-8")
    line = "  site: {kind: choice, options: [shop, field], title: site, description: Where.}\n"
    assert line in old
    twice = line.replace("site:", "place:") + line.replace("site:", "spot:")
    found = changes_of(old, old.replace(line, twice))
    assert [(each.where, each.how) for each in found] == [("place", "added"), ("spot", "added"), ("site", "removed")]


def test_a_value_known_by_another_name_keeps_its_figures() -> None:
    old = Path(__file__).with_name("every-member.yaml").read_text(encoding="utf-8")
    new = old.replace("Group 150: {}", "Grade 150: {also: [Group 150]}").replace("Group 150: {1/2", "Grade 150: {1/2")
    found = changes_of(old, new.replace("15 kip", "16 kip"))
    assert told(found) == [
        ("bolt.grade [Grade 150]", "changed", "Group 150", "Grade 150", "renamed"),
        ("bolt.grade [Grade 150], also", "added", None, "Group 150", ""),
        ("Table 1, load [Grade 150]", "changed", "Group 150", "Grade 150", "renamed"),
        ("Table 1, load [Grade 150, 1/2 in]", "changed", "15 kip", "16 kip", "1 kip more (≈6.667 %)"),
    ]


# Rules


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("a >= 3", "a > 3", "`at least 3` became `more than 3`"),
        ("a <= b", "a < b", "`at most` became `less than`, before `b`"),
        ("3 <= a <= 5", "3 <= a <= 6", "`at most 5` became `at most 6`, 1 more (20 %)"),
        ("3 <= a <= 5", "2 <= a <= 5", "`at least 3` became `at least 2`, 1 less (≈33.33 %)"),
        ("nearest(a, 1 kip, ties up)", "nearest(a, 1 kip, ties even)",
         "rounded to the nearest 1 kip: `ties up` became `ties even`"),
        ("nearest(a, 1 kip, ties up)", "down(a, 1 kip)",
         "`rounded to the nearest 1 kip, ties up` became `rounded down in steps of 1 kip`"),
        ("nearest(1.05 * a, 1 kip, ties up)", "1.05 * a", "no longer rounded to the nearest 1 kip, ties up"),
        ("1.05 * a", "up(1.1 * a, 1 kip)",
         "now rounded up in steps of 1 kip; `1.05` became `1.1`, 0.05 more (≈4.762 %)"),
        ("d <= c + 6 months", "d <= c + 12 months", "`6 months` became `12 months`, 6 months more"),
        ("a and b", "a or b", "`and` became `or`"),
        ("a and b", "b and a", "the order of what `and` joins changed"),
        ("a", "a and b and not c", "`and b` was added; `and not c` was added"),
        ("a or b or c", "a or c", "`or b` was taken out"),
        ("a and b > 1", "b > 2 and a", "`more than 1` became `more than 2`, 1 more (100 %)"),
        ("a", "not a", "`not` was put before `a`"),
        ("not a", "a", "`not` was taken away before `a`"),
        ("a <= b + 1 kip", "a <= b", "`+ 1 kip` was taken away after `b`"),
        ("a <= b", "a <= 1.05 * b", "`1.05 *` was added before `b`"),
        ("a", "a * (b + c)", "`* (b + c)` was added after `a`"),
        ("a - b", "a + b", "`-` became `+`"),
        ('a is one of {"x", "y"}', 'a is one of {"y", "z"}',
         '`"x"` is none of the choices any more; `"z"` was added to the choices'),
        ("if a then b else c", "if a then d else c", "`b` became `d`"),
        ("b", "if a then c else b", "where `a`, `b` became `c`"),
        ("if a then c else b", "c", "except where `a`, `b` became `c`"),
        ("x[a, b]", "y[a, b]", "table `x` became table `y`"),
        ("largest(items, item.a)", "mean(items, item.a)", "`largest` became `mean`"),
        ("a.b <= c", "f(a.b) <= c", "`f` was put around `a.b`"),
        ("a <= abs(b)", "a <= b", "`abs` was taken away around `b`"),
        ("a <= f(b)", "a <= g(c, b)", "`f(b)` became `g(c, b)`"),
        ("a > 1", 'b = "x"', ""),
        ("1.05", "1.1", "0.05 more (≈4.762 %)"),
        ("a < 1 ft", "a < 12 in", "`less than 1 ft` became `less than 12 in`, the same, in another unit"),
    ],
)  # fmt: skip
def test_what_changed_in_a_rule(old: str, new: str, told: str) -> None:
    before, after = (parse_text(text)[0] for text in (old, new))
    assert before is not None and after is not None
    assert "; ".join(rule_changes(before, after)) == told


def test_rules_are_compared_however_little_they_have_in_common() -> None:
    """Every pair of generated rules: nothing is told exactly if they are the same or share nothing."""
    trees = [tree for text, _ in seeded(60, 7) if (tree := parse_text(text)[0]) is not None]
    shared = 0
    for a in trees:
        for b in trees:
            phrases = rule_changes(a, b)
            shared += bool(phrases)
            if surface_json(a) == surface_json(b):
                assert phrases == ()
            assert all(phrases), (a, b)
    assert shared > len(trees)


def test_a_deep_rule_is_compared_in_little_time() -> None:
    """What was found of two parts is kept: nested wrappings would take for ever otherwise."""
    old, new = "a", "b"
    for _ in range(12):
        old, new = f"up({old} + 1, 1)", f"down(1 + {new}, 1)"
    before, after = parse_text(old)[0], parse_text(new)[0]
    assert before is not None and after is not None
    rule_changes(before, after)


# The shipped editions


@pytest.mark.parametrize(("old", "new"), PAIRS)
def test_both_ways_between_the_shipped_editions(old: str, new: str) -> None:
    shelf = Shelf.default()
    a, b = shelf.edition("tern-sound", old), shelf.edition("tern-sound", new)
    there, back = changes(a, b), changes(b, a)
    assert mirrored(there) == as_told(back)
    assert len({each.id for each in there}) == len(there)


def test_an_amended_edition_is_compared_whole() -> None:
    """The 2025 edition states only what changes; the same, stated whole, does not differ from it."""
    whole, problems = read_edition_file(Path(__file__).parents[1] / "editions" / "tern-sound-2025-whole.yaml")
    assert whole is not None, problems
    assert changes(Shelf.default().edition("tern-sound", "2025"), whole) == ()
