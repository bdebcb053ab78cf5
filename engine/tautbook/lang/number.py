"""Exact numbers: how they are read and written. Values are ``Fraction``; nothing is rounded in silence."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

LONGEST = 40
"""A number is written in at most this many characters, so that no text makes exact arithmetic slow."""

_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:e[+-]?[0-9]{1,3})?")
_CHUNK = 1000  # digits turned into text at once; Python refuses to write whole numbers of more than 4300


@dataclass(frozen=True, slots=True)
class Mistake:
    """What is wrong with a piece of text, returned in place of its value. ``start`` and ``end`` are offsets
    in that text; whoever knows where the text stands makes a problem of it."""

    code: str
    message: str
    help: str | None
    start: int
    end: int


def read_number(text: str) -> Fraction | None:
    """The number written as ``12``, ``-0.40`` or ``1e-3``; None for any other text.

    Not numbers: leading zeros, a plus sign, a point without digits on both sides, separators between digits,
    digits of other scripts, more than ``LONGEST`` characters.
    """
    if len(text) > LONGEST or _NUMBER.fullmatch(text) is None:
        return None
    return Fraction(text)


def exact(value: Fraction) -> str:
    """The value in full: a decimal without exponent where it ends, else ``n/d`` in lowest terms."""
    places = _places(value.denominator)
    if places is None:
        return ratio(value)
    scaled = abs(value.numerator) * 10**places // value.denominator
    digits = _digits(scaled).rjust(places + 1, "0")
    sign = "-" if value < 0 else ""
    return f"{sign}{digits[:-places]}.{digits[-places:]}" if places else f"{sign}{digits}"


def ratio(value: Fraction) -> str:
    """The value as ``n/d`` in lowest terms, or as a whole number."""
    under = f"/{_digits(value.denominator)}" if value.denominator > 1 else ""
    return f"{_digits(value.numerator)}{under}"


def about(value: Fraction, digits: int = 4) -> str:
    """The value for people, to ``digits`` significant digits, halves away from zero; ``≈`` where that rounds.

    Digits before the point are never rounded away: 41234.5 is ``≈41235``.
    """
    size, places = abs(value), 0
    while size and size * 10**places < 10 ** (digits - 1):
        places += 1
    rounded = Fraction((2 * size * 10**places + 1) // 2, 10**places)
    if rounded == size:
        return exact(value)
    return f"≈{exact(rounded if value > 0 else -rounded)}"


def _places(denominator: int) -> int | None:
    """Digits after the point of a decimal with this denominator; None where it never ends."""
    counts = []
    for prime in (2, 5):
        count = 0
        while denominator % prime == 0:
            denominator //= prime
            count += 1
        counts.append(count)
    return max(counts) if denominator == 1 else None


def _digits(number: int) -> str:
    """``str`` of a whole number of any length."""
    if number < 0:
        return f"-{_digits(-number)}"
    chunks = []
    while number >= 10**_CHUNK:
        number, low = divmod(number, 10**_CHUNK)
        chunks.append(str(low).rjust(_CHUNK, "0"))
    return "".join([str(number), *reversed(chunks)])


def clip(text: str) -> str:
    """Text of a user, short enough for a message."""
    return text if len(text) <= LONGEST else f"{text[:LONGEST]}..."
