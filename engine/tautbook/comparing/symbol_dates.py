"""Dates that a solver looks for: months moved on under a policy, days counted, all in whole numbers.

Years 1950 to 2100 are looked through; moved on, a date can lie later. Within 1901 to 2199 a year is a leap year if 4
divides it, 2100 excepted.
"""

from __future__ import annotations

from typing import Any

import z3

from ..lang.calendar import FIRST_YEAR, LAST_YEAR, CalendarSpan, MonthPolicy
from .symbols import Day, Flag, NotReached, conj, disj, neg, pick

_BEFORE = (0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334)
"""Days of a common year before each month."""


def last_day(month: Any) -> Any:
    """The number of days of a month, counted from year 0."""
    of_year = month % 12
    thirty = z3.Or(of_year == 3, of_year == 5, of_year == 8, of_year == 10)
    return z3.If(of_year == 1, z3.If(_leap(month / 12), z3.IntVal(29), z3.IntVal(28)),
                 z3.If(thirty, z3.IntVal(30), z3.IntVal(31)))  # fmt: skip


def _leap(year: Any) -> Any:
    return z3.And(year % 4 == 0, year != 2100, year != 1900)


def ordinal(day: Day) -> Any:
    """Days, counted on from a fixed one."""
    month, year = _whole(day.month) % 12, _whole(day.month) / 12
    before: Any = z3.IntVal(_BEFORE[11])
    for i in range(10, -1, -1):
        before = z3.If(month == i, z3.IntVal(_BEFORE[i]), before)
    leaps = (year - 1) / 4 - z3.If(year > 2100, z3.IntVal(1), z3.IntVal(0))
    this = z3.If(z3.And(_leap(year), month > 1), z3.IntVal(1), z3.IntVal(0))
    return 365 * year + leaps + before + this + _whole(day.day)


def _whole(value: Any) -> Any:
    return z3.IntVal(value) if isinstance(value, int) else value


def real_day(day: Day) -> Flag:
    """Whether there is such a day."""
    return z3.And(day.day >= 1, day.day <= last_day(day.month))


def moved(date: Day, span: CalendarSpan, policy: MonthPolicy, fresh: Day) -> tuple[Day, Flag, Flag]:
    """The date ``span`` later; where it is refused; and what must hold of ``fresh``, a day of the solver's own that is
    used where days are counted on."""
    month, day = _whole(date.month) + span.months, _whole(date.day)
    last = last_day(month)
    refused = conj(day > last) if policy == "refuse" else False
    if policy == "roll over":
        over = day > last
        month, day = pick(over, month + 1, month), pick(over, day - last, day)
    else:
        day = z3.If(day > last, last, day)
    if abs(span.months) > 600 or abs(span.days) > 18000:
        raise NotReached("a calendar span of more than 50 years")
    refused = disj(refused, month < FIRST_YEAR * 12, month >= (LAST_YEAR + 1) * 12)
    if span.days == 0:
        return Day(month, day), refused, True
    # Also where the day arrived at is out of the calendar: else any day could be chosen, to be refused.
    counted = disj(refused, z3.And(ordinal(fresh) == ordinal(Day(month, day)) + span.days, real_day(fresh)))
    return fresh, disj(refused, fresh.month < FIRST_YEAR * 12, fresh.month >= (LAST_YEAR + 1) * 12), counted


def before(left: Day, right: Day) -> Flag:
    """Whether ``left`` is the earlier."""
    month, other = left.month, right.month
    if isinstance(month, int) and isinstance(other, int) and month != other:
        return month < other
    return disj(month < other, conj(month == other, left.day < right.day))


def later_or_same(left: Day, right: Day) -> Flag:
    return neg(before(left, right))
