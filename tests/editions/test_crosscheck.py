"""Printed cells against the formula that they are said to follow."""

from __future__ import annotations

from pathlib import Path

import pytest

from tautbook.editions.read import read_edition

TEXT = (Path(__file__).parents[2] / "rulesets" / "tern-sound" / "2016.yaml").read_text(encoding="utf-8")


def found(*changes: tuple[str, str]) -> list[str]:
    text = TEXT
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    edition, problems = read_edition(text.encode(), "changed.yaml")
    assert (edition is None) == bool(problems)
    return [problem.message for problem in problems]


def test_the_shipped_tables_are_as_near_to_their_formulas_as_they_say() -> None:
    assert found() == []


def test_a_slip_of_two_digits_is_found_at_its_cell() -> None:
    (message,) = found(("3/4 in: 29 kip", "3/4 in: 92 kip"))
    assert message.startswith("`92 kip` for A325, 3/4 in is not within 0.5 kip of the formula")
    assert message.endswith("29.4 kip")


@pytest.mark.parametrize(("printed", "found_off"), [("29.9 kip", False), ("28.9 kip", False), ("29.91 kip", True)])
def test_the_edge_of_what_is_allowed_is_allowed(printed: str, found_off: bool) -> None:
    assert bool(found(("3/4 in: 29 kip", f"3/4 in: {printed}"))) is found_off


def test_a_cell_that_is_off_as_printed_is_listed_with_the_reason() -> None:
    exception = "        - {key: [A490, 7/8 in], why: the formula gives 48.48 kip and the table prints 49}\n"
    (message,) = found(("      except:\n" + exception, ""))
    assert message.startswith("`49 kip` for A490, 7/8 in is not within 0.5 kip") and "≈48.48 kip" in message


def test_a_key_in_another_spelling_is_the_same_key() -> None:
    assert found(("key: [A490, 7/8 in]", "key: [A490, 0.875 in]")) == []


def test_a_formula_that_says_nothing_of_a_cell_finds_nothing() -> None:
    assert found(("formula: up(indicator.spaces / 2, 1)", "formula: up(washers_between / 2, 1)")) == []
