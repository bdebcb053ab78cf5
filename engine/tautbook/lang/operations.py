"""What each operator does with values, known or open. Folding and evaluating both come here.

Reasons are united; nothing is guessed by algebra (``0 * missing`` stays open). Bounds of an open value are read
by ``compare`` alone.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import assert_never, cast

from .calendar import CalendarSpan, days_between, shift, show_span
from .kernel import BandRange, Relation, Rules, Table, key_of
from .quantity import ONE, Quantity, Unit, coherent, number, show
from .values import Missing, Open, Plain, Reason, Stuck, StuckBy, Value


def stuck(by: StuckBy, detail: str) -> Open:
    return Open(frozenset({Stuck(by, detail)}))


def missing(path: str) -> Open:
    return Open(frozenset({Missing(path)}))


def united(values: Iterable[Value]) -> Open | None:
    """One open value with the reasons of all open ones; None if every value is known."""
    reasons: set[Reason] = set()
    for value in values:
        if isinstance(value, Open):
            reasons |= value.reasons
    return Open(frozenset(reasons)) if reasons else None


def _quantities(*values: Value) -> tuple[Quantity, ...]:
    """INVARIANT: the checker let only numbers and quantities come here."""
    assert all(isinstance(value, Quantity) for value in values)
    return cast("tuple[Quantity, ...]", values)


def negate(value: Value) -> Value:
    if isinstance(value, Open):
        return Open(value.reasons)
    (of,) = _quantities(value)
    return Quantity(-of.value, of.unit)


def absolute(value: Value) -> Value:
    if isinstance(value, Open):
        return Open(value.reasons)
    (of,) = _quantities(value)
    return Quantity(abs(of.value), of.unit)


def add(left: Value, right: Value) -> Value:
    """The sum, shown in the unit of the left part."""
    if found := united((left, right)):
        return found
    a, b = _quantities(left, right)
    return Quantity(a.value + b.value, a.unit)


def multiply(left: Value, right: Value) -> Value:
    """The product; a plain number keeps the unit of the other part."""
    if found := united((left, right)):
        return found
    a, b = _quantities(left, right)
    return Quantity(a.value * b.value, _product_unit(a.unit, b.unit))


def divide(left: Value, right: Value) -> Value:
    if found := united((left, right)):
        return found
    a, b = _quantities(left, right)
    if b.value == 0:
        return stuck("division by zero", f"{show(a)} divided by {show(b)}")
    plain = b.unit.dimension == ONE.dimension
    unit = a.unit if plain and a.unit.dimension != ONE.dimension else coherent(a.dimension / b.dimension)
    return Quantity(a.value / b.value, unit)


def _product_unit(a: Unit, b: Unit) -> Unit:
    if a.dimension == ONE.dimension:
        return b if b.dimension != ONE.dimension else ONE
    return a if b.dimension == ONE.dimension else coherent(a.dimension * b.dimension)


def rounded(way: str, value: Value, step: Quantity, ties: str | None) -> Value:
    """A whole multiple of ``step``, shown in its unit. Ties go up (towards more) or to the even multiple."""
    if isinstance(value, Open):
        return Open(value.reasons)
    (of,) = _quantities(value)
    ratio = of.value / step.value
    if way == "nearest":
        times = (ratio + Fraction(1, 2)).__floor__()
        if ties == "even" and ratio + Fraction(1, 2) == times and times % 2:
            times -= 1
    else:
        times = ratio.__ceil__() if way == "up" else ratio.__floor__()
    return Quantity(times * step.value, step.unit)


def moved(date: Value, by: Value, rules: Rules) -> Value:
    if found := united((date, by)):
        return found
    assert isinstance(date, datetime.date) and isinstance(by, CalendarSpan)
    later = shift(date, by, rules.months)
    if later is None:
        return stuck("date refused", f"{date.isoformat()} moved on arrives at no date of the calendar")
    return later


def days(left: Value, right: Value) -> Value:
    if found := united((left, right)):
        return found
    assert isinstance(left, datetime.date) and isinstance(right, datetime.date)
    return number(days_between(right, left))


# Comparison

_TESTS: dict[Relation, Callable[[Fraction, Fraction], bool]] = {
    "<": lambda a, b: a < b,
    "<=": lambda a, b: a <= b,
    ">": lambda a, b: a > b,
    ">=": lambda a, b: a >= b,
    "=": lambda a, b: a == b,
    "!=": lambda a, b: a != b,
}
FLIPPED: dict[Relation, Relation] = {"<": ">", "<=": ">=", ">": "<", ">=": "<=", "=": "=", "!=": "!="}
"""The same relation with its sides exchanged."""
NEGATED: dict[Relation, Relation] = {"=": "!=", "!=": "=", "<": ">=", "<=": ">", ">": "<=", ">=": "<"}
"""The relation that holds where the other one does not."""


def compare(left: Value, relation: Relation, right: Value) -> Value:
    """yes or no; open where a part is open and its bounds do not already decide."""
    found = united((left, right))
    if found is not None:
        certain = _by_bounds(left, relation, right)
        return found if certain is None else certain
    assert not isinstance(left, Open) and not isinstance(right, Open)
    if isinstance(left, Quantity) and isinstance(right, Quantity):
        return _TESTS[relation](left.value, right.value)
    if isinstance(left, datetime.date) and isinstance(right, datetime.date):
        return _TESTS[relation](Fraction(left.toordinal()), Fraction(right.toordinal()))
    return (left == right) == (relation == "=")


def _by_bounds(left: Value, relation: Relation, right: Value) -> bool | None:
    """The answer that holds for every value inside the bounds, if there is one."""
    (a_low, a_high), (b_low, b_high) = _range(left), _range(right)
    below = a_high is not None and b_low is not None and a_high < b_low  # left is less, whatever comes
    above = a_low is not None and b_high is not None and a_low > b_high
    at_most = a_high is not None and b_low is not None and a_high <= b_low
    at_least = a_low is not None and b_high is not None and a_low >= b_high
    yes, no = {
        "<": (below, at_least),
        "<=": (at_most, above),
        ">": (above, at_most),
        ">=": (at_least, below),
        "=": (False, below or above),
        "!=": (below or above, False),
    }[relation]
    return True if yes else False if no else None


def _range(value: Value) -> tuple[Fraction | None, Fraction | None]:
    if isinstance(value, Quantity):
        return value.value, value.value
    if isinstance(value, Open):
        low, high = value.at_least, value.at_most
        return None if low is None else low.value, None if high is None else high.value
    return None, None


# Strong Kleene logic


def negated(value: Value) -> Value:
    return value if isinstance(value, Open) else not value


def all_of(values: Sequence[Value]) -> Value:
    """no if any is no; else open if any is open; else yes."""
    if any(value is False for value in values):
        return False
    return united(values) or True


def any_of(values: Sequence[Value]) -> Value:
    """yes if any is yes; else open if any is open; else no."""
    if any(value is True for value in values):
        return True
    return united(values) or False


def chosen(condition: Open, then: Value, otherwise: Value) -> Value:
    """``if`` with an open condition: the common value of both branches, else open with all reasons."""
    if not isinstance(then, Open) and not isinstance(otherwise, Open) and then == otherwise:
        return then
    found = united((condition, then, otherwise))
    assert found is not None
    return found


# Lists


def over(what: str, values: Sequence[Value], where: str) -> Value:
    """``what`` of the values of all items of the list at ``where``."""
    if what == "every":
        return all_of(values)
    if what == "some":
        return any_of(values)
    if what == "count":
        return _count(values)
    found = united(values)
    known = [value for value in values if isinstance(value, Quantity)]
    if what in {"smallest", "largest"}:
        pick = min if what == "smallest" else max
        best = pick(known, key=lambda quantity: quantity.value) if known else None
        if found is not None:
            return Open(found.reasons, best if what == "largest" else None, best if what == "smallest" else None)
        return best if best is not None else stuck("empty list", f"`{where}` holds no items")
    if found is not None:
        return found
    if what == "sum":
        total = sum((quantity.value for quantity in known), Fraction(0))
        return Quantity(total, known[0].unit if known else ONE)
    if not known:
        return stuck("empty list", f"`{where}` holds no items")
    return Quantity(sum((quantity.value for quantity in known), Fraction(0)) / len(known), known[0].unit)


def _count(values: Sequence[Value]) -> Value:
    certain = sum(value is True for value in values)
    found = united(values)
    if found is None:
        return number(certain)
    still = sum(isinstance(value, Open) for value in values)
    return Open(found.reasons, number(certain), number(certain + still))


# Tables and points


def band_of(bands: Sequence[BandRange], of: Value, table: str) -> Value:
    """The label of the band that the value lies in."""
    if isinstance(of, Open):
        return Open(of.reasons)
    (at,) = _quantities(of)
    for band in bands:
        if (band.over is None or band.over.value < at.value) and (band.up_to is None or at.value <= band.up_to.value):
            return band.label
    return stuck("no rule", f"table `{table}` has no band for {show(at)}")


def looked_up(table: Table, keys: Sequence[Value]) -> Value:
    """The value of the cell at the keys."""
    if found := united(keys):
        return found
    plain = [key for key in keys if not isinstance(key, Open)]
    cell = table.cells.get(tuple(key_of(key) for key in plain))
    if cell is None and table.covers:
        told = ", ".join(map(words, plain))
        # Only another spelling is suggested: a word that merely looks alike may be another thing altogether.
        same = [word for (word,) in table.cells if isinstance(word, str) and _spelling(word) == _spelling(told)]
        meant = f"; it is written {same[0]}" if same else ""
        return stuck("no rule", f"this edition does not cover {table.name} {told}{meant}")
    if cell is None:
        return stuck("no rule", f"table `{table.name}` has no figure for {', '.join(map(words, plain))}")
    return cell.value


def _spelling(word: str) -> str:
    return "".join(word.casefold().split())


def interpolated(points: Sequence[tuple[Value, Value]], at: Value, where: str) -> Value:
    """On the straight line between the two neighbouring points; a point itself gives its own value."""
    if found := united([at, *(part for point in points for part in point)]):
        return found
    (x,) = _quantities(at)
    line = sorted(((a, b) for a, b in (_quantities(*point) for point in points)), key=lambda point: point[0].value)
    for place, value in line:
        if place.value == x.value:
            return value
    for (left, low), (right, high) in pairwise(line):
        if left.value < x.value < right.value:
            share = (x.value - left.value) / (right.value - left.value)
            return Quantity(low.value + share * (high.value - low.value), low.unit)
    span = f"{show(line[0][0])} to {show(line[-1][0])}" if line else "none"
    return stuck("outside the points", f"{show(x)} is outside of the points of `{where}` ({span})")


def words(value: Plain) -> str:
    """A known value as people write it."""
    match value:
        case bool():
            return "yes" if value else "no"
        case Quantity():
            return show(value)
        case CalendarSpan():
            return show_span(value)
        case datetime.date():
            return value.isoformat()
        case str():
            return value
        case _:
            assert_never(value)
