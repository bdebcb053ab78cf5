"""Conditions that others shadow: told where that is certain, and nowhere else."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import permutations, product
from pathlib import Path

import pytest

import tautbook.proofreading.shadowed as reading_shadowed
from tautbook import Shelf
from tautbook.editions.read import read_edition
from tautbook.lang.problem import show
from tautbook.proofreading.galley import galley
from tautbook.proofreading.proofread import proofread
from tautbook.proofreading.report import Finding
from tautbook.proofreading.shadowed import shadowed
from tautbook.proofreading.survey import survey

GOOD = (Path(__file__).parent / "good" / "edition.yaml").read_text(encoding="utf-8")
APPLIES = """'bolt.grade = "A325" or bolt.diameter > 5/8 in'"""
REQUIRE = "specimen.at_full_refusal.tension <= highest[bolt.grade, bolt.diameter]\n"
CODES = {"part-implied", "part-idle", "branch-never", "exception-implied", "requirement-implied"}


def findings(text: str) -> list[Finding]:
    edition, problems = read_edition(text.encode(), "edition.yaml")
    assert edition is not None, "\n".join(map(show, problems))
    found = proofread(edition, text.encode(), None, "edition.yaml").findings
    return [each for each in found if each.problem.code in CODES]


def with_rule(old: str, new: str) -> str:
    assert GOOD.count(old) == 1
    return GOOD.replace(old, new)


@pytest.mark.parametrize("name", ["2016", "2021", "2025"])
def test_nothing_is_shadowed_in_the_shipped_editions(name: str) -> None:
    shelf = Shelf.default()
    edition = shelf.edition("tern-sound", name)
    data, _, _ = shelf.bytes_of(edition.name)
    copy = galley(edition, data or b"", None, shelf.bytes_of)
    assert list(shadowed(copy, survey(edition))) == []


T = "specimen.at_full_refusal.tension"
LEAST, HIGHEST = "least[bolt.grade, bolt.diameter]", "highest[bolt.grade, bolt.diameter]"


@pytest.mark.parametrize(
    "rule",
    [
        # For A325 1/2 in the second limit is the lower one, for the other sizes the first.
        f"{T} <= {LEAST} or {T} <= {HIGHEST} - 8 kip",
        f"{T} <= 5 kip or specimen.at_verification.tension <= 3 kip",
        f"{T} <= 5 kip or {T} >= 6 kip",
        f"5 kip <= {T} <= 6 kip and {T} != 5.5 kip",
        # Another length of the chain; and a figure that no term makes the same.
        f"{T} <= 50 kip and 2 * {T} <= 90 kip",
        # Once it is recorded it always holds, but then it is recorded.
        '\'specimen.ended is one of {"fracture", "stripped", "seized"} and head_held\'',
        f"'(if {T} <= 5 kip then yes else if {T} <= 7 kip then head_held else no)'",
        f"{T} <= largest(3 kip, {LEAST}) and {T} >= smallest({LEAST}, {HIGHEST})",
    ],
)
def test_what_decides_somewhere_is_left_alone(rule: str) -> None:
    assert findings(with_rule(REQUIRE, rule + "\n")) == []


@pytest.mark.parametrize(
    ("kind", "more", "told"),
    [
        ("acceptance", "", True),
        ("acceptance", "        waivable_by: [Engineer]\n", False),
        ("advice", "", False),
        ("acceptance", "        unless: {light: {title: light, clause: '8', when: head_held}}\n", True),
    ],
)
def test_a_requirement_is_shadowed_only_by_one_of_which_the_same_comes(kind: str, more: str, told: bool) -> None:
    other = f"{REQUIRE}      near:\n        title: another rule\n        clause: '8'\n        kind: {kind}\n"
    other += f"        each: specimens\n        applies: bolt.diameter > 5/8 in\n{more}"
    other += f"        require: {T} <= {HIGHEST}\n"
    assert [each.problem.code for each in findings(with_rule(REQUIRE, other))] == ["requirement-implied"] * told


def test_the_only_value_that_is_covered_may_be_named() -> None:
    text = with_rule("{A325: {also: [Group 120]}, A490: {}}", "[A325]")
    assert findings(text.replace(APPLIES, "'bolt.grade = \"A325\" and head_held'")) == []


def test_a_shadow_for_some_calls_of_a_term_is_none() -> None:
    term = f"    is: 1.05 * {LEAST}\n"
    rule = f"if {LEAST} <= most and {LEAST} <= 40 kip then {LEAST} else 50 kip"
    with_argument = f"    of: {{most: force}}\n    is: '{rule}'\n"

    def told(other: str) -> list[str]:
        text = with_rule(term, with_argument).replace("tension >= wanted", "tension >= wanted(60 kip)")
        text = text.replace("<= wanted + 1 kip", f"<= wanted({other}) + 99 kip")
        return [each.problem.code for each in findings(text)]

    assert told("70 kip") == ["part-implied"]
    assert told("20 kip") == []


def test_of_what_is_too_much_to_compare_nothing_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    text = with_rule(REQUIRE, " or ".join(f"{T} <= {n} kip" for n in range(1, 6)) + "\n")
    assert [each.problem.code for each in findings(text)] == ["part-implied"] * 4
    monkeypatch.setattr(reading_shadowed, "MOST_COMPARED", 19)
    assert findings(text) == []


# Against trying all values


@dataclass(frozen=True)
class Rule:
    """A condition: ``word`` is and, or, not, or what is asked of the reading ``of``."""

    word: str
    parts: tuple[Rule, ...] = ()
    of: str = ""
    value: object = None

    def holds(self, at: dict[str, object], without: Rule | None = None, instead: bool = False) -> bool:
        if self is without:
            return instead
        parts = [part.holds(at, without, instead) for part in self.parts]
        if self.word == "and":
            return all(parts)
        if self.word == "or":
            return any(parts)
        if self.word == "not":
            return not parts[0]
        x, y = at[self.of], self.value
        return {"=": x == y, "!=": x != y}[self.word] if isinstance(y, str | bool) else bool(
            {"<": x < y, "<=": x <= y, ">": x > y, ">=": x >= y, "=": x == y, "!=": x != y}[self.word]  # type: ignore[operator]
        )

    def text(self, start: int, spans: Spans, above: Rule | None = None) -> str:
        """As the edition writes it, from ``start`` on; ``spans`` takes where each part stands."""
        if self.word == "not":
            said = f"not ({self.parts[0].text(start + 5, spans, self)})"
        elif self.parts:
            said = ""
            for part in self.parts:
                said += f" {self.word} (" if said else "("
                said += part.text(start + len(said), spans, self) + ")"
        else:
            value = {True: "yes", False: "no"}.get(self.value) if isinstance(self.value, bool) else self.value
            shown = f'"{value}"' if isinstance(self.value, str) else value
            said = f"{self.of} {self.word} {shown}"
        spans[start, start + len(said)] = self, above
        return said


Spans = dict[tuple[int, int], tuple[Rule, Rule | None]]
"""Parts by where they stand, each with what it is part of."""
NUMBER, WORD, YES = "specimen.at_full_refusal.refusals", "specimen.ended", "head_held"
ALL = [
    {NUMBER: number, WORD: word, YES: yes}
    for number, word, yes in product(range(12), ("fracture", "stripped", "seized"), (True, False))
]


def some_rule(dice: random.Random, depth: int) -> Rule:
    word = dice.choice(["and", "or", "and", "or", "not"]) if depth else ""
    if word == "not":
        return Rule("not", (some_rule(dice, depth - 1),))
    if word:
        return Rule(word, tuple(some_rule(dice, dice.randrange(depth)) for _ in range(dice.choice((2, 2, 3)))))
    of = dice.choice([NUMBER, NUMBER, NUMBER, WORD, YES])
    if of == NUMBER:
        return Rule(dice.choice(["<", "<=", ">", ">=", "=", "!="]), (), of, dice.randrange(1, 10))
    return Rule("=" if of == YES else dice.choice(["=", "!="]), (), of, dice.choice(
        [True, False] if of == YES else ["fracture", "stripped", "seized"]
    ))  # fmt: skip


def level(rule: Rule, word: str) -> Iterator[Rule]:
    """The parts of a junction, those of a junction of the same word inside it among them."""
    for part in rule.parts:
        yield from level(part, word) if part.word == word else (part,)


def shadows(rule: Rule) -> Iterator[tuple[Rule, Rule]]:
    """Parts that vary, each with one of the same junction that it says nothing besides."""
    parts = [(each, [each.holds(at) for at in ALL]) for each in level(rule, rule.word)]
    if any(set(values) == {rule.word == "or"} for _, values in parts):
        return
    for (one, a), (other, b) in permutations([(each, values) for each, values in parts if len(set(values)) == 2], 2):
        low, high = (b, a) if rule.word == "and" else (a, b)
        if all(y for x, y in zip(low, high, strict=True) if x):
            yield one, other


@pytest.mark.parametrize("seed", range(60))
def test_what_is_told_is_so_on_all_values_and_what_is_so_is_told(seed: int) -> None:
    rule = some_rule(random.Random(seed), 3)
    if not rule.parts:
        return
    start = GOOD.index(APPLIES) + 1
    spans: Spans = {}
    text = GOOD.replace(APPLIES, f"'{rule.text(start, spans)}'")
    told = []
    for finding in findings(text):
        span = finding.problem.span
        assert span is not None
        part, above = spans[span.start, span.end]
        assert above is not None and above.word in ("and", "or")
        told.append(part)
        # Without it the whole comes to the same on every value.
        assert all(rule.holds(at) is rule.holds(at, part, above.word == "and") for at in ALL), finding
    for junction, above in spans.values():
        if junction.word in ("and", "or") and (above is None or above.word != junction.word):
            for one, other in shadows(junction):
                assert any(each is one or each is other for each in told), (one, other)
