"""How far apart two values are, in words: in the unit of the later one, and in percent of the earlier one."""

from __future__ import annotations

import datetime

from ..lang.calendar import CalendarSpan
from ..lang.number import about
from ..lang.quantity import Quantity, show, show_about
from ..lang.values import Plain

_LONG = 12
"""A difference that takes more characters is shown rounded, with its sign of that."""


def difference(old: Plain, new: Plain) -> str:
    """``1 kip less (≈1.887 %)``, ``31 days later``; nothing where the values cannot be set off."""
    match old, new:
        case Quantity(), Quantity() if old.dimension == new.dimension:
            return _of_quantities(old, new)
        case datetime.date(), datetime.date():
            days = (new - old).days
            return f"{_many(abs(days), 'day')} {'later' if days > 0 else 'earlier'}" if days else ""
        case CalendarSpan(), CalendarSpan():
            return _of_spans(old, new)
        case _:
            return ""


def _of_quantities(old: Quantity, new: Quantity) -> str:
    if old.value == new.value:
        return "the same, in another unit" if old.unit.name != new.unit.name else "the same, written otherwise"
    unit = new.unit
    apart = Quantity(abs(new.value - old.value) + unit.offset, unit)
    if unit.name == "%":
        amount = f"{about(apart.magnitude)} percentage points"
    else:
        amount = show(apart) if len(show(apart)) <= _LONG else show_about(apart)
    way = "more" if new.value > old.value else "less"
    if unit.offset or old.value <= 0:  # no share of what has no zero of its own, or is none
        return f"{amount} {way}"
    return f"{amount} {way} ({about(100 * abs(new.value - old.value) / old.value)} %)"


def _of_spans(old: CalendarSpan, new: CalendarSpan) -> str:
    months, days = new.months - old.months, new.days - old.days
    if (months != 0) == (days != 0):
        return ""
    unit, size = ("month", months) if months else ("day", days)
    return f"{_many(abs(size), unit)} {'more' if size > 0 else 'less'}"


def _many(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"
