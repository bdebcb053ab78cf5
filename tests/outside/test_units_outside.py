"""Units as rules use them, against scipy.constants (CODATA; NIST SP 811) and pint.

``tests/lang/test_units.py`` compares the scale of each unit to the last binary digit. Here scipy's own primary
constants are taken as the decimals that they are written as, so that nothing may be off; and pint is asked what comes
of multiplying and dividing quantities in any two units, and of which dimension it is.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
import scipy.constants as published

from conformance.engine import outcome
from tautbook.lang.quantity import Quantity
from tautbook.lang.units import UNITS


def written(constant: float) -> Fraction:
    """The decimal that a constant of scipy is written as."""
    return Fraction(repr(constant))


INCH = written(published.inch)
# scipy makes its pound of 7000 grains in binary; 64.79891 mg is exact.
POUND = 7000 * written(published.grain)
FORCE_POUND = POUND * written(published.g)
KILO, MEGA, GIGA = (written(prefix) for prefix in (published.kilo, published.mega, published.giga))
CENTI, MILLI = written(published.centi), written(published.milli)

EXACTLY = {
    "kip": KILO * FORCE_POUND, "lbf": FORCE_POUND, "kN": KILO, "N": 1,
    "in": INCH, "ft": 12 * INCH, "mm": MILLI, "cm": CENTI, "m": 1,
    "ft-lbf": 12 * INCH * FORCE_POUND, "in-lbf": INCH * FORCE_POUND, "N-m": 1, "kN-m": KILO,
    "psi": FORCE_POUND / INCH**2, "ksi": KILO * FORCE_POUND / INCH**2, "MPa": MEGA, "GPa": GIGA,
    "lb": POUND, "kg": 1,
    "second": 1, "minute": written(published.minute), "hour": written(published.hour),
    "%": CENTI, "degC": 1, "degF": Fraction(5, 9),
    "degree": 1, "turn": 360,
}  # fmt: skip


def test_every_unit_is_exactly_what_the_constants_make_it() -> None:
    assert {unit.name: unit.scale for unit in UNITS.values()} == EXACTLY
    assert UNITS["degC"].offset == written(published.zero_Celsius)
    assert UNITS["degF"].offset == written(published.zero_Celsius) - 32 * Fraction(5, 9)
    assert published.degree_Fahrenheit == 5 / 9
    assert published.degree * 360 == 2 * published.pi


# pint has no dimension of angle, and temperatures are only compared.
IN_PINT = {
    "kip": "kip", "lbf": "force_pound", "kN": "kilonewton", "N": "newton",
    "in": "inch", "ft": "foot", "mm": "millimeter", "cm": "centimeter", "m": "meter",
    "ft-lbf": "foot * force_pound", "in-lbf": "inch * force_pound", "N-m": "newton * meter",
    "kN-m": "kilonewton * meter", "psi": "force_pound / inch ** 2", "ksi": "kip / inch ** 2",
    "MPa": "megapascal", "GPa": "gigapascal", "lb": "pound", "kg": "kilogram",
    "second": "second", "minute": "minute", "hour": "hour", "%": "percent",
}  # fmt: skip
REGISTRY = pint.UnitRegistry(non_int_type=Decimal)


def same(found: object, expected: pint.Quantity) -> bool:
    """The same dimension, and the same size to the 28 digits that pint's decimals keep."""
    assert isinstance(found, Quantity), found
    base = expected.to_base_units()
    dimension = {
        f"[{name}]": exponent
        for name, exponent in (
            ("length", found.dimension.length),
            ("mass", found.dimension.mass),
            ("time", found.dimension.time),
        )
        if exponent
    }
    assert not found.dimension.angle and not found.dimension.temperature
    return dict(base.dimensionality) == dimension and abs(found.value / Fraction(base.magnitude) - 1) < Fraction(
        1, 10**25
    )


@pytest.mark.parametrize("one", IN_PINT)
def test_products_and_quotients_with_every_other_unit_are_those_of_pint(one: str) -> None:
    ours = REGISTRY.Quantity(Decimal("2.5"), IN_PINT[one])
    for other in IN_PINT:
        theirs = REGISTRY.Quantity(Decimal("0.375"), IN_PINT[other])
        assert same(outcome(f"2.5 {one} * 0.375 {other}", {}), ours * theirs), other
        assert same(outcome(f"2.5 {one} / 0.375 {other}", {}), ours / theirs), other


@pytest.mark.parametrize("one", IN_PINT)
def test_quantities_of_unlike_units_compare_and_add_as_in_pint(one: str) -> None:
    """With every unit of the same dimension; units of another one are refused on both sides."""
    ours = REGISTRY.Quantity(Decimal("2.5"), IN_PINT[one])
    for other in IN_PINT:
        theirs = REGISTRY.Quantity(Decimal("0.375"), IN_PINT[other])
        less, total = outcome(f"2.5 {one} < 0.375 {other}", {}), outcome(f"2.5 {one} + 0.375 {other}", {})
        if ours.is_compatible_with(theirs):
            assert less is (ours < theirs), other
            assert same(total, ours + theirs), other
        else:
            assert less == total == ("dimension",), other
            with pytest.raises(pint.DimensionalityError):
                ours + theirs
