"""Dates and spans as rules add them, against dateutil.relativedelta: ``months: clamp`` is what it does.

``tests/lang/test_calendar.py`` compares single moves of the calendar on drawn dates. Here rules are evaluated: several
spans one after another, every day at the end of a month through leap years and a century, and the last day in time.
"""

from __future__ import annotations

import datetime
import random

import pytest
from dateutil.relativedelta import relativedelta

from conformance.engine import outcome
from tautbook.lang.values import Open

FIRST, LAST = datetime.date(1900, 1, 1), datetime.date(2199, 12, 31)
Span = tuple[int, str]


def stated(count: int, unit: str) -> str:
    return f"{count} {unit if count != 1 else unit.removesuffix('s')}"


def moved(date: datetime.date, *spans: Span) -> datetime.date | None:
    """By dateutil, one span after another; None once it leaves the years that the engine knows."""
    for count, unit in spans:
        try:
            date += relativedelta(**{unit: count})  # type: ignore[arg-type]
        except (OverflowError, ValueError):
            return None
        if date > LAST:
            return None
    return date


def agrees(date: datetime.date, *spans: Span) -> bool:
    """True where both arrive at one date, and False where both leave the calendar."""
    text = " + ".join([date.isoformat(), *(stated(*span) for span in spans)])
    found, expected = outcome(text, {"months": "clamp"}), moved(date, *spans)
    if expected is not None:
        assert found == expected, text
    else:
        assert isinstance(found, Open) and {stuck.by for stuck in found.stuck} == {"date refused"}, text
    return expected is not None


# 2096 is a leap year, 2100 is none, and 2000 was one.
@pytest.mark.parametrize("year", [1900, 1999, 2000, 2023, 2024, 2096, 2099, 2100, 2199])
def test_every_day_at_the_end_of_a_month(year: int) -> None:
    start = datetime.date(year, 1, 1)
    ends = [day for n in range(366) if (day := start + datetime.timedelta(n)).day >= 28 and day.year == year]
    assert len(ends) in {41, 42}
    spans = [*((months, "months") for months in (1, 2, 3, 6, 11, 12, 13, 18)), *((years, "years") for years in (1, 4))]
    compared = sum(agrees(day, span) for day in ends for span in spans)
    assert compared == len(ends) * len(spans) or year == 2199  # the last year of the calendar


def test_spans_one_after_another() -> None:
    draw = random.Random(20260414)
    compared = 0
    for _ in range(3000):
        date = FIRST + datetime.timedelta(draw.randrange((LAST - FIRST).days + 1))
        if draw.random() < 0.5:  # the last day of a month more often than one in thirty
            date += relativedelta(day=31)
        units = [draw.choice(["days", "months", "years"]) for _ in range(draw.randint(1, 4))]
        most = {"days": 800, "months": 60, "years": 30}
        compared += agrees(date, *((draw.randint(0, most[unit]), unit) for unit in units))
    assert compared > 2000


@pytest.mark.parametrize("span", [(6, "months"), (12, "months"), (1, "years"), (90, "days")])
def test_the_last_day_in_time(span: Span) -> None:
    """A calibration that is good for a span is in date on the day that dateutil gives, and not on the next."""
    draw = random.Random(stated(*span))
    for _ in range(200):
        end_of_month = datetime.date(2000, 1, 31) + relativedelta(months=draw.randrange(600))
        day = end_of_month - datetime.timedelta(draw.choice((0, 0, 1, 2, 15)))
        last = moved(day, span)
        assert last is not None
        for late in (0, 1):
            tested = last + datetime.timedelta(late)
            record = {"record": {"calibrated": day.isoformat(), "tested": tested.isoformat()}}
            assert outcome(f"tested <= calibrated + {stated(*span)}", record) is (late == 0), (day, tested)


def test_days_between_dates_are_those_of_dateutil_spans() -> None:
    draw = random.Random(365)
    for _ in range(500):
        day, count = FIRST + datetime.timedelta(draw.randrange(70000)), draw.randrange(20000)
        later = moved(day, (count, "days"))
        assert later is not None
        assert outcome(f"{later} - {day} = {count}", {}) is True
