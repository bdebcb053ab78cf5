"""Dates and calendar spans, against an outside reference and an independent definition."""

from __future__ import annotations

import datetime

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from tautbook.lang.calendar import CalendarSpan, days_between, read_date, read_span, shift, show_span
from tautbook.lang.number import LONGEST, Mistake

FIRST, LAST = datetime.date(1900, 1, 1), datetime.date(2199, 12, 31)
dates = st.dates(FIRST, LAST)
month_ends = st.dates(datetime.date(1900, 2, 1), LAST).map(lambda d: d.replace(day=1) - datetime.timedelta(1))
spans = st.builds(CalendarSpan, st.integers(-2000, 2000), st.integers(-5000, 5000))


def supported(date: datetime.date) -> datetime.date | None:
    return date if FIRST <= date <= LAST else None


@given(dates | month_ends, spans)
def test_clamp_is_what_dateutil_does(date: datetime.date, span: CalendarSpan) -> None:
    try:
        month = supported(date + relativedelta(months=span.months))
        expected = None if month is None else supported(month + datetime.timedelta(span.days))
    except (OverflowError, ValueError):
        expected = None
    assert shift(date, span, "clamp") == expected


@given(dates, spans)
def test_roll_over_counts_from_the_first_of_the_month(date: datetime.date, span: CalendarSpan) -> None:
    year, month = date.year, date.month
    for _ in range(abs(span.months)):
        month += 1 if span.months > 0 else -1
        if month in {0, 13}:
            year, month = (year + 1, 1) if month == 13 else (year - 1, 12)
    if FIRST.year <= year <= LAST.year:
        first = datetime.date(year, month, 1)
        expected = supported(first + datetime.timedelta(date.day - 1) + datetime.timedelta(span.days))
    else:
        expected = None
    assert shift(date, span, "roll over") == expected


@given(dates, spans)
def test_policies_differ_only_where_the_day_does_not_exist(date: datetime.date, span: CalendarSpan) -> None:
    whole_months = CalendarSpan(span.months, 0)
    clamped, rolled = shift(date, whole_months, "clamp"), shift(date, whole_months, "roll over")
    refused = shift(date, span, "refuse")
    if clamped == rolled:
        assert refused == shift(date, span, "clamp") == shift(date, span, "roll over")
    else:
        assert refused is None
        assert clamped is not None and clamped.day < date.day


@pytest.mark.parametrize(
    ("date", "months", "clamped", "rolled"),
    [
        ("2026-08-31", 6, "2027-02-28", "2027-03-03"),
        ("2027-08-31", 6, "2028-02-29", "2028-03-02"),
        ("2024-02-29", 12, "2025-02-28", "2025-03-01"),
        ("2026-03-31", -1, "2026-02-28", "2026-03-03"),
    ],
)
def test_missing_days(date: str, months: int, clamped: str, rolled: str) -> None:
    start, span = datetime.date.fromisoformat(date), CalendarSpan(months, 0)
    assert shift(start, span, "clamp") == datetime.date.fromisoformat(clamped)
    assert shift(start, span, "roll over") == datetime.date.fromisoformat(rolled)
    assert shift(start, span, "refuse") is None


def test_months_come_before_days() -> None:
    assert shift(datetime.date(2026, 1, 31), CalendarSpan(1, 1), "clamp") == datetime.date(2026, 3, 1)


def test_outside_of_the_supported_years() -> None:
    for months, days in ((10**40, 0), (-(10**40), 0), (0, 10**40), (0, 1)):
        assert shift(LAST, CalendarSpan(months, days), "clamp") is None
    assert shift(FIRST, CalendarSpan(0, -1), "clamp") is None
    assert shift(LAST, CalendarSpan(0, 0), "refuse") == LAST


@given(dates, dates)
def test_days_between(a: datetime.date, b: datetime.date) -> None:
    assert days_between(a, b) == (b - a).days
    assert shift(a, CalendarSpan(0, days_between(a, b)), "refuse") == b


@given(dates)
def test_a_date_is_read_back(date: datetime.date) -> None:
    assert read_date(date.isoformat()) == date


