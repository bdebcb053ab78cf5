"""Sets of values, and the ways in which a condition can hold: exact, each way a set of values for each reading."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import ceil, floor

MOST_WAYS = 200
"""Ways of one condition; beyond that nothing is said of it."""


@dataclass(frozen=True, slots=True)
class Range:
    """All figures between two, in base units; a date is its number. None is without end."""

    low: Fraction | None = None
    low_in: bool = True
    high: Fraction | None = None
    high_in: bool = True

    def meet(self, other: Range | Words) -> Range | None:
        assert isinstance(other, Range), "a reading is of one kind"
        low, low_in, high, high_in = self.low, self.low_in, self.high, self.high_in
        if other.low is not None and (low is None or (other.low, not other.low_in) > (low, not low_in)):
            low, low_in = other.low, other.low_in
        if other.high is not None and (high is None or (other.high, other.high_in) < (high, high_in)):
            high, high_in = other.high, other.high_in
        if low is not None and high is not None and (low > high or (low == high and not (low_in and high_in))):
            return None
        return Range(low, low_in, high, high_in)

    def whole(self) -> Range | None:
        """Of whole numbers alone."""
        low = None if self.low is None else Fraction(ceil(self.low) if self.low_in else floor(self.low) + 1)
        high = None if self.high is None else Fraction(floor(self.high) if self.high_in else ceil(self.high) - 1)
        return Range(low, True, high, True).meet(Range())


@dataclass(frozen=True, slots=True)
class Words:
    """Some words (yes and no are two), or all others but these."""

    these: frozenset[Hashable]
    others: bool = False

    def meet(self, other: Range | Words) -> Words | None:
        assert isinstance(other, Words), "a reading is of one kind"
        if self.others and other.others:
            return Words(self.these | other.these, True)
        one, two = (other, self) if self.others else (self, other)
        these = one.these - two.these if two.others else one.these & two.these
        return Words(these) if these else None


Subject = int
"""What is read; equal wherever the same is read."""
Way = Mapping[Subject, Range | Words]
"""One way for a condition to hold: what each reading must be."""
Ways = tuple[Way, ...]
"""All ways; none at all: it never holds."""

ALWAYS: Ways = ({},)
NEVER: Ways = ()


def all_of(*conditions: Ways | None) -> Ways | None:
    """The ways in which all of them hold."""
    found: Ways = ALWAYS
    if any(each == NEVER for each in conditions):
        return NEVER
    for ways in conditions:
        if ways is None or len(found) * len(ways) > MOST_WAYS * 10:
            return None
        met = (_meet(a, b) for a, b in product(found, ways))
        found = tuple(way for way in met if way is not None)
        if len(found) > MOST_WAYS:
            return None
    return found


def any_of(*conditions: Ways | None) -> Ways | None:
    """The ways in which any of them holds."""
    found: list[Way] = []
    for ways in conditions:
        if ways is None or len(found) + len(ways) > MOST_WAYS:
            return None
        found += ways
    return ALWAYS if {} in found else tuple(found)


def _meet(a: Way, b: Way) -> Way | None:
    found = dict(a)
    for subject, values in b.items():
        before = found.get(subject)
        met = values if before is None else before.meet(values)
        if met is None:
            return None
        found[subject] = met
    return found


def apart(*conditions: Ways | None) -> bool:
    """Whether they certainly never hold together."""
    return all_of(*conditions) == NEVER
