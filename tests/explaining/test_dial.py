"""The mark of the dial to stop at, with and without a correction table."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tautbook.editions.edition import Edition
from tautbook.editions.read import read_edition
from tautbook.explaining.limits import Limit, limits_of
from tautbook.lang.problem import show
from tautbook.lang.quantity import read_quantity
from tautbook.lang.quantity import show as shown
from tautbook.lang.values import Data, Group, Items, Leaf
from tautbook.records.given import given_fields
from tautbook.shape.vocabulary import vocabulary

FILE = Path(__file__).parents[2] / "rulesets" / "tern-sound" / "2016.yaml"
GIVEN = ["bolt.grade=A325", "bolt.diameter=7/8 in", "indicator.spaces=5"]


def an_edition_that_corrects() -> Edition:
    """2016, with every reading corrected before it is compared."""
    text = FILE.read_text().replace(
        "  tensile_strength:\n",
        "  corrected:\n    title: tension with the correction of the certificate\n    of: {dial: force}\n"
        "    is: dial + interpolate(device.corrections.points, dial)\n  tensile_strength:\n",
    )
    reading = "specimen.at_verification.tension"
    text = text.replace(f"require: {reading}", f"require: corrected({reading})")
    edition, problems = read_edition(text.encode(), "corrected.yaml")
    assert edition is not None, [show(problem) for problem in problems]
    return edition


def points(*lines: tuple[str, str]) -> Items:
    def leaf(path: str, text: str) -> Leaf:
        value = read_quantity(text)
        assert not hasattr(value, "code")
        return Leaf(path, value, text)  # type: ignore[arg-type]  # no mistake, as was asserted

    where = "device.corrections.points"
    items: list[Data] = [
        Group(f"{where}[{i}]", {"dial": leaf(f"{where}[{i}].dial", dial),
                                "correction": leaf(f"{where}[{i}].correction", correction)})
        for i, (dial, correction) in enumerate(lines, 1)
    ]  # fmt: skip
    return Items(where, tuple(items))


def watched(edition: Edition, given: list[str], table: Items | None = None) -> dict[str, Limit]:
    words = vocabulary("dti-lot")
    assert words is not None
    known, problems = given_fields([*GIVEN, *given], words)
    assert not problems
    if table is not None:
        device = known.fields["device"]
        assert isinstance(device, Group)
        corrections = Group("device.corrections", {"points": table})
        device = replace(device, fields={**device.fields, "corrections": corrections})
        known = replace(known, fields={**known.fields, "device": device})
    found = limits_of(edition, edition.procedures["dti-lot"], words, known).limits
    return {each.requirement.watch: each for each in found if each.requirement.watch is not None}


def dials(limits: dict[str, Limit]) -> tuple[str | None, str | None]:
    stop, most = limits["load to stop at and count"].dial, limits["load not to pass"].dial
    return (None if stop is None else shown(stop)), (None if most is None else shown(most))


@pytest.mark.parametrize(
    ("graduation", "stop", "most"),
    [
        ("0.5 kip", "41 kip", "42 kip"),
        ("2 kip", "42 kip", "42 kip"),
        # 41 kip is 182.377 kN and 42 kip is 186.825 kN (1 lbf = 4.4482216152605 N exactly).
        ("1 kN", "183 kN", "186 kN"),
        ("500 lbf", "41000 lbf", "42000 lbf"),
    ],
)
def test_a_reading_compared_as_read_is_taken_to_the_next_mark(graduation: str, stop: str, most: str) -> None:
    edition, _ = read_edition(FILE.read_bytes(), "2016.yaml")
    assert edition is not None
    assert dials(watched(edition, [f"device.graduation={graduation}"])) == (stop, most)


def test_without_the_graduation_there_is_no_mark() -> None:
    edition, _ = read_edition(FILE.read_bytes(), "2016.yaml")
    assert edition is not None
    assert dials(watched(edition, [])) == (None, None)


def test_a_correction_is_inverted_and_taken_up_to_the_next_mark() -> None:
    # On the line from (40, -0.4) to (50, -0.8) the dial d shows d - 0.4 - 0.04 (d - 40) of true tension:
    # 41 kip true is d = 39.8 / 0.96 = 41.458..., the next half is 41.5; 42 kip true is 42.5 exactly.
    table = points(("0 kip", "0 kip"), ("40 kip", "-0.4 kip"), ("50 kip", "-0.8 kip"))
    found = watched(an_edition_that_corrects(), ["device.graduation=0.5 kip"], table)
    assert dials(found) == ("41.5 kip", "42.5 kip")


def test_beyond_the_certificate_there_is_no_mark() -> None:
    table = points(("0 kip", "0 kip"), ("40 kip", "-0.4 kip"))
    found = watched(an_edition_that_corrects(), ["device.graduation=0.5 kip"], table)
    assert dials(found) == (None, "40 kip")


def test_without_the_correction_table_there_is_no_mark() -> None:
    assert dials(watched(an_edition_that_corrects(), ["device.graduation=0.5 kip"])) == (None, None)


def test_too_many_marks_to_try_give_none() -> None:
    table = points(("0 kip", "0 kip"), ("900 kip", "-0.4 kip"))
    found = watched(an_edition_that_corrects(), ["device.graduation=1 lbf"], table)
    assert dials(found) == (None, None)
