"""What each operator of the language does with values that a solver looks for: the same as ``lang/operations.py``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import z3

from ..lang.kernel import BandRange, Relation
from ..lang.quantity import Quantity
from .symbol_dates import before, later_or_same
from .symbols import (
    Bound,
    Day,
    Flag,
    Symbol,
    all_flags,
    any_flag,
    conj,
    disj,
    every,
    known,
    missing_of,
    neg,
    pick,
    real,
    same,
    some,
    strict,
    stuck_of,
)  # fmt: skip


def divide(left: Symbol, right: Symbol) -> Symbol:
    return strict(left.value / right.value, (left, right), stuck=right.value == 0)


def absolute(of: Symbol) -> Symbol:
    return strict(z3.If(of.value >= 0, of.value, -of.value), (of,))


def rounded(way: str, of: Symbol, step: Quantity, ties: str | None) -> Symbol:
    size = real(step.value)
    ratio = of.value / size
    if way == "nearest":
        times = z3.ToInt(ratio + z3.Q(1, 2))
        if ties == "even":
            tie = z3.And(ratio + z3.Q(1, 2) == z3.ToReal(times), times % 2 == 1)
            times = z3.If(tie, times - 1, times)
    else:
        times = -z3.ToInt(-ratio) if way == "up" else z3.ToInt(ratio)
    return strict(z3.ToReal(times) * size, (of,))


# Comparison


def compare(left: Symbol, relation: Relation, right: Symbol) -> Symbol:
    """yes or no; open where a part is open and its bounds do not already decide."""
    whole = strict(_test(left.value, relation, right.value), (left, right))
    if left.low is None and left.high is None and right.low is None and right.high is None:
        return whole
    yes, no = _by_bounds(left, relation, right)
    is_open = disj(whole.missing, whole.stuck)
    decided = disj(yes, no)
    value = pick(is_open, yes, whole.value) if whole.value is not None else yes
    return Symbol(value, conj(neg(decided), whole.missing), conj(neg(decided), whole.stuck))


def _test(left: Any, relation: Relation, right: Any) -> Any:
    if left is None or right is None:
        return None
    match relation:
        case "=":
            return same(left, right)
        case "!=":
            return neg(same(left, right))
    if isinstance(left, Day):
        match relation:
            case "<":
                return before(left, right)
            case "<=":
                return later_or_same(right, left)
            case ">":
                return before(right, left)
            case _:
                return later_or_same(left, right)
    match relation:
        case "<":
            return left < right
        case "<=":
            return left <= right
        case ">":
            return left > right
        case _:
            return left >= right


def _by_bounds(left: Symbol, relation: Relation, right: Symbol) -> tuple[Flag, Flag]:
    a_low, a_high = _range(left)
    b_low, b_high = _range(right)
    below, above = _less(a_high, b_low), _less(b_high, a_low)
    at_most, at_least = _less(a_high, b_low, True), _less(b_high, a_low, True)
    cases: Mapping[Relation, tuple[Flag, Flag]] = {
        "<": (below, at_least),
        "<=": (at_most, above),
        ">": (above, at_most),
        ">=": (at_least, below),
        "=": (False, disj(below, above)),
        "!=": (disj(below, above), False),
    }
    return cases[relation]


def _range(value: Symbol) -> tuple[Bound, Bound]:
    """Least and greatest: the value itself where it is known, else the bounds that are certain."""
    is_known = known(value)

    def end(bound: Bound | None) -> Bound:
        if bound is None:
            return Bound(is_known if value.value is not None else False, value.value)
        if value.value is None:
            return bound
        return Bound(disj(is_known, bound.holds), pick(is_known, value.value, bound.value))

    return end(value.low), end(value.high)


def _less(low: Bound, high: Bound, or_equal: bool = False) -> Flag:
    if low.holds is False or high.holds is False:
        return False
    return conj(low.holds, high.holds, low.value <= high.value if or_equal else low.value < high.value)


# Choosing


def chosen(condition: Symbol, then: Symbol, otherwise: Symbol) -> Symbol:
    """``if``: with an open condition the common value of both branches, else open with all reasons."""
    is_open = disj(condition.missing, condition.stuck)
    test = condition.value if condition.value is not None else True
    if then.value is None or otherwise.value is None:
        agree: Flag = False
        value = otherwise.value if then.value is None else then.value
    else:
        agree = conj(known(then), known(otherwise), same(then.value, otherwise.value))
        value = pick(test, then.value, otherwise.value)
    missing = missing_of((condition, then, otherwise))
    stuck = stuck_of((condition, then, otherwise))
    return Symbol(
        value,
        pick(is_open, conj(neg(agree), missing), pick(test, then.missing, otherwise.missing)),
        pick(is_open, conj(neg(agree), stuck), pick(test, then.stuck, otherwise.stuck)),
        _chosen_bound(is_open, test, then.low, otherwise.low),
        _chosen_bound(is_open, test, then.high, otherwise.high),
    )


def _chosen_bound(is_open: Flag, test: Flag, then: Bound | None, otherwise: Bound | None) -> Bound | None:
    if then is None and otherwise is None:
        return None
    one = then or Bound(False, otherwise.value if otherwise else None)
    two = otherwise or Bound(False, one.value)
    return Bound(conj(neg(is_open), pick(test, one.holds, two.holds)), pick(test, one.value, two.value))


# Lists. ``there`` says of each item whether the list has it.


def over(what: str, items: Sequence[Symbol], there: Sequence[Flag]) -> Symbol:
    if what == "every":
        return every(items, there)
    if what == "some":
        return some(items, there)
    missing = any_flag(conj(here, item.missing) for item, here in zip(items, there, strict=True))
    stuck = any_flag(conj(here, item.stuck) for item, here in zip(items, there, strict=True))
    if what == "count":
        certain = _total([conj(here, known(item), _is_yes(item)) for item, here in zip(items, there, strict=True)])
        still = _total([conj(here, disj(item.missing, item.stuck)) for item, here in zip(items, there, strict=True)])
        return Symbol(certain, missing, stuck, Bound(True, certain), Bound(True, certain + still))
    empty = neg(any_flag(there))
    is_open = disj(missing, stuck)
    stuck = disj(stuck, conj(neg(is_open), empty)) if what != "sum" else stuck
    counted = [conj(here, known(item)) for item, here in zip(items, there, strict=True)]
    if what in {"smallest", "largest"}:
        best, any_known = _best(what, items, counted)
        bound = Bound(conj(is_open, any_known), best)
        low, high = (bound, None) if what == "largest" else (None, bound)
        return Symbol(best, missing, stuck, low, high)
    total: Any = real_zero()
    for item, here in zip(items, counted, strict=True):
        if item.value is not None:
            total = total + pick(here, item.value, real_zero())
    if what == "sum":
        return Symbol(total, missing, stuck)
    return Symbol(_divided(total, there), missing, stuck)


def real_zero() -> Any:
    return z3.RealVal(0)


def _is_yes(item: Symbol) -> Flag:
    return item.value if item.value is not None else False


def _total(flags: Sequence[Flag]) -> Any:
    total: Any = real_zero()
    for flag in flags:
        if flag is not False:
            total = total + pick(flag, z3.RealVal(1), real_zero())
    return total


def _best(what: str, items: Sequence[Symbol], counted: Sequence[Flag]) -> tuple[Any, Flag]:
    best: Any = real_zero()
    found: Flag = False
    for item, here in zip(items, counted, strict=True):
        if here is False or item.value is None:
            continue
        better = item.value < best if what == "smallest" else item.value > best
        take = conj(here, disj(neg(found), better))
        best, found = pick(take, item.value, best), disj(found, here)
    return best, found


def _divided(total: Any, there: Sequence[Flag]) -> Any:
    """The mean, without dividing by what is not known: for each number of items on its own."""
    count = _total(there)
    mean: Any = total
    for number in range(len(there), 1, -1):
        mean = z3.If(count == number, total / number, mean)
    return mean


# Tables and points


def banded(bands: Sequence[BandRange], of: Symbol, numbers: Sequence[int]) -> Symbol:
    """The label of the band that the value lies in, as the number of its word."""
    value: Any = z3.IntVal(-1)
    found: Flag = False
    for band, label in reversed(list(zip(bands, numbers, strict=True))):
        inside = all_flags(
            [
                True if band.over is None else of.value > real(band.over.value),
                True if band.up_to is None else of.value <= real(band.up_to.value),
            ]
        )
        value, found = pick(inside, z3.IntVal(label), value), disj(found, inside)
    return strict(value, (of,), stuck=neg(found))


def looked_up(cells: Sequence[tuple[tuple[Any, ...], Any]], keys: Sequence[Symbol]) -> Symbol:
    """The value of the cell at the keys. ``cells`` has the keys and the value of each as formulas or days."""
    value: Any = None
    found: list[Flag] = []
    for at, cell in cells:
        here = all_flags(same(key.value, one) for key, one in zip(keys, at, strict=True))
        if here is False:
            continue
        found.append(here)
        value = cell if value is None else pick(here, cell, value)
    return strict(value, keys, stuck=neg(any_flag(found)))


def interpolated(points: Sequence[tuple[Symbol, Symbol]], there: Sequence[Flag], at: Symbol, result: Any) -> tuple[
    Symbol, Flag
]:  # fmt: skip
    """On the straight line between two neighbouring points that rise; ``result`` is the solver's own, with what must
    hold of it."""
    parts = [part for point in points for part in point]
    here = [flag for flag in there for _ in range(2)]
    missing = disj(at.missing, any_flag(conj(flag, part.missing) for part, flag in zip(parts, here, strict=True)))
    stuck = disj(at.stuck, any_flag(conj(flag, part.stuck) for part, flag in zip(parts, here, strict=True)))
    must: list[Flag] = []
    reached: list[Flag] = []
    for (where, value), flag in zip(points, there, strict=True):
        if flag is False or where.value is None or value.value is None:
            continue
        met = conj(flag, at.value == where.value)
        reached.append(met)
        must.append(disj(neg(met), result == value.value))
    for i in range(len(points) - 1):
        (left, low), (right, high) = points[i], points[i + 1]
        if conj(there[i], there[i + 1]) is False or any(
            part.value is None for part in (left, low, right, high)
        ):
            continue
        inside = conj(there[i], there[i + 1], at.value > left.value, at.value < right.value)
        reached.append(inside)
        line = (result - low.value) * (right.value - left.value) == (at.value - left.value) * (high.value - low.value)
        must.append(disj(neg(inside), line))
    is_open = disj(missing, stuck)
    outside = conj(neg(is_open), neg(any_flag(reached)))
    return Symbol(result, missing, disj(stuck, outside)), disj(is_open, all_flags(must))
