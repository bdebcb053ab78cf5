"""Units, calendar and limits of the engine as data, for a page that has none of its own."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from ..lang.calendar import FIRST_YEAR, LAST_YEAR
from ..lang.limits import LIMITS
from ..lang.number import LONGEST, ratio
from ..lang.quantity import FRACTIONS
from ..lang.units import NAMED, UNITS, Dimension, Unit

_BASES = tuple(base.name for base in fields(Dimension))


def units() -> dict[str, Any]:
    """Every accepted spelling, with the name that is shown, dimension, scale and offset to base units, and the
    denominators that are written as fractions."""
    return {spelling: _unit(unit) for spelling, unit in UNITS.items()}


def _unit(unit: Unit) -> list[Any]:
    fractions = sorted(FRACTIONS.get(unit.name, ()))
    return [unit.name, powers(unit.dimension), ratio(unit.scale), ratio(unit.offset), fractions]


def powers(dimension: Dimension) -> list[int]:
    """The exponents of the base dimensions, in their order."""
    return [getattr(dimension, base) for base in _BASES]


def dimensions() -> dict[str, list[int]]:
    """The dimensions that have a word, by that word."""
    return {word: powers(dimension) for word, dimension in NAMED.items()}


def calendar() -> dict[str, int]:
    return {"first_year": FIRST_YEAR, "last_year": LAST_YEAR}


def limits() -> dict[str, int]:
    """What a text or a list may hold at most."""
    return {"number": LONGEST, "items": LIMITS.items, "evidence": LIMITS.evidence, "depth": LIMITS.depth}
