"""Dates and calendar spans. Months are counted on the calendar; a policy says what a missing day becomes."""

from __future__ import annotations

import datetime
import re
from calendar import monthrange
from dataclasses import dataclass
from typing import Literal

from .number import LONGEST, Mistake, clip
from .problem import nearest

MonthPolicy = Literal["clamp", "roll over", "refuse"]

FIRST_YEAR, LAST_YEAR = 1900, 2199

_FIRST = datetime.date(FIRST_YEAR, 1, 1).toordinal()
_LAST = datetime.date(LAST_YEAR, 12, 31).toordinal()
_DATE = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_YEAR_FIRST = re.compile(r"([0-9]{4})[-/. ]?([0-9]{1,2})[-/. ]?([0-9]{1,2})")
_YEAR_LAST = re.compile(r"([0-9]{1,2})[-/. ]([0-9]{1,2})[-/. ]([0-9]{4})")
_DATE_AND_MORE = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})[T ].*", re.DOTALL)
_SPAN = re.compile(r"(0|[1-9][0-9]*) (day|month|year)s?")
_LOOSE_SPAN = re.compile(r"\s*0*([0-9]+)\s*-?\s*([A-Za-z]+)\.?\s*")
_ABBREVIATED = (
    {"d": "day"}
    | dict.fromkeys(("mo", "mos", "mth", "mths"), "month")
    | dict.fromkeys(("y", "yr", "yrs"), "year")
)
_MONTHS = (
    "", "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class CalendarSpan:
    """Whole months, then whole days. A year is 12 months; a month is no fixed number of days."""

    months: int
    days: int


def read_span(text: str) -> CalendarSpan | Mistake:
    """``90 days``, ``6 months`` or ``1 year``, else a mistake of code ``span-form`` or ``number-long``."""
    match = _SPAN.fullmatch(text)
    if match is None:
        message = f"`{clip(text)}` is not a calendar span"
        return Mistake("span-form", message, _span_help(text), 0, len(text))
    if len(match[1]) > LONGEST:
        return Mistake(
            "number-long", f"a number has at most {LONGEST} characters", "write fewer digits", 0, match.end(1)
        )
    count = int(match[1])
    if match[2] == "day":
        return CalendarSpan(0, count)
    return CalendarSpan(count * (12 if match[2] == "year" else 1), 0)


def _span_help(text: str) -> str:
    form = "write a whole number, one space, and days, months or years, such as `6 months`"
    match = _LOOSE_SPAN.fullmatch(text) if len(text) <= LONGEST else None
    if match is None:
        return form
    count, word = int(match[1]), match[2].lower()
    if word in {"w", "wk", "wks", "week", "weeks"}:
        return f"write `{show_span(CalendarSpan(0, 7 * count))}`"
    unit = _ABBREVIATED.get(word) or nearest(word, ("day", "days", "month", "months", "year", "years"))
    return form if unit is None else f"write `{_counted(count, unit.removesuffix('s'))}`"


def show_span(span: CalendarSpan) -> str:
    """The span in words; ``read_span`` reads it back if it is of months or days alone and not negative."""
    parts = []
    if span.months:
        years, odd = divmod(span.months, 12)
        parts.append(_counted(span.months, "month") if odd else _counted(years, "year"))
    if span.days or not span.months:
        parts.append(_counted(span.days, "day"))
    return " and ".join(parts)


def read_date(text: str) -> datetime.date | Mistake:
    """A date as year-month-day, ``2026-04-14``, of the years 1900 to 2199.

    Else a mistake: ``date-form`` (written otherwise), ``date-unknown`` (no such day) or ``date-range``.
    """
    match = _DATE.fullmatch(text)
    if match is None:
        message = f"`{clip(text)}` is not written as year-month-day"
        return Mistake("date-form", message, _date_help(text), 0, len(text))
    year, month, day = int(match[1]), int(match[2]), int(match[3])
    if not FIRST_YEAR <= year <= LAST_YEAR:
        message = f"the year {match[1]} is outside of {FIRST_YEAR} to {LAST_YEAR}"
        return Mistake("date-range", message, "was another year meant?", 0, 4)
    if not 1 <= month <= 12:
        help = _suggest([(year, day, month)]) or "months are 01 to 12"
        return Mistake("date-unknown", f"there is no month {match[2]}", help, 5, 7)
    last = monthrange(year, month)[1]
    if not 1 <= day <= last:
        message, help = f"there is no {text}", f"{_MONTHS[month]} {year} has {last} days"
        return Mistake("date-unknown", message, help, 8, 10)
    return datetime.date(year, month, day)


def _date_help(text: str) -> str:
    """The dates that may have been meant. Day and month are never chosen for the user."""
    text = text.strip()
    if match := _DATE_AND_MORE.fullmatch(text):
        readings = [match[1].split("-")]
    elif match := _YEAR_FIRST.fullmatch(text):
        readings = [[match[1], match[2], match[3]]]
    elif match := _YEAR_LAST.fullmatch(text):
        readings = [[match[3], match[1], match[2]], [match[3], match[2], match[1]]]
    else:
        readings = []
    dates = [(int(year), int(month), int(day)) for year, month, day in readings]
    return _suggest(dates) or "write the year, the month and the day as in `2026-04-14`"


def _suggest(dates: list[tuple[int, int, int]]) -> str | None:
    real: dict[str, str] = {}
    for year, month, day in dates:
        if FIRST_YEAR <= year <= LAST_YEAR and 1 <= month <= 12 and 1 <= day <= monthrange(year, month)[1]:
            real[f"`{year}-{month:02}-{day:02}`"] = f"{day} {_MONTHS[month]}"
    if len(real) == 1:
        return f"write {next(iter(real))}"
    return "write " + " or ".join(f"{date} for {words}" for date, words in real.items()) if real else None


def shift(date: datetime.date, span: CalendarSpan, policy: MonthPolicy) -> datetime.date | None:
    """The date ``span`` later: months first, then days.

    Where the day does not exist in the month arrived at, ``clamp`` takes the last day of that month,
    ``roll over`` counts on into the next, and ``refuse`` gives None. So does a date outside of the years
    1900 to 2199.
    """
    year, month = divmod(date.year * 12 + date.month - 1 + span.months, 12)
    if not FIRST_YEAR <= year <= LAST_YEAR:
        return None
    last = monthrange(year, month + 1)[1]
    if date.day > last and policy == "refuse":
        return None
    day = min(date.day, last) if policy == "clamp" else date.day
    ordinal = datetime.date(year, month + 1, 1).toordinal() + day - 1 + span.days
    return datetime.date.fromordinal(ordinal) if _FIRST <= ordinal <= _LAST else None


def days_between(start: datetime.date, end: datetime.date) -> int:
    """Whole days from ``start`` to ``end``; negative if ``end`` is the earlier."""
    return end.toordinal() - start.toordinal()


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count in {1, -1} else f"{count} {word}s"
