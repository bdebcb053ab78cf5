"""Dimensions and units, against two outside references and the published definitions."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
import scipy.constants as published
from hypothesis import given
from hypothesis import strategies as st

from tautbook.lang import units
from tautbook.lang.units import DIMENSIONLESS, ONE, UNITS, Dimension, coherent, dimension_named, units_of

dimensions = st.builds(Dimension, *[st.integers(-3, 3)] * 5)

# How pint, an independent library of units, calls each of ours, and the base it is compared in.
IN_PINT = {
    "kip": ("kip", "newton"), "lbf": ("force_pound", "newton"),
    "kN": ("kilonewton", "newton"), "N": ("newton", "newton"),
    "in": ("inch", "meter"), "ft": ("foot", "meter"), "mm": ("millimeter", "meter"),
    "cm": ("centimeter", "meter"),
    "m": ("meter", "meter"), "ft-lbf": ("foot * force_pound", "newton * meter"),
    "in-lbf": ("inch * force_pound", "newton * meter"), "N-m": ("newton * meter", "newton * meter"),
    "kN-m": ("kilonewton * meter", "newton * meter"), "psi": ("force_pound / inch ** 2", "pascal"),
    "ksi": ("kip / inch ** 2", "pascal"), "MPa": ("megapascal", "pascal"), "GPa": ("gigapascal", "pascal"),
    "lb": ("pound", "kilogram"), "kg": ("kilogram", "kilogram"), "second": ("second", "second"),
    "minute": ("minute", "second"), "hour": ("hour", "second"), "%": ("percent", "dimensionless"),
    "degree": ("degree", "degree"), "turn": ("turn", "degree"),
    "degC": ("degC", "kelvin"), "degF": ("degF", "kelvin"),
}  # fmt: skip


def test_every_unit_is_compared() -> None:
    assert set(IN_PINT) == {unit.name for unit in UNITS.values()}


@pytest.mark.parametrize("name", sorted(set(IN_PINT) - {"degC", "degF", "degree", "turn"}))
def test_scale_is_exactly_that_of_pint(name: str) -> None:
    registry = pint.UnitRegistry(non_int_type=Decimal)
    ours, base = IN_PINT[name]
    size = registry.Quantity(Decimal(1), ours).to(base).magnitude
    # Decimal rounds at 28 digits where a division does not end.
    assert abs(Fraction(size) / UNITS[name].scale - 1) < Fraction(1, 10**25)


@pytest.mark.parametrize("name", ["degree", "turn"])
def test_angles_against_pint(name: str) -> None:
    size = pint.UnitRegistry().Quantity(1, IN_PINT[name][0]).to("degree").magnitude
    assert size == pytest.approx(int(UNITS[name].scale), rel=1e-14)


@pytest.mark.parametrize("name", ["degC", "degF"])
@pytest.mark.parametrize("reading", [-40, 0, 32, 68, 100, 212])
def test_temperatures_against_pint_and_scipy(name: str, reading: int) -> None:
    ours = reading * UNITS[name].scale + UNITS[name].offset
    registry = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    assert float(ours) == pytest.approx(registry.Quantity(reading, name).to("kelvin").magnitude, rel=1e-14)
    scale = {"degC": "Celsius", "degF": "Fahrenheit"}[name]
    assert float(ours) == pytest.approx(published.convert_temperature(reading, scale, "Kelvin"), rel=1e-14)


def test_scales_against_scipy() -> None:
    # scipy.constants, from CODATA and NIST SP 811, whose products are off in the last binary digit.
    for name, size in {
        "in": published.inch, "ft": published.foot, "lb": published.pound, "lbf": published.pound_force,
        "minute": published.minute, "hour": published.hour,
    }.items():  # fmt: skip
        assert float(UNITS[name].scale) == pytest.approx(size, rel=1e-15)
    assert float(UNITS["psi"].scale) == pytest.approx(published.psi, rel=1e-15)
    assert float(UNITS["degF"].scale) == published.degree_Fahrenheit
    assert Fraction(str(published.zero_Celsius)) == UNITS["degC"].offset


def test_published_definitions() -> None:
    # International Yard and Pound Agreement 1959; 3rd CGPM 1901 for standard gravity. The lbf in full is
    # 0.45359237 x 9.80665.
    assert UNITS["in"].scale == Fraction("25.4") * UNITS["mm"].scale
    assert UNITS["lb"].scale == Fraction("0.45359237")
    assert UNITS["lbf"].scale == Fraction("4.4482216152605")
    assert UNITS["kip"].scale == 1000 * UNITS["lbf"].scale
    assert 32 * UNITS["degF"].scale + UNITS["degF"].offset == UNITS["degC"].offset
    assert 212 * UNITS["degF"].scale + UNITS["degF"].offset == 100 + UNITS["degC"].offset
    assert -40 * UNITS["degF"].scale + UNITS["degF"].offset == -40 + UNITS["degC"].offset


def test_plurals_are_of_words_only() -> None:
    assert {name for name, unit in UNITS.items() if name != unit.name} == {
        "degrees", "turns", "seconds", "minutes", "hours",
    }  # fmt: skip


@given(dimensions, dimensions)
def test_dimensions_multiply_and_divide(a: Dimension, b: Dimension) -> None:
    assert a * b == b * a
    assert a * b / b == a
    assert a / a == DIMENSIONLESS
    assert (a * b).length == a.length + b.length and (a / b).angle == a.angle - b.angle


NAMES = {
    "number": units.DIMENSIONLESS, "force": units.FORCE, "length": units.LENGTH, "torque": units.TORQUE,
    "stress": units.STRESS, "angle": units.ANGLE, "temperature": units.TEMPERATURE, "mass": units.MASS,
    "duration": units.DURATION, "area": units.LENGTH * units.LENGTH,
    "volume": units.LENGTH * units.LENGTH * units.LENGTH,
}  # fmt: skip


@pytest.mark.parametrize("word", NAMES)
def test_named_dimensions(word: str) -> None:
    assert dimension_named(word) == NAMES[word]
    assert NAMES[word].name == word


def test_names_of_derived_dimensions() -> None:
    force, length, angle = units.FORCE, units.LENGTH, units.ANGLE
    assert dimension_named("strength") is None
    assert (force * length * length).name == "force x length^2"
    assert (force / length).name == "force / length"
    assert (force / angle).name == "force / angle"
    assert (DIMENSIONLESS / length).name == "1 / length"
    assert (DIMENSIONLESS / (length * length)).name == "1 / length^2"
    assert (force * force).name == "force^2"
    assert (length / units.DURATION).name == "length / duration"
    assert (units.MASS * units.TEMPERATURE).name == "mass x temperature"


@given(dimensions, dimensions)
def test_names_tell_dimensions_apart(a: Dimension, b: Dimension) -> None:
    assert (a.name == b.name) == (a == b)


@given(dimensions)
def test_coherent(dimension: Dimension) -> None:
    unit = coherent(dimension)
    assert (unit.dimension, unit.scale, unit.offset) == (dimension, 1, 0)
    assert unit.name not in UNITS or UNITS[unit.name] == unit


def test_coherent_names() -> None:
    assert coherent(DIMENSIONLESS) is ONE
    assert coherent(units.FORCE).name == "N"
    assert coherent(units.TORQUE).name == "N-m"
    assert coherent(units.TEMPERATURE).name == "K"
    assert coherent(units.FORCE / units.LENGTH).name == "kg / s2"
    assert coherent(units.FORCE * units.LENGTH * units.LENGTH).name == "kg m3 / s2"


def test_units_of() -> None:
    assert units_of(units.FORCE) == ("kip", "lbf", "kN", "N")
    assert units_of(units.FORCE * units.FORCE) == ()
