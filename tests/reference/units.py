"""Units by their legal definitions, in metre, kilogram, second, degree of angle and kelvin.

International yard and pound agreement (1959): 1 in = 25.4 mm, 1 lb = 0.45359237 kg; standard gravity
9.80665 m/s2 (3rd General Conference on Weights and Measures, 1901), so that 1 lbf = 4.4482216152605 N.
All exact.
"""

from fractions import Fraction

Dimension = tuple[int, int, int, int, int]
"""Powers of metre, kilogram, second, degree and kelvin."""

NUMBER: Dimension = (0, 0, 0, 0, 0)
LENGTH: Dimension = (1, 0, 0, 0, 0)
MASS: Dimension = (0, 1, 0, 0, 0)
DURATION: Dimension = (0, 0, 1, 0, 0)
ANGLE: Dimension = (0, 0, 0, 1, 0)
TEMPERATURE: Dimension = (0, 0, 0, 0, 1)
FORCE: Dimension = (1, 1, -2, 0, 0)
TORQUE: Dimension = (2, 1, -2, 0, 0)
STRESS: Dimension = (-1, 1, -2, 0, 0)

_INCH = Fraction("0.0254")
_FOOT = 12 * _INCH
_POUND = Fraction("0.45359237")
_LBF = _POUND * Fraction("9.80665")

UNITS: dict[str, tuple[Fraction, Fraction, Dimension]] = {
    # unit: (factor, zero in units above absolute zero, dimension)
    "lbf": (_LBF, Fraction(0), FORCE),
    "kip": (1000 * _LBF, Fraction(0), FORCE),
    "N": (Fraction(1), Fraction(0), FORCE),
    "kN": (Fraction(1000), Fraction(0), FORCE),
    "in": (_INCH, Fraction(0), LENGTH),
    "ft": (_FOOT, Fraction(0), LENGTH),
    "mm": (Fraction(1, 1000), Fraction(0), LENGTH),
    "cm": (Fraction(1, 100), Fraction(0), LENGTH),
    "m": (Fraction(1), Fraction(0), LENGTH),
    "ft-lbf": (_FOOT * _LBF, Fraction(0), TORQUE),
    "in-lbf": (_INCH * _LBF, Fraction(0), TORQUE),
    "N-m": (Fraction(1), Fraction(0), TORQUE),
    "kN-m": (Fraction(1000), Fraction(0), TORQUE),
    "psi": (_LBF / _INCH**2, Fraction(0), STRESS),
    "ksi": (1000 * _LBF / _INCH**2, Fraction(0), STRESS),
    "MPa": (Fraction(10**6), Fraction(0), STRESS),
    "GPa": (Fraction(10**9), Fraction(0), STRESS),
    "degree": (Fraction(1), Fraction(0), ANGLE),
    "turn": (Fraction(360), Fraction(0), ANGLE),
    "degF": (Fraction(5, 9), Fraction("459.67"), TEMPERATURE),
    "degC": (Fraction(1), Fraction("273.15"), TEMPERATURE),
    "lb": (_POUND, Fraction(0), MASS),
    "kg": (Fraction(1), Fraction(0), MASS),
    "second": (Fraction(1), Fraction(0), DURATION),
    "minute": (Fraction(60), Fraction(0), DURATION),
    "hour": (Fraction(3600), Fraction(0), DURATION),
    "%": (Fraction(1, 100), Fraction(0), NUMBER),
}

SPANS = {
    "day": (0, 1), "days": (0, 1), "month": (1, 0), "months": (1, 0), "year": (12, 0), "years": (12, 0),
}  # fmt: skip


def in_base(number: Fraction, unit: str) -> Fraction:
    """`number` of `unit` in base units; a temperature in kelvin above absolute zero."""
    factor, zero, _ = UNITS[unit]
    return (number + zero) * factor