@pytest.mark.parametrize(
    ("text", "code", "help"),
    [
        ("4/14/2026", "date-form", "write `2026-04-14`"),
        ("14.04.2026", "date-form", "write `2026-04-14`"),
        ("4/5/2026", "date-form", "write `2026-04-05` for 5 April or `2026-05-04` for 4 May"),
        ("5/5/2026", "date-form", "write `2026-05-05`"),
        ("2026-4-14", "date-form", "write `2026-04-14`"),
        ("2026/04/14", "date-form", "write `2026-04-14`"),
        ("20260414", "date-form", "write `2026-04-14`"),
        (" 2026-04-14", "date-form", "write `2026-04-14`"),
        ("2026-04-14\n", "date-form", "write `2026-04-14`"),
        ("2026-04-14T10:00:00Z", "date-form", "write `2026-04-14`"),
        ("14 April 2026", "date-form", "write the year, the month and the day as in `2026-04-14`"),
        ("", "date-form", "write the year, the month and the day as in `2026-04-14`"),
        ("99/99/2026", "date-form", "write the year, the month and the day as in `2026-04-14`"),
        ("4/14/1812", "date-form", "write the year, the month and the day as in `2026-04-14`"),
        ("２026-04-14", "date-form", "write the year, the month and the day as in `2026-04-14`"),
        ("2026-02-30", "date-unknown", "February 2026 has 28 days"),
        ("2024-02-30", "date-unknown", "February 2024 has 29 days"),
        ("2026-04-00", "date-unknown", "April 2026 has 30 days"),
        ("2026-14-04", "date-unknown", "write `2026-04-14`"),
        ("2026-14-44", "date-unknown", "months are 01 to 12"),
        ("2026-00-10", "date-unknown", "months are 01 to 12"),
        ("1899-12-31", "date-range", "was another year meant?"),
        ("2200-01-01", "date-range", "was another year meant?"),
        ("0000-01-01", "date-range", "was another year meant?"),
    ],
)
def test_dates_refused(text: str, code: str, help: str) -> None:
    mistake = read_date(text)
    assert isinstance(mistake, Mistake)
    assert (mistake.code, mistake.help) == (code, help)
    assert 0 <= mistake.start <= mistake.end <= len(text)


@given(st.text(max_size=30) | st.from_regex(r"[0-9]{1,4}[-/. ][0-9]{1,2}[-/. ][0-9]{1,4}", fullmatch=True))
def test_any_text_gives_a_date_or_a_mistake(text: str) -> None:
    date = read_date(text)
    assert isinstance(date, Mistake) or date.isoformat() == text


READ = {
    "0 days": CalendarSpan(0, 0),
    "1 day": CalendarSpan(0, 1),
    "90 days": CalendarSpan(0, 90),
    "1 month": CalendarSpan(1, 0),
    "6 months": CalendarSpan(6, 0),
    "1 year": CalendarSpan(12, 0),
    "2 years": CalendarSpan(24, 0),
}


@pytest.mark.parametrize("text", READ)
def test_spans_read(text: str) -> None:
    assert read_span(text) == READ[text]
    assert show_span(READ[text]) == text


@given(st.integers(0, 10**6), st.booleans())
def test_a_span_is_read_back(count: int, of_days: bool) -> None:
    span = CalendarSpan(0, count) if of_days else CalendarSpan(count, 0)
    assert read_span(show_span(span)) == span


def test_spans_of_both_are_shown() -> None:
    assert show_span(CalendarSpan(6, 1)) == "6 months and 1 day"
    assert show_span(CalendarSpan(-1, 0)) == "-1 month"


FORM = "write a whole number, one space, and days, months or years, such as `6 months`"


@pytest.mark.parametrize(
    ("text", "code", "help"),
    [
        ("2 weeks", "span-form", "write `14 days`"),
        ("6months", "span-form", "write `6 months`"),
        ("6 Months", "span-form", "write `6 months`"),
        ("6  months", "span-form", "write `6 months`"),
        ("06 months", "span-form", "write `6 months`"),
        ("6 mo.", "span-form", "write `6 months`"),
        ("1-year", "span-form", "write `1 year`"),
        ("1 yr", "span-form", "write `1 year`"),
        ("30 d", "span-form", "write `30 days`"),
        ("6 monhts", "span-form", "write `6 months`"),
        ("6 hours", "span-form", FORM),
        ("six months", "span-form", FORM),
        ("1.5 years", "span-form", FORM),
        ("-6 months", "span-form", FORM),
        ("6", "span-form", FORM),
        ("", "span-form", FORM),
        ("٣ months", "span-form", FORM),
        ("6 " + "months" * 50, "span-form", FORM),
        ("9" * (LONGEST + 1) + " days", "number-long", "write fewer digits"),
    ],
)
def test_spans_refused(text: str, code: str, help: str) -> None:
    mistake = read_span(text)
    assert isinstance(mistake, Mistake)
    assert (mistake.code, mistake.help) == (code, help)
    assert 0 <= mistake.start <= mistake.end <= len(text)
