"""Dimensions and units: what may be added to what, and the exact size of every unit that may be written.

Base units are m, kg, s, degree and K. The definitions behind the table: inch, foot and pound, International
Yard and Pound Agreement of 1959 (1 in = 25.4 mm, 1 lb = 0.45359237 kg); standard gravity 9.80665 m/s2, 3rd
CGPM 1901, so that 1 lbf = 4.4482216152605 N; 0 degC = 273.15 K and 32 degF = 0 degC, SI Brochure and
NIST SP 811.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Dimension:
    """Integer exponents of the base dimensions."""

    length: int = 0
    mass: int = 0
    time: int = 0
    angle: int = 0
    temperature: int = 0

    def __mul__(self, other: Dimension) -> Dimension:
        return Dimension(
            self.length + other.length,
            self.mass + other.mass,
            self.time + other.time,
            self.angle + other.angle,
            self.temperature + other.temperature,
        )

    def __truediv__(self, other: Dimension) -> Dimension:
        return Dimension(
            self.length - other.length,
            self.mass - other.mass,
            self.time - other.time,
            self.angle - other.angle,
            self.temperature - other.temperature,
        )

    @property
    def name(self) -> str:
        """The word of the trade, else a product of such words: ``force x length^2``, ``force / angle``."""
        for word, dimension in NAMED.items():
            if dimension == self:
                return word
        # Force before mass: people think of a spring rate as force / length, not as mass / duration^2.
        forces = self.mass if self.time == -2 * self.mass else 0
        return _product(
            (
                ("force", forces),
                ("mass", self.mass - forces),
                ("length", self.length - forces),
                ("duration", self.time + 2 * forces),
                ("angle", self.angle),
                ("temperature", self.temperature),
            ),
            "^",
            " x ",
        )


def _product(factors: Iterable[tuple[str, int]], power: str, times: str) -> str:
    present = [(word, exponent) for word, exponent in factors if exponent]
    over = [f"{word}{power}{n}" if n > 1 else word for word, n in present if n > 0]
    under = [f"{word}{power}{-n}" if n < -1 else word for word, n in present if n < 0]
    return " / ".join([times.join(over) or "1", *under])


DIMENSIONLESS = Dimension()
LENGTH = Dimension(length=1)
MASS = Dimension(mass=1)
DURATION = Dimension(time=1)
ANGLE = Dimension(angle=1)
TEMPERATURE = Dimension(temperature=1)
FORCE = Dimension(length=1, mass=1, time=-2)
TORQUE = FORCE * LENGTH
STRESS = FORCE / (LENGTH * LENGTH)

NAMED: Mapping[str, Dimension] = MappingProxyType(
    {
        "number": DIMENSIONLESS,
        "force": FORCE,
        "length": LENGTH,
        "torque": TORQUE,
        "stress": STRESS,
        "angle": ANGLE,
        "temperature": TEMPERATURE,
        "mass": MASS,
        "duration": DURATION,
        "area": LENGTH * LENGTH,
        "volume": LENGTH * LENGTH * LENGTH,
    }
)


def dimension_named(word: str) -> Dimension | None:
    """The dimension of a word of the trade such as ``force``; ``number`` is no dimension at all."""
    return NAMED.get(word)


@dataclass(frozen=True, slots=True)
class Unit:
    """A value x in this unit is ``x * scale + offset`` in base units. INVARIANT: scale > 0."""

    name: str
    dimension: Dimension
    scale: Fraction
    offset: Fraction = Fraction(0)


ONE = Unit("", DIMENSIONLESS, Fraction(1))
"""The unit of a plain number."""

_INCH = Fraction("0.0254")
_POUND = Fraction("0.45359237")
_LBF = _POUND * Fraction("9.80665")
_PSI = _LBF / _INCH**2
_RANKINE = Fraction(5, 9)

_CANONICAL = (
    # The likeliest first: this order is the order in which help offers them.
    Unit("kip", FORCE, 1000 * _LBF),
    Unit("lbf", FORCE, _LBF),
    Unit("kN", FORCE, Fraction(1000)),
    Unit("N", FORCE, Fraction(1)),
    Unit("in", LENGTH, _INCH),
    Unit("ft", LENGTH, 12 * _INCH),
    Unit("mm", LENGTH, Fraction(1, 1000)),
    Unit("cm", LENGTH, Fraction(1, 100)),
    Unit("m", LENGTH, Fraction(1)),
    Unit("ft-lbf", TORQUE, 12 * _INCH * _LBF),
    Unit("in-lbf", TORQUE, _INCH * _LBF),
    Unit("N-m", TORQUE, Fraction(1)),
    Unit("kN-m", TORQUE, Fraction(1000)),
    Unit("psi", STRESS, _PSI),
    Unit("ksi", STRESS, 1000 * _PSI),
    Unit("MPa", STRESS, Fraction(10**6)),
    Unit("GPa", STRESS, Fraction(10**9)),
    Unit("degree", ANGLE, Fraction(1)),
    Unit("turn", ANGLE, Fraction(360)),
    Unit("degF", TEMPERATURE, _RANKINE, Fraction("459.67") * _RANKINE),
    Unit("degC", TEMPERATURE, Fraction(1), Fraction("273.15")),
    Unit("lb", MASS, _POUND),
    Unit("kg", MASS, Fraction(1)),
    Unit("second", DURATION, Fraction(1)),
    Unit("minute", DURATION, Fraction(60)),
    Unit("hour", DURATION, Fraction(3600)),
    Unit("%", DIMENSIONLESS, Fraction(1, 100)),
)

# Words may stand in the plural; symbols never do.
_PLURALS = {"degrees": "degree", "turns": "turn", "seconds": "second", "minutes": "minute", "hours": "hour"}

_BY_NAME = {unit.name: unit for unit in _CANONICAL}

UNITS: Mapping[str, Unit] = MappingProxyType(
    _BY_NAME | {plural: _BY_NAME[singular] for plural, singular in _PLURALS.items()}
)
"""Every accepted spelling. ``Unit.name`` is the one that is shown."""


def units_of(dimension: Dimension) -> tuple[str, ...]:
    """Names of the units of a dimension, the likeliest first; empty for most derived dimensions."""
    return tuple(unit.name for unit in _CANONICAL if unit.dimension == dimension)


def coherent(dimension: Dimension) -> Unit:
    """The unit of scale 1: ``ONE``, one of the table such as N-m, else spelled in base units (``kg / s2``).

    A spelled unit is for showing intermediate results; it is in no table and cannot be read back.
    """
    if dimension == DIMENSIONLESS:
        return ONE
    for unit in _CANONICAL:
        if unit.dimension == dimension and unit.scale == 1 and not unit.offset:
            return unit
    factors = (
        ("kg", dimension.mass),
        ("m", dimension.length),
        ("s", dimension.time),
        ("degree", dimension.angle),
        ("K", dimension.temperature),
    )
    return Unit(_product(factors, "", " "), dimension, Fraction(1))
