"""Quantities: read exactly, written so that they are read back, and never guessed from a wrong spelling."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tautbook.lang.misspelt import _MEANT, _NOTES
from tautbook.lang.number import LONGEST
from tautbook.lang.quantity import (
    ANGLE,
    DIMENSIONLESS,
    DURATION,
    FORCE,
    LENGTH,
    MASS,
    ONE,
    STRESS,
    TEMPERATURE,
    TORQUE,
    UNITS,
    Dimension,
    Mistake,
    Quantity,
    Unit,
    coherent,
    number,
    read_quantity,
    show,
)

CANONICAL = sorted({unit.name: unit for unit in UNITS.values()}.values(), key=lambda unit: unit.name)
LBF = Fraction("4.4482216152605")
INCH = Fraction("0.0254")


@pytest.mark.parametrize(
    ("text", "value", "dimension", "shown"),
    [
        ("41 kip", 41000 * LBF, FORCE, "41 kip"),
        ("29.40 kip", 29400 * LBF, FORCE, "29.4 kip"),
        ("182.4 kN", Fraction(182400), FORCE, "182.4 kN"),
        ("7/8 in", Fraction(7, 8) * INCH, LENGTH, "7/8 in"),
        ("0.875 in", Fraction(7, 8) * INCH, LENGTH, "7/8 in"),
        ("1-1/8 in", Fraction(9, 8) * INCH, LENGTH, "1-1/8 in"),
        ("-1-1/8 in", Fraction(-9, 8) * INCH, LENGTH, "-1-1/8 in"),
        ("9/8 in", Fraction(9, 8) * INCH, LENGTH, "1-1/8 in"),
        ("-1/2 in", -INCH / 2, LENGTH, "-1/2 in"),
        ("1/128 in", INCH / 128, LENGTH, "0.0078125 in"),
        ("0.005 in", 5 * INCH / 1000, LENGTH, "0.005 in"),
        ("4 in", 4 * INCH, LENGTH, "4 in"),
        ("1/2 mm", Fraction(1, 2000), LENGTH, "0.5 mm"),
        ("100/3 kip", 100000 * LBF / 3, FORCE, "100/3 kip"),
        ("2/3 turn", Fraction(240), ANGLE, "2/3 turn"),
        ("1-1/3 turns", Fraction(480), ANGLE, "1-1/3 turn"),
        ("0.2 turn", Fraction(72), ANGLE, "0.2 turn"),
        ("120 degrees", Fraction(120), ANGLE, "120 degree"),
        ("68 degF", Fraction("293.15"), TEMPERATURE, "68 degF"),
        ("-40 degC", Fraction("233.15"), TEMPERATURE, "-40 degC"),
        ("10 %", Fraction(1, 10), DIMENSIONLESS, "10 %"),
        ("3", Fraction(3), DIMENSIONLESS, "3"),
        ("29.4", Fraction("29.4"), DIMENSIONLESS, "29.4"),
        ("2/6", Fraction(1, 3), DIMENSIONLESS, "1/3"),
        ("-0", Fraction(0), DIMENSIONLESS, "0"),
        ("-0 kip", Fraction(0), FORCE, "0 kip"),
        ("90 minutes", Fraction(5400), DURATION, "90 minute"),
    ],
)
def test_read_and_shown(text: str, value: Fraction, dimension: Dimension, shown: str) -> None:
    for wanted in (dimension, None):
        quantity = read_quantity(text, wanted)
        assert isinstance(quantity, Quantity)
        assert (quantity.value, quantity.dimension) == (value, dimension)
        assert show(quantity) == shown


@pytest.mark.parametrize("name", sorted(UNITS))
def test_every_accepted_spelling_is_read(name: str) -> None:
    quantity = read_quantity(f"1.5 {name}", UNITS[name].dimension)
    assert isinstance(quantity, Quantity)
    assert quantity.unit == UNITS[name]
    assert quantity.magnitude == Fraction(3, 2)


magnitudes = st.fractions(-(10**9), 10**9, max_denominator=10**6) | st.builds(
    Fraction, st.integers(-500, 500), st.sampled_from([2, 3, 4, 6, 8, 16, 32, 64, 128])
) | st.decimals(-(10**9), 10**9, places=8).map(Fraction)  # fmt: skip


@given(magnitudes, st.sampled_from([ONE, *CANONICAL]))
@example(Fraction(1, 2**100), ONE)
@example(Fraction(1, 2**100), UNITS["kip"])
def test_what_is_shown_is_read_back(magnitude: Fraction, unit: Unit) -> None:
    quantity = Quantity(magnitude * unit.scale + unit.offset, unit)
    assert quantity.magnitude == magnitude
    back = read_quantity(show(quantity), unit.dimension)
    assert isinstance(back, Quantity)
    assert (back.value, back.unit) == (quantity.value, quantity.unit)
    assert show(back) == show(quantity)


@given(magnitudes, st.sampled_from(CANONICAL), st.sampled_from(CANONICAL))
def test_another_unit_shows_the_same_quantity(magnitude: Fraction, unit: Unit, other: Unit) -> None:
    quantity = Quantity(magnitude * unit.scale + unit.offset, unit)
    if unit.dimension == other.dimension:
        converted = quantity.in_unit(other)
        assert converted == quantity and hash(converted) == hash(quantity)
        assert converted.unit is other
        assert converted.magnitude * other.scale + other.offset == quantity.value
    else:
        with pytest.raises(ValueError, match="does not measure"):
            quantity.in_unit(other)


def test_equality() -> None:
    assert read_quantity("1/2 in") == read_quantity("0.5 in") == read_quantity("12.7 mm")
    assert read_quantity("10 %") == number(Fraction(1, 10))
    assert Quantity(Fraction(1), UNITS["m"]) != Quantity(Fraction(1), UNITS["N"])
    assert number(1) != 1
    assert len({number(1), number(Fraction(2, 2)), number(2)}) == 2


def test_a_spelled_unit_is_shown() -> None:
    assert show(Quantity(Fraction(7, 2), coherent(FORCE / LENGTH))) == "3.5 kg / s2"


FORCES = "units of force: kip, lbf, kN, N"
LENGTHS = "units of length: in, ft, mm, cm, m"
FORM = "a quantity is a number, one space and a unit, such as `1 kip`"

# Every row: what is written, the dimension wanted, the code, the help, the part pointed at.
WRONG: list[tuple[str, Dimension | None, str, str | None, str]] = [
    # units
    ("41 kips", FORCE, "unit-unknown", "write `41 kip`", "kips"),
    ("41 KIP", FORCE, "unit-unknown", "write `41 kip`", "KIP"),
    ("41 Kips", None, "unit-unknown", "write `41 kip`", "Kips"),
    ("41 k", FORCE, "unit-unknown", "write `41 kip`", "k"),
    ("41 lbs", FORCE, "unit-unknown", "write `41 lbf`", "lbs"),
    ("41 lbs", MASS, "unit-unknown", "write `41 lb`", "lbs"),
    ("41 lbs", None, "unit-unknown", "write `41 lbf` or `41 lb`", "lbs"),
    ("41 lb", FORCE, "unit-dimension", "write `41 lbf`", "lb"),
    ("41 kgf", FORCE, "unit-unknown", "write the force in kip, lbf, kN or N", "kgf"),
    ("41 tonf", FORCE, "unit-unknown", "write the force in kip, lbf, kN or N", "tonf"),
    ("41 kn", FORCE, "unit-unknown", "write `41 kN`", "kn"),
    ("41 KN", None, "unit-unknown", "write `41 kN`", "KN"),
    ('7/8"', LENGTH, "unit-unknown", "write `7/8 in`", '"'),
    ("7/8 inch", LENGTH, "unit-unknown", "write `7/8 in`", "inch"),
    ("4 inches", None, "unit-unknown", "write `4 in`", "inches"),
    ("7/8 in.", LENGTH, "unit-unknown", "write `7/8 in`", "in."),
    ("5'", LENGTH, "unit-unknown", "write `5 ft`", "'"),
    ("5 feet", LENGTH, "unit-unknown", "write `5 ft`", "feet"),
    ("5 feet", FORCE, "unit-unknown", FORCES, "feet"),
    ("5 mil", LENGTH, "unit-unknown", "1 mil is `0.001 in`: write the length in in or mm", "mil"),
    ("5 ft-lb", TORQUE, "unit-unknown", "write `5 ft-lbf`", "ft-lb"),
    ("5 ft·lbf", TORQUE, "unit-unknown", "write `5 ft-lbf`", "ft·lbf"),
    ("5 lbf-ft", TORQUE, "unit-unknown", "write `5 ft-lbf`", "lbf-ft"),
    ("5 Nm", TORQUE, "unit-unknown", "write `5 N-m`", "Nm"),
    ("5 N·m", TORQUE, "unit-unknown", "write `5 N-m`", "N·m"),
    ("5 N m", TORQUE, "unit-unknown", "write `5 N-m`", "N m"),
    ("5 kip-ft", TORQUE, "unit-unknown", "write the torque in ft-lbf, in-lbf, N-m or kN-m", "kip-ft"),
    ("5 deg", ANGLE, "unit-unknown", "write `5 degree`", "deg"),
    ("5°", ANGLE, "unit-unknown", "write `5 degree`", "°"),
    ("5 °", TEMPERATURE, "unit-unknown", "write `5 degF` or `5 degC`", "°"),
    ("5°F", TEMPERATURE, "unit-unknown", "write `5 degF`", "°F"),
    ("5 F", None, "unit-unknown", "write `5 degF`", "F"),
    ("5 deg C", None, "unit-unknown", "write `5 degC`", "deg C"),
    ("1/2 rev", ANGLE, "unit-unknown", "write `1/2 turn`", "rev"),
    ("5 sec", DURATION, "unit-unknown", "write `5 second`", "sec"),
    ("5 min", DURATION, "unit-unknown", "write `5 minute`", "min"),
    ("5 hr", DURATION, "unit-unknown", "write `5 hour`", "hr"),
    ("5 m", DURATION, "unit-dimension", "write `5 minute`", "m"),
    ("5 pct", DIMENSIONLESS, "unit-unknown", "write `5 %`", "pct"),
    ("5 percent", None, "unit-unknown", "write `5 %`", "percent"),
    ("5 tunr", ANGLE, "unit-unknown", "write `5 turn`", "tunr"),
    ("5 xyzzy", FORCE, "unit-unknown", FORCES, "xyzzy"),
    ("5 xyzzy", DIMENSIONLESS, "unit-unknown", "write a number without a unit, or in %", "xyzzy"),
    ("5 " + "x" * 60, FORCE, "unit-unknown", FORCES, "x" * 60),
    ("  5 kips", FORCE, "unit-unknown", "write `5 kip`", "kips"),
    # no unit, another dimension
    ("41", FORCE, "unit-missing", f"write its unit after a space; {FORCES}", "41"),
    ("-0", FORCE, "unit-missing", f"write its unit after a space; {FORCES}", "-0"),
    ("1-1/8", LENGTH, "unit-missing", f"write its unit after a space; {LENGTHS}", "1-1/8"),
    ("1-1/8", None, "unit-missing", "write a unit after it, or `9/8` for the number", "1-1/8"),
    ("1-1/8", DIMENSIONLESS, "unit-missing", "write a unit after it, or `9/8` for the number", "1-1/8"),
    ("41 in", FORCE, "unit-dimension", FORCES, "in"),
    ("41 kip", DIMENSIONLESS, "unit-dimension", "write a number without a unit, or in %", "kip"),
    ("41 kip", FORCE * FORCE, "unit-dimension", "no unit of this dimension can be written", "kip"),
    # the number
    ("41,000 lbf", FORCE, "number-form", "write `41000 lbf`", "41,000 lbf"),
    ("1,234.5 lbf", FORCE, "number-form", "write `1234.5 lbf`", "1,234.5 lbf"),
    ("41,5 kN", FORCE, "number-form", "write `41.5 kN`", "41,5 kN"),
    ("41 000 lbf", FORCE, "number-form", "write `41000 lbf`", "41 000 lbf"),
    ("1_000 kip", FORCE, "number-form", "write `1000 kip`", "1_000 kip"),
    ("7 / 8 in", LENGTH, "number-form", "write `7/8 in`", "7 / 8 in"),
    ("1 1/8 in", LENGTH, "number-form", "write `1-1/8 in`", "1 1/8 in"),
    ('1 1/8"', LENGTH, "number-form", "write `1-1/8 in`", '1 1/8"'),
    ("1 - 1/8 in", LENGTH, "number-form", "write `1-1/8 in`", "1 - 1/8 in"),
    ("7/8-in", LENGTH, "number-form", "write `7/8 in`", "7/8-in"),
    ("½ in", LENGTH, "number-form", "write `1/2 in`", "½ in"),
    ("1½ in", LENGTH, "number-form", "write `1-1/2 in`", "1½ in"),
    ("1 ½ in", LENGTH, "number-form", "write `1-1/2 in`", "1 ½ in"),
    ("４１ kip", FORCE, "number-form", "write `41 kip`", "４１ kip"),
    ("−5 degC", TEMPERATURE, "number-form", "write `-5 degC`", "−5 degC"),
    ("- 5 degC", TEMPERATURE, "number-form", "write `-5 degC`", "- 5 degC"),
    ("+5 kip", FORCE, "number-form", "write `5 kip`", "+5 kip"),
    (".5 kip", FORCE, "number-form", "write `0.5 kip`", ".5 kip"),
    ("5. kip", FORCE, "number-form", "write `5 kip`", "5. kip"),
    ("010 kip", FORCE, "number-form", "write `10 kip`", "010"),
    ("00.5 kip", FORCE, "number-form", "write `0.5 kip`", "00.5"),
    ("1-01/08 in", LENGTH, "number-form", "write `1-1/8 in`", "1-01/08"),
    ("1-09/8 in", LENGTH, "number-form", None, "1-09/8"),
    ("010kip", FORCE, "number-form", "write `10 kip`", "010kip"),
    ("1e3 kip", FORCE, "number-form", "write `1000 kip`", "1e3 kip"),
    ("1E-3 in", LENGTH, "number-form", "write `0.001 in`", "1E-3 in"),
    ("1e999 kip", FORCE, "number-form", FORM, "1e999 kip"),
    ("01.0e1 kip", FORCE, "number-form", "write `10 kip`", "01.0e1 kip"),
    ("41,5 xyzzy", FORCE, "number-form", FORM, "41,5 xyzzy"),
    ("41,000", FORCE, "number-form", FORM, "41,000"),
    ("41,000", DIMENSIONLESS, "number-form", "write `41000`", "41,000"),
    ("1/0 in", LENGTH, "number-form", "write a number above 0 under the line", "1/0"),
    ("1-9/8 in", LENGTH, "number-form", "write `2-1/8 in` if that is meant", "1-9/8"),
    ("1-8/8 in", LENGTH, "number-form", "write `2 in` if that is meant", "1-8/8"),
    ("1-9/8 in", FORCE, "number-form", None, "1-9/8"),
    ("1.2.3 kip", FORCE, "number-form", FORM, "1.2.3 kip"),
    ("3-1 kip", FORCE, "number-form", FORM, "3-1 kip"),
    ("9" * (LONGEST + 1) + " kip", FORCE, "number-long", "write fewer digits", "9" * (LONGEST + 1)),
    ("9" * (LONGEST + 1) + "kip", FORCE, "number-long", "write fewer digits", "9" * (LONGEST + 1)),
    # the form
    ("41kip", FORCE, "quantity-form", "write `41 kip`", "41kip"),
    ("41  kip", FORCE, "quantity-form", "write `41 kip`", "41  kip"),
    ("41\tkip", FORCE, "quantity-form", "write `41 kip`", "41\tkip"),
    (" 41 kip", None, "quantity-form", "write `41 kip`", " 41 kip"),
    ("41 kip\n", FORCE, "quantity-form", "write `41 kip`", "41 kip\n"),
    ("41 ", FORCE, "quantity-form", FORM, "41 "),
    ("3 ", DIMENSIONLESS, "quantity-form", "write `3`", "3 "),
    ("kip", FORCE, "quantity-form", FORM, "kip"),
    ("M20", LENGTH, "quantity-form", "write `20 mm`", "M20"),
    ("M20 bolt", LENGTH, "quantity-form", FORM.replace("kip", "in"), "M20 bolt"),
    ("41\u00a0kip", FORCE, "number-form", "write `41 kip`", "41\u00a0kip"),
    ("84.3 mm2", None, "unit-unknown",
     "there are no units of area: write a number, and `* 1 mm * 1 mm` or `* 1 in * 1 in` in the formula", "mm2"),
    ("about 41 kip", None, "quantity-form", FORM.replace("kip", "in"), "about 41 kip"),
    ("", FORCE, "quantity-form", FORM, ""),
    ("  ", None, "quantity-form", FORM.replace("kip", "in"), "  "),
    ("41 " + "x" * 500, FORCE, "quantity-form", FORM, "41 " + "x" * 500),
]


@pytest.mark.parametrize(("text", "wanted", "code", "help", "place"), WRONG)
def test_wrong(text: str, wanted: Dimension | None, code: str, help: str | None, place: str) -> None:
    mistake = read_quantity(text, wanted)
    assert isinstance(mistake, Mistake)
    assert (mistake.code, mistake.help) == (code, help)
    assert text[mistake.start : mistake.end] == place
    assert mistake.message[:1] != mistake.message[:1].upper() or mistake.message.startswith("`")
    assert not mistake.message.endswith(".") or mistake.message.endswith("...")


def test_messages() -> None:
    def message(text: str, wanted: Dimension | None) -> str:
        mistake = read_quantity(text, wanted)
        assert isinstance(mistake, Mistake)
        return mistake.message

    assert message("41 in", FORCE) == "a force is expected, `41 in` is a length"
    assert message("41 in", ANGLE) == "an angle is expected, `41 in` is a length"
    assert message("41", STRESS) == "a stress is expected, `41` has no unit"
    assert message("", None) == "a quantity is expected, nothing is written"
    assert message("5 xyzzy", None) == "`xyzzy` is not a unit here"
    assert message("about 41 kip", FORCE) == "`about 41 kip` is not a force"
    assert message("41,5 kN", FORCE) == "decimals are written with a point, not with a comma: `41,5 kN`"


@pytest.mark.parametrize("wrong", sorted(set(_MEANT) | set(_NOTES)))
def test_no_wrong_spelling_is_read_as_something_else(wrong: str) -> None:
    for spelling in (wrong, wrong.upper(), wrong.capitalize()):
        quantity = read_quantity(f"5 {spelling}")
        # Only a word that is itself a unit, such as `lb` where a mass is wanted, is read: as that unit.
        assert isinstance(quantity, Mistake) or quantity.unit is UNITS[spelling]


WANTED = [None, FORCE * FORCE, *{unit.dimension: unit for unit in UNITS.values()}]
pieces = st.sampled_from(
    [*UNITS, *_MEANT, *_NOTES, *"0123456789 -/.,+_½٣²", "00", "1/8", "  ", "e3"]
)


@given(st.lists(pieces, max_size=6).map("".join) | st.text(max_size=20), st.sampled_from(WANTED))
def test_any_text_is_read_exactly_or_is_a_mistake(text: str, wanted: Dimension | None) -> None:
    found = read_quantity(text, wanted)
    if isinstance(found, Quantity):
        assert re.fullmatch(r"-?([0-9]+-)?[0-9]+([./][0-9]+)?( [A-Za-z%-]+)?", text)
        assert wanted is None or found.dimension == wanted
        return
    assert 0 <= found.start <= found.end <= len(text)
    # What help tells to write can be read where it is to be written.
    if found.help is not None and found.help.startswith("write `"):
        for suggestion in re.findall(r"`([^`]*)`", found.help):
            assert isinstance(read_quantity(suggestion, wanted), Quantity), found.help
