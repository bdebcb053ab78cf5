"""The engine gives what every conformance case states; where it is stricter, the case is named here with the reason."""

from __future__ import annotations

from typing import Any

import pytest

from conformance.engine import bare, outcome
from conformance.test_conformance_reference import CASES
from reference.plain import guessed
from tautbook.lang.quantity import Quantity
from tautbook.lang.values import Open

# id, or its beginning with `*` -> the code that the engine gives, and why.
STRICTER = {
    "date-14": ("date-range", "the calendar of the engine ends with 2199"),
    "date-15": ("date-range", "the calendar of the engine ends with 2199"),
    "date-16": ("date-range", "the calendar of the engine ends with 2199"),
    "date-17": ("date-range", "the calendar of the engine ends with 2199"),
    "refused-54": ("date-unknown", "a day that does not exist has a code of its own"),
    "refused-55": ("date-unknown", "a day that does not exist has a code of its own"),
    "refused-70": ("syntax", "the grammar knows only the two tie rules"),
    "refused-71": ("syntax", "the grammar knows only the two tie rules"),
    "problem-46": ("syntax", "the grammar knows only the two tie rules"),
    "problem-47": ("syntax", "the grammar knows only the two tie rules"),
    "refused-72": ("syntax", "the grammar knows that rounding takes a step"),
    "refused-73": ("syntax", "the grammar knows that rounding takes a step"),
    "problem-61": ("syntax", "the grammar knows that rounding takes a step"),
    "kind-interpolate-temperature": ("kind", "temperatures are only compared"),
    "state-nearest-*": ("arguments", "a rounding step is a figure written in the rule, never worked out"),
    "state-up-*": ("arguments", "a rounding step is a figure written in the rule, never worked out"),
    "state-down-*": ("arguments", "a rounding step is a figure written in the rule, never worked out"),
}


def stricter(case: dict[str, Any], found: object) -> bool:
    for name, (code, _) in STRICTER.items():
        named = case["id"] == name or (name.endswith("*") and case["id"].startswith(name[:-1]))
        if named and isinstance(found, tuple):
            return found == (code,)
    return False


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_the_engine_gives_what_a_case_states(case: dict[str, Any]) -> None:
    found = outcome(case["expression"], case["given"])
    if stricter(case, found):
        return
    if "problem" in case:
        assert isinstance(found, tuple) and case["problem"] in found, found
        return
    assert not isinstance(found, tuple), found
    stated = case["gives"]
    if "known" in stated:
        assert not isinstance(found, Open)
        assert bare(found) == guessed(stated["known"])
        return
    assert isinstance(found, Open)
    assert sorted(found.missing) == sorted(stated["missing"])
    assert {stuck.by for stuck in found.stuck} == set(stated["stuck"])
    if "lo" in stated or "hi" in stated:
        for bound, side in ((found.at_least, "lo"), (found.at_most, "hi")):
            assert (bound and bound.value) == (guessed(stated[side]) if side in stated else None) or (
                isinstance(bound, Quantity) and bound.value == guessed(stated[side])
            )


def test_every_name_of_a_stricter_case_is_a_case() -> None:
    for name in STRICTER:
        assert any(case["id"] == name or case["id"].startswith(name.removesuffix("*")) for case in CASES), name
