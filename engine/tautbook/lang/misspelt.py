"""Likely wrong spellings of numbers and units, and what was probably meant: for help, never for reading."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping
from types import MappingProxyType

from .number import exact, read_number
from .problem import nearest
from .units import UNITS, Dimension, units_of

_WRONG = {
    "kip": "kips k kipf klbf",
    "lbf lb": "lb lbs pound pounds #",
    "lbf": "lbsf lbforce poundforce poundsforce",
    "N": "newton newtons",
    "kN": "kilonewton kilonewtons",
    "in": "\" ″ ” '' inch inches ins",
    "ft": "' ′ ’ foot feet",
    "mm": "millimeter millimeters millimetre millimetres",
    "cm": "centimeter centimeters centimetre centimetres",
    "m": "meter meters metre metres",
    "m minute": "m",
    "ft-lbf": "ftlb ftlbs lbft lbsft lbfft footpound footpounds footlb footlbs poundfoot poundfeet",
    "in-lbf": "inlb inlbs lbin lbsin lbfin inchpound inchpounds inchlb inchlbs poundinch",
    "N-m": "newtonmeter newtonmeters newtonmetre newtonmetres",
    "psi": "lbf/in2 lb/in2 lbf/in² lb/in² lbf/in^2 lb/in^2",
    "ksi": "kip/in2 kips/in2 kip/in² kips/in² kip/in^2 kips/in^2",
    "MPa": "n/mm2 n/mm² n/mm^2 megapascal megapascals",
    "GPa": "gigapascal gigapascals",
    "degree degF degC": "° º deg degs degree degrees",
    "turn": "rev revs revolution revolutions rotation rotations",
    "degF": "f °f ºf ℉ fahrenheit degreef degreesf degreefahrenheit degreesfahrenheit",
    "degC": "c °c ºc ℃ celsius centigrade degreec degreesc degreecelsius degreescelsius",
    "kg": "kgs kilo kilos kilogram kilograms",
    "second": "s sec secs",
    "minute": "min mins",
    "hour": "h hr hrs",
    "%": "pct percent percents ％",
}

_MEANT: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {wrong: tuple(right.split()) for right, wrongs in _WRONG.items() for wrong in wrongs.split()}
)

_FORCES = "write the force in kip, lbf, kN or N"
_TORQUES = "write the torque in ft-lbf, in-lbf, N-m or kN-m"
_DAYS = "a span of days, months or years is written as `90 days`; a duration in second, minute or hour"
_AREAS = "there are no units of area: write a number, and `* 1 mm * 1 mm` or `* 1 in * 1 in` in the formula"
_NOTES: Mapping[str, str] = MappingProxyType(
    dict.fromkeys(("kgf", "kp", "tonf", "tonsf", "ton", "tons", "tonne", "tonnes", "t", "mn", "dan"), _FORCES)
    | dict.fromkeys(("kgfm", "kgm", "mkg", "kipft", "ftkip", "ftkips", "kipin", "inkip", "inkips"), _TORQUES)
    | dict.fromkeys(("day", "days", "month", "months", "year", "years", "week", "weeks"), _DAYS)
    | dict.fromkeys(("mil", "mils", "thou"), "1 mil is `0.001 in`: write the length in in or mm")
    | dict.fromkeys(("µm", "μm", "um", "micron", "microns"), "1000 microns are `1 mm`: write it in mm")
    | dict.fromkeys(("rad", "rads", "radian", "radians"), "write the angle in degree or turn")
    | dict.fromkeys(("pa", "kpa", "bar"), "write the stress in psi, ksi, MPa or GPa")
    | dict.fromkeys(("kelvin",), "write the temperature in degC or degF")
    | dict.fromkeys(("mm2", "mm²", "mm^2", "cm2", "cm²", "cm^2", "in2", "in²", "in^2", "sqin"), _AREAS)
)

_SEPARATORS = re.compile(r"[ \t·⋅•∙*.‐‑–-]+")


def _key(unit: str) -> str:
    return _SEPARATORS.sub("", unit).casefold()


def meant(unit: str, dimension: Dimension | None) -> tuple[str, ...]:
    """The units that a wrong spelling probably stands for, of the dimension that is wanted, if one is."""
    key = _key(unit)
    found = _MEANT.get(key) or tuple(known.name for name, known in UNITS.items() if _key(name) == key)
    if not found and key not in _NOTES and len(unit) <= 20:
        near = nearest(unit, UNITS if dimension is None else units_of(dimension))
        found = (UNITS[near].name,) if near else ()
    return tuple(name for name in found if dimension is None or UNITS[name].dimension == dimension)


def note(unit: str) -> str | None:
    """What to do about a unit of the trade that is not in the table."""
    return _NOTES.get(_key(unit))


def _without(characters: str) -> Callable[[re.Match[str]], str]:
    return lambda match: "".join(char for char in match[0] if char not in characters)


def _written_out(match: re.Match[str]) -> str:
    value = read_number(match[0].lower())
    return match[0] if value is None else exact(value)


_Repair = tuple[re.Pattern[str], "str | Callable[[re.Match[str]], str]", str]

# In this order: each is tried on what the ones before it left.
_REPAIRS: tuple[_Repair, ...] = (
    (re.compile(r"^[−–—‐‑](?=[0-9])|(?<=[0-9])[−–—‐‑](?=[0-9])"), "-", "a minus is written `-`"),
    (re.compile(r"^\+ *"), "", "a number is written without a plus sign"),
    (re.compile(r"^- +(?=[0-9.])"), "-", "a minus stands right before its number"),
    (re.compile(r"^(-?)\.(?=[0-9])"), r"\g<1>0.", "a number has a digit before its point"),
    (re.compile(r"^(-?[0-9]+)\.(?![0-9])"), r"\1", "a number has a digit after its point"),
    (re.compile(r"^-?[0-9]+(?:_[0-9]+)+"), _without("_"), "a number is written without `_`"),
    (
        re.compile(r"^-?[1-9][0-9]{0,2}(?:,[0-9]{3})+(?![0-9,])"),
        _without(","),
        "a number is written without thousands separators",
    ),
    (re.compile(r"^(-?[0-9]+),(?=[0-9])"), r"\1.", "decimals are written with a point, not with a comma"),
    (
        re.compile(r"^-?[1-9][0-9]{0,2}(?:[ \u00a0\u2009\u202f][0-9]{3})+(?![0-9/])"),
        _without(" \u00a0\u2009\u202f"),
        "a number is written without thousands separators",
    ),
    (re.compile(r"(?<=[0-9]) */ *(?=[0-9])"), "/", "a fraction is written without spaces"),
    (
        re.compile(r"^(-?[0-9]+)(?: *- *| +)(?=[0-9]+/[0-9])"),
        r"\1-",
        "a number and its fraction are joined by `-`",
    ),
    (re.compile(r"(?<=[0-9])-(?=[A-Za-z])"), " ", "a space, not a dash, stands before a unit"),
    (
        re.compile(r"(?<=[0-9]) *[\u00a0\u2007\u2009\u202f][ \u00a0\u2007\u2009\u202f]*(?=\S)"),
        " ",
        "the space before a unit is a plain one, not the kind that holds words together",
    ),
    (re.compile(r"^(-?)0+(?=[0-9])"), r"\1", "a number is written without leading zeros"),
    (
        re.compile(r"^-?[0-9]+(?:\.[0-9]+)?[eE][+-]?[0-9]{1,3}(?![0-9])"),
        _written_out,
        "the number of a quantity is written without an exponent",
    ),
)


def repaired(text: str) -> tuple[str, str | None]:
    """The text with its number as it should be written, and what was wrong with it (None if nothing was)."""
    plain = _ascii_digits(text)
    complaint = None if plain == text else "numbers are written with the digits 0 to 9, fractions as `1/2`"
    for pattern, replacement, message in _REPAIRS:
        changed = pattern.sub(replacement, plain)
        if changed != plain:
            plain, complaint = changed, complaint or message
    return plain, complaint


def _ascii_digits(text: str) -> str:
    """Digits of other scripts as 0 to 9, and ``½`` as ``1/2``, set off from a whole number before it."""
    out = ""
    for char in text:
        category = unicodedata.category(char)
        if category == "Nd":
            out += str(unicodedata.digit(char))
        elif category == "No" and "⁄" in (parts := unicodedata.normalize("NFKC", char)):
            out += ("-" if out[-1:].isdigit() else "") + parts.replace("⁄", "/")
        else:
            out += char
    return out
