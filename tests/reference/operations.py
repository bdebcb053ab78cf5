"""Operations on known values: each gives a plain value, or an Open where it is stuck."""

import calendar
import math
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise
from typing import Any

from reference.values import Open, stuck


def add_span(day: date, span: tuple[int, int], policy: str) -> date | Open:
    """Months first, then days. Past the end of a month: clamp to it, roll over it, or refuse."""
    months, days = span
    count = day.year * 12 + day.month - 1 + months
    year, month = count // 12, count % 12 + 1
    if not 1 <= year <= 9999:
        return stuck("date refused")
    last = calendar.monthrange(year, month)[1]
    beyond = max(0, day.day - last)
    if beyond and policy == "refuse":
        return stuck("date refused")
    try:
        extra = beyond if policy == "roll over" else 0
        return date(year, month, min(day.day, last)) + timedelta(days=days + extra)
    except OverflowError:
        return stuck("date refused")


def arithmetic(sign: str, x: Any, y: Any, policy: str) -> Any:
    if isinstance(x, date):
        return Fraction((x - y).days) if sign == "-" else add_span(x, y, policy)
    if sign == "/":
        return stuck("division by zero") if y == 0 else x / y
    return {"+": x + y, "-": x - y, "*": x * y}[sign]


def rounded(way: str, ties: str | None, x: Fraction, step: Fraction) -> Fraction | Open:
    if step == 0:
        return stuck("division by zero")
    steps = x / step
    if way == "nearest":
        return step * (round(steps) if ties == "even" else math.floor(steps + Fraction(1, 2)))
    return step * (math.ceil(steps) if way == "up" else math.floor(steps))


def look_up(table: tuple[list[Any], dict[tuple[Any, ...], Any]], keys: tuple[Any, ...]) -> Any:
    axes, cells = table
    exact = []
    for axis, key in zip(axes, keys, strict=True):
        if axis != "exact":
            labels = [w for lo, hi, w in axis if (lo is None or lo < key) and (hi is None or key <= hi)]
            if not labels:
                return stuck("no rule")
            key = labels[0]
        exact.append(key)
    return cells.get(tuple(exact), stuck("no rule"))


def between(x: Fraction, *flat: Fraction) -> Fraction | Open:
    points = sorted(zip(flat[::2], flat[1::2], strict=True))
    for place, value in points:
        if place == x:
            return value
    for (left, low), (right, high) in pairwise(points):
        if left < x < right:
            return low + (high - low) * (x - left) / (right - left)
    return stuck("outside the points")
