"""Units, calendar, limits and node forms of the engine as data, for a page that states none of its own."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from ..lang.calendar import FIRST_YEAR, LAST_YEAR
from ..lang.kernel_json import CONSTRUCTS
from ..lang.limits import LIMITS
from ..lang.number import LONGEST, ratio
from ..lang.quantity import FRACTIONS
from ..lang.reading_build import REFUSED
from ..lang.units import NAMED, UNITS, Dimension, Unit

_BASES = tuple(base.name for base in fields(Dimension))


def engine_tables() -> dict[str, Any]:
    """``bases`` of dimensions, ``units`` by every accepted spelling, ``dimensions`` by their word, ``calendar``,
    ``limits``, ``refused`` characters (first and last of each run), and ``constructs``: by the word of a kernel node,
    its parts in order, each with how it is written."""
    return {
        "bases": list(_BASES),
        "units": {spelling: _unit(unit) for spelling, unit in UNITS.items()},
        "dimensions": {word: _powers(dimension) for word, dimension in NAMED.items()},
        "calendar": {"first_year": FIRST_YEAR, "last_year": LAST_YEAR},
        "limits": {
            "number": LONGEST, "scalar": LIMITS.scalar, "items": LIMITS.items, "depth": LIMITS.depth,
            "evidence": LIMITS.evidence,
        },
        "refused": _refused(),
        "constructs": {word: [list(part) for part in parts.items()] for word, (_, parts) in CONSTRUCTS.items()},
    }


def _unit(unit: Unit) -> list[Any]:
    """Name that is shown, dimension, scale and offset to base units, and denominators that are written as fractions."""
    fractions = sorted(FRACTIONS.get(unit.name, ()))
    return [unit.name, _powers(unit.dimension), ratio(unit.scale), ratio(unit.offset), fractions]


def _powers(dimension: Dimension) -> list[int]:
    """The exponents of the base dimensions, in their order."""
    return [getattr(dimension, base) for base in _BASES]


def _refused() -> list[list[int]]:
    """The characters that cannot stand in a text. INVARIANT: all of them have four hexadecimal digits."""
    found: list[list[int]] = []
    for code in range(0x10000):
        if REFUSED.match(chr(code)):
            if found and found[-1][1] == code - 1:
                found[-1][1] = code
            else:
                found.append([code, code])
    return found
