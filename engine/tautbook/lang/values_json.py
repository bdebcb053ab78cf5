"""Kinds and values as plain JSON data and back. Part of form k1 of the kernel tree; written by us alone.

Data that is not of this form is a fault of ours, and raises ``ValueError``.
"""

from __future__ import annotations

import re
from dataclasses import fields
from fractions import Fraction
from typing import Any, NoReturn

from .calendar import CalendarSpan, read_date
from .kinds import (
    CalendarSpanKind,
    ChoiceKind,
    DateKind,
    GroupKind,
    Kind,
    ListKind,
    NumberKind,
    QuantityKind,
    TextKind,
    YesNoKind,
)
from .number import Mistake, clip, ratio
from .quantity import DIMENSIONLESS, ONE, UNITS, Dimension, Quantity, Unit, coherent
from .surface_json import value_json
from .values import Plain

_SIMPLE: dict[str, Kind] = {
    "number": NumberKind(),
    "whole number": NumberKind(whole=True),
    "text": TextKind(),
    "yes/no": YesNoKind(),
    "date": DateKind(),
    "calendar span": CalendarSpanKind(),
}
_BASES = tuple(base.name for base in fields(Dimension))
_RATIO = re.compile(r"-?[0-9]+(?:/[0-9]+)?")
_POWER = re.compile(r"(kg|m|s|degree|K)([0-9]{0,3})")
_BASE_OF = {"m": "length", "kg": "mass", "s": "time", "degree": "angle", "K": "temperature"}
_CHUNK = 1000  # digits read at once; Python refuses to read whole numbers of more than 4300


def wrong(wanted: str, data: object) -> NoReturn:
    raise ValueError(f"not of form k1: {wanted} is expected, not {clip(repr(data))}")


def kind_json(kind: Kind) -> Any:
    """A word for a simple kind, else an object with one key that names what it is."""
    match kind:
        case QuantityKind(dimension=dimension):
            powers = {base: getattr(dimension, base) for base in _BASES}
            return {"quantity": {base: power for base, power in powers.items() if power}}
        case ChoiceKind(options=options):
            return {"choice": None if options is None else list(options)}
        case GroupKind(fields=inside):
            return {"group": {name: kind_json(below) for name, below in inside.items()}}
        case ListKind(singular=singular, item=item, points=points):
            return {"list": [singular, kind_json(item), None if points is None else list(points)]}
        case _:
            return next(word for word, simple in _SIMPLE.items() if simple == kind)


def kind_from_json(data: Any) -> Kind:
    match data:
        case str() if data in _SIMPLE:
            return _SIMPLE[data]
        case {"quantity": dict() as powers} if len(data) == 1 and set(powers) <= set(_BASES):
            return QuantityKind(Dimension(**{base: whole(power) for base, power in powers.items()}))
        case {"choice": options} if len(data) == 1:
            return ChoiceKind(None if options is None else words(options))
        case {"group": dict() as inside} if len(data) == 1:
            return GroupKind({name: kind_from_json(below) for name, below in inside.items()})
        case {"list": [str() as singular, item, None]} if len(data) == 1:
            return ListKind(singular, kind_from_json(item))
        case {"list": [str() as singular, item, [str() as where, str() as value]]} if len(data) == 1:
            return ListKind(singular, kind_from_json(item), (where, value))
        case _:
            wrong("a kind", data)


def value_from_json(data: Any) -> Plain:
    """The value that ``value_json`` wrote: a quantity is its exact size in base units and its unit's name."""
    match data:
        case bool():
            return data
        case [str() as size, str() as unit]:
            return Quantity(_fraction(size), _unit(unit))
        case {"months": months, "days": days} if len(data) == 2:
            return CalendarSpan(whole(months), whole(days))
        case {"date": str() as text} if len(data) == 1:
            date = read_date(text)
            return wrong("a date", text) if isinstance(date, Mistake) else date
        case {"word": str() as word} if len(data) == 1:
            return word
        case _:
            wrong("a value", data)


def words(data: Any) -> tuple[str, ...]:
    if not isinstance(data, list) or not all(isinstance(word, str) for word in data):
        wrong("a list of words", data)
    return tuple(data)


def whole(data: Any) -> int:
    if not isinstance(data, int) or isinstance(data, bool):
        wrong("a whole number", data)
    return data


def _fraction(text: str) -> Fraction:
    if _RATIO.fullmatch(text) is None:
        wrong("a number", text)
    over, _, under = text.removeprefix("-").partition("/")
    size, parts = _read(over), _read(under or "1")
    value = Fraction(-size if text.startswith("-") else size, parts or 1)
    return value if ratio(value) == text else wrong("a number in lowest terms", text)


def _read(digits: str) -> int:
    """``int`` of digits in any number."""
    value = 0
    for start in range(0, len(digits), _CHUNK):
        chunk = digits[start : start + _CHUNK]
        value = value * 10 ** len(chunk) + int(chunk)
    return value


def _unit(name: str) -> Unit:
    """A unit of the table, the unit of a plain number, or one spelled in base units such as ``kg / s2``."""
    if not name:
        return ONE
    if name in UNITS and UNITS[name].name == name:
        return UNITS[name]
    dimension = DIMENSIONLESS
    over, *under = name.split(" / ")
    for word in over.split(" "):
        dimension *= _power(word)
    for word in under:
        dimension /= _power(word)
    unit = coherent(dimension)
    return unit if unit.name == name else wrong("a unit", name)


def _power(word: str) -> Dimension:
    match = _POWER.fullmatch(word)
    return Dimension(**{_BASE_OF[match[1]]: int(match[2] or "1")}) if match else DIMENSIONLESS


__all__ = ["kind_from_json", "kind_json", "value_from_json", "value_json", "whole", "words", "wrong"]
