"""Quantities: an exact value with the unit it is shown in; how they are read, and how they are written."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from .misspelt import meant, note, repaired
from .number import LONGEST, Mistake, about, clip, exact, ratio
from .units import (
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
    Unit,
    coherent,
    dimension_named,
    units_of,
)

__all__ = [
    "ANGLE", "DIMENSIONLESS", "DURATION", "FORCE", "LENGTH", "MASS", "ONE", "STRESS", "TEMPERATURE", "TORQUE",
    "UNITS", "Dimension", "Mistake", "Quantity", "Unit", "coherent", "dimension_named", "number",
    "read_quantity", "show",
]  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Quantity:
    """``value`` is in base units; ``unit`` gives the dimension, and the form in which it is shown.

    Equal are equal values of one dimension, so that ``1 ft`` and ``12 in`` are one key of a table.
    """

    value: Fraction
    unit: Unit

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Quantity):
            return NotImplemented
        return self.value == other.value and self.unit.dimension == other.unit.dimension

    def __hash__(self) -> int:
        return hash((self.value, self.unit.dimension))

    @property
    def dimension(self) -> Dimension:
        return self.unit.dimension

    @property
    def magnitude(self) -> Fraction:
        """The value expressed in its own unit."""
        return (self.value - self.unit.offset) / self.unit.scale

    def in_unit(self, unit: Unit) -> Quantity:
        """The same quantity, shown in another unit of its dimension."""
        if unit.dimension != self.dimension:
            raise ValueError(f"{unit.name} does not measure {self.dimension.name}")
        return Quantity(self.value, unit)


def number(value: Fraction | int) -> Quantity:
    """A plain number as a quantity without dimension."""
    return Quantity(Fraction(value), ONE)


_BINARY = frozenset({2, 4, 8, 16, 32, 64})
# Denominators that people write as fractions of the unit rather than as decimals.
FRACTIONS = {"in": _BINARY, "ft": _BINARY, "turn": frozenset({2, 3, 4, 6, 8})}


def show(quantity: Quantity) -> str:
    """The canonical text: ``41 kip``, ``7/8 in``, ``1-1/8 in``, ``0.005 in``, ``2/3 turn``, ``100/3 kip``.

    ``read_quantity`` reads it back to the same value and unit, if the unit is one of the table and the number
    takes no more characters than a number may have.
    """
    text = _amount(quantity.magnitude, FRACTIONS.get(quantity.unit.name, frozenset()))
    return f"{text} {quantity.unit.name}" if quantity.unit.name else text


def show_about(quantity: Quantity) -> str:
    """The same for people, to a few digits: ``≈48.48 kip``."""
    return f"{about(quantity.magnitude)} {quantity.unit.name}".rstrip()


def _amount(value: Fraction, fractions: frozenset[int]) -> str:
    if value.denominator not in fractions:
        decimal = exact(value)
        # An endless decimal is a fraction already; a very long one may be short as a fraction.
        return decimal if len(decimal) <= LONGEST else min(decimal, ratio(value), key=len)
    whole, part = divmod(abs(value.numerator), value.denominator)
    sign, lead = "-" if value < 0 else "", f"{whole}-" if whole else ""
    return f"{sign}{lead}{part}/{value.denominator}"


_NUMBER = re.compile(
    r"(?P<sign>-?)(?:(?:(?P<whole>[0-9]+)-)?(?P<over>[0-9]+)/(?P<under>[0-9]+)|(?P<decimal>[0-9]+(?:\.[0-9]+)?))"
)
_SEARCHED = 200  # a longer text gets no suggestion, so that looking for one is never slow


def read_quantity(text: str, dimension: Dimension | None = None) -> Quantity | Mistake:
    """Number, one space and unit: ``41 kip``, ``7/8 in``, ``1-1/8 in``, ``10 %``, of ``dimension`` if any.

    A number alone is read where no dimension is given or none is wanted. Codes of mistakes: ``number-form``,
    ``number-long``, ``quantity-form``, ``unit-missing``, ``unit-unknown``, ``unit-dimension``.
    """
    match = _NUMBER.match(text)
    if match is not None and match.end() > LONGEST:
        message = f"a number has at most {LONGEST} characters"
        return Mistake("number-long", message, "write fewer digits", 0, match.end())
    rest = text[match.end() :] if match else ""
    if match is None or (rest and (rest[0] != " " or rest[1:] not in UNITS)):
        return _wrong(text, dimension)
    mistake = _number_mistake(match, rest, dimension)
    if mistake is not None:
        return mistake
    if not rest:
        return _bare(match, dimension)
    unit = UNITS[rest[1:]]
    if dimension is not None and unit.dimension != dimension:
        return _other_dimension(match, unit, rest[1:], dimension)
    return Quantity(_value(match) * unit.scale + unit.offset, unit)


def _value(match: re.Match[str]) -> Fraction:
    if match["decimal"]:
        size = Fraction(match["decimal"])
    else:
        size = int(match["whole"] or "0") + Fraction(int(match["over"]), int(match["under"]))
    return -size if match["sign"] else size


def _number_mistake(match: re.Match[str], rest: str, dimension: Dimension | None) -> Mistake | None:
    text = match[0]
    if re.search(r"(?<![0-9.])0[0-9]", text):
        plain = re.sub(r"(?<![0-9.])0+(?=[0-9])", "", text)
        message = f"a number is written without leading zeros: `{text}`"
        help = f"write `{plain}{rest}`" if _reads(f"{plain}{rest}", dimension) else None
        return Mistake("number-form", message, help, 0, len(text))
    if match["under"] == "0":
        message, help = f"`{text}` divides by zero", "write a number above 0 under the line"
        return Mistake("number-form", message, help, 0, len(text))
    if match["whole"] and int(match["over"]) >= int(match["under"]):
        message = f"the fraction of `{text}` is not less than 1"
        meaning = _amount(_value(match), frozenset({int(match["under"])}))
        help = f"write `{meaning}{rest}` if that is meant" if _reads(f"{meaning}{rest}", dimension) else None
        return Mistake("number-form", message, help, 0, len(text))
    return None


def _bare(match: re.Match[str], dimension: Dimension | None) -> Quantity | Mistake:
    if dimension is not None and dimension != DIMENSIONLESS:
        message = f"{_a(dimension)} is expected, `{match[0]}` has no unit"
        help = f"write its unit after a space; {_units(dimension)}"
        return Mistake("unit-missing", message, help, 0, match.end())
    if match["whole"]:
        # Without a unit this is as likely a subtraction.
        help = f"write a unit after it, or `{ratio(_value(match))}` for the number"
        return Mistake("unit-missing", f"`{match[0]}` without a unit reads two ways", help, 0, match.end())
    return number(_value(match))


def _other_dimension(match: re.Match[str], unit: Unit, written: str, wanted: Dimension) -> Mistake:
    message = f"{_a(wanted)} is expected, `{match[0]} {written}` is {_a(unit.dimension)}"
    help = _write(match[0], meant(written, wanted)) or _units(wanted)
    start = match.end() + 1
    return Mistake("unit-dimension", message, help, start, start + len(written))


def _wrong(text: str, dimension: Dimension | None) -> Mistake:
    """What is wrong with a text that is not of the form of a quantity: the number first, then the unit."""
    shown = clip(text)
    example = (units_of(dimension)[:1] if dimension else ()) or ("in",)
    form = f"a quantity is a number, one space and a unit, such as `1 {example[0]}`"
    what = _a(dimension) if dimension else "a quantity"
    if len(text) > _SEARCHED or not text.strip():
        message = f"`{shown}` is not {what}" if text.strip() else f"{what} is expected, nothing is written"
        return Mistake("quantity-form", message, form, 0, len(text))
    fixed, complaint = repaired(text.strip())
    match = _NUMBER.match(fixed)
    if match is None:
        if dimension == LENGTH and (metric := re.fullmatch(r"[Mm] ?([0-9]+(?:\.[0-9]+)?)", fixed)):
            form = f"write `{metric[1]} mm`"
        return Mistake("quantity-form", f"`{shown}` is not {what}", form, 0, len(text))
    tail = fixed[match.end() :].strip()
    if re.match("[-+0-9./*,^]", tail):
        return Mistake("number-form", f"the number of `{shown}` is not written as one", form, 0, len(text))
    names = (tail,) if tail in UNITS or not tail else meant(tail, dimension)
    help = _write(match[0], [name for name in names if _reads(f"{match[0]} {name}".strip(), dimension)])
    if complaint is not None:
        return Mistake("number-form", f"{complaint}: `{shown}`", help or form, 0, len(text))
    if not tail or tail in UNITS:
        message = f"one space belongs between a number and its unit, and none around them: `{shown}`"
        return Mistake("quantity-form", message, help or form, 0, len(text))
    start = text.index(tail, match.end())
    message = f"`{clip(tail)}` is not a unit here"
    return Mistake("unit-unknown", message, help or note(tail) or _units(dimension), start, start + len(tail))


def _reads(text: str, dimension: Dimension | None) -> bool:
    """Whether a suggestion is worth making."""
    return isinstance(read_quantity(text, dimension), Quantity)


def _write(amount: str, names: Sequence[str]) -> str | None:
    written = [f"`{amount} {name}`" if name else f"`{amount}`" for name in names]
    return f"write {' or '.join(written)}" if written else None


def _units(dimension: Dimension | None) -> str:
    names = tuple(UNITS) if dimension is None else units_of(dimension)
    if dimension == DIMENSIONLESS:
        return "write a number without a unit, or in %"
    if not names:
        return "no unit of this dimension can be written"
    return f"units{f' of {dimension.name}' if dimension else ''}: {', '.join(names)}"


def _a(dimension: Dimension) -> str:
    name = dimension.name
    return f"an {name}" if name[0] in "aeiou" else f"a {name}"
