"""Findings -> scales: the readings of one requirement and their limits as places on a line. Exact until it is drawn.

Days are places as well, by their number in the calendar.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..explaining.comparisons import Comparison, Held
from ..explaining.explain import Explained
from ..explaining.labels import item_label, shown
from ..explaining.sentences import asked, compared, how_far, observed_label, value_of
from ..lang.quantity import Quantity
from ..lang.units import Unit
from ..shape.vocabulary import Vocabulary
from .account import voided

_TICKS = 4
_ROOM = Fraction(15, 100)
"""Of the width between the outermost figures, what is left free beyond each of them."""
_WEEK = Fraction(7)


@dataclass(frozen=True, slots=True)
class Limit:
    at: Fraction
    said: str
    """The figure itself."""
    asks: str
    least: bool
    """Whether what lies below it is not allowed; else what lies above."""


@dataclass(frozen=True, slots=True)
class Mark:
    """One row: a reading, known or not, and its limits. Places are in the unit of the scale."""

    label: str
    at: Fraction | None
    read: str
    limits: tuple[Limit, ...]
    telling: Limit
    """The limit that is broken, or else the nearest."""
    held: Held
    said: str
    """The outcome in words, with what is to spare or wanting."""
    tie: bool
    told: str
    """All of it in one sentence."""


@dataclass(frozen=True, slots=True)
class Scale:
    what: str
    unit: str
    low: Fraction
    high: Fraction
    marks: tuple[Mark, ...]
    ticks: tuple[Fraction, ...]
    days: bool = False
    """Whether places are days of the calendar; they have no figures but those of the limits."""

    @property
    def common(self) -> tuple[Limit, ...]:
        """The limits, where all rows have the same."""
        first = next((mark.limits for mark in self.marks), ())
        return first if all(mark.limits == first for mark in self.marks) else ()

    def place(self, at: Fraction) -> Fraction:
        """0 at the left end, 1 at the right."""
        return (at - self.low) / (self.high - self.low)


def scales(group: Iterable[Explained], words: Vocabulary) -> list[Scale]:
    """The scales of one requirement, one for each thing that is compared with numbers."""
    rows: dict[tuple[str, object], list[tuple[Explained, tuple[Comparison, ...]]]] = {}
    for each in group:
        if each.finding.outcome != "not applicable":
            for name, together in _readings(each, words):
                rows.setdefault((name, _dimension(together[0])), []).append((each, together))
    return [_scale(name, found, words) for (name, _), found in rows.items()]


def _readings(explained: Explained, words: Vocabulary) -> Iterator[tuple[str, tuple[Comparison, ...]]]:
    """What was compared with numbers, each with all that it was compared with."""
    found: dict[tuple[str, str, object], list[Comparison]] = {}
    for each in explained.comparisons:
        if _is_measured(each):
            key = observed_label(each.observed, words), value_of(each.observed), _dimension(each)
            found.setdefault(key, []).append(each)
    for (name, _, _), together in found.items():
        yield name, tuple(together)


def _is_measured(comparison: Comparison) -> bool:
    limit = comparison.limit.value if comparison.limit is not None else None
    observed = comparison.observed.value
    ordered = comparison.relation in ("<", "<=", ">", ">=")
    kind = Quantity if isinstance(limit, Quantity) else datetime.date
    return ordered and isinstance(limit, kind) and (observed is None or isinstance(observed, kind))


def _dimension(comparison: Comparison) -> object:
    """What can stand on one scale has the same: quantities that of their unit, days none."""
    limit = comparison.limit.value if comparison.limit is not None else None
    return limit.unit.dimension if isinstance(limit, Quantity) else None


def _scale(what: str, rows: Sequence[tuple[Explained, tuple[Comparison, ...]]], words: Vocabulary) -> Scale:
    first = rows[0][1][0].limit
    assert first is not None
    unit = first.value.unit if isinstance(first.value, Quantity) else None
    marks = tuple(_mark(explained, together, what, unit, words) for explained, together in rows)
    figures = [limit.at for mark in marks for limit in mark.limits]
    figures += [mark.at for mark in marks if mark.at is not None]
    if unit is None:
        low, high = _ends_of_days(figures)
        return Scale(what, "days", low, high, marks, (), days=True)
    low, high = _ends(figures)
    whole = all(figure.denominator == 1 for figure in figures)
    return Scale(what, unit.name, low, high, marks, tuple(_ticks(low, high, whole)))


def _mark(
    explained: Explained, together: tuple[Comparison, ...], what: str, unit: Unit | None, words: Vocabulary
) -> Mark:  # fmt: skip
    """The row. What is said of it is said of the limit that is broken, or else of the nearest."""
    finding = explained.finding
    telling = min(together, key=_order)
    held = telling.outcome
    observed = telling.observed.value
    beside = f"{', waived' if finding.outcome == 'waived' and held == 'not met' else ''}{voided(explained)}"
    far = how_far(telling)
    return Mark(
        label=what if finding.item is None else item_label(finding.item, words),
        at=_place(observed, unit) if isinstance(observed, Quantity | datetime.date) else None,
        read="not recorded" if telling.observed.raw is None and telling.unknown else value_of(telling.observed),
        limits=tuple(_limit(each, unit) for each in together),
        telling=_limit(telling, unit),
        held=held,
        said=f"{held}{beside}{f', {far}' if far else ''}",
        tie=telling.tie,
        told="; ".join(dict.fromkeys(compared(each, words) for each in together)),
    )


def _order(comparison: Comparison) -> tuple[int, Fraction]:
    margin = comparison.margin
    rank = ("not met", "open", "met").index(comparison.outcome)
    return rank, margin.value if isinstance(margin, Quantity) else Fraction(margin or 0)


def _limit(comparison: Comparison, unit: Unit | None) -> Limit:
    limit = comparison.limit
    assert limit is not None and isinstance(limit.value, Quantity | datetime.date)
    at = _place(limit.value, unit)
    return Limit(at, shown(limit.value), asked(comparison), comparison.relation in (">", ">="))


def _place(value: Quantity | datetime.date, unit: Unit | None) -> Fraction:
    """A quantity as a number of that unit, a day as its number in the calendar."""
    if isinstance(value, Quantity):
        assert unit is not None, "all of one scale is of one dimension"
        return (value.value - unit.offset) / unit.scale
    return Fraction(value.toordinal())


def day_at(place: Fraction) -> str:
    """The day at a place of a scale of days."""
    return datetime.date.fromordinal(place // 1).isoformat()


def _ends_of_days(figures: Sequence[Fraction]) -> tuple[Fraction, Fraction]:
    """Whole days, a little beyond the outermost."""
    low, high = min(figures), max(figures)
    room = -(-(high - low) * _ROOM // 1) or _WEEK
    return low - room, high + room


def _ends(figures: Sequence[Fraction]) -> tuple[Fraction, Fraction]:
    """A little beyond the outermost figures; below nothing only where a figure is."""
    low, high = min(figures), max(figures)
    room = (high - low) * _ROOM or abs(high) / 5 or Fraction(1)
    return (low - room if low < 0 or low >= room else -room / 5), high + room


def _ticks(low: Fraction, high: Fraction, whole: bool) -> Iterator[Fraction]:
    """A few round figures between the ends: steps of 1, 2 or 5 times a power of ten, none below 1 for counts."""
    step = next(step for step in _steps(whole) if (high - low) / step <= _TICKS)
    number = -(-low // step)
    while number * step <= high:
        yield number * step
        number += 1


def _steps(whole: bool) -> Iterator[Fraction]:
    power = 0 if whole else -12
    while True:
        yield from (Fraction(10) ** power * lead for lead in (1, 2, 5))
        power += 1
