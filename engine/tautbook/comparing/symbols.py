"""Values that a solver looks for: each is known, missing or stuck, and the solver finds out when it is which.

What is known already stays a value of the language and goes through the operations of the language itself, so that
only what depends on a record that is still to be found becomes a formula. ``missing`` and ``stuck`` say whether a
reason of that kind stands among the reasons of an open value; a value is known where both are no.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any

import z3

from ..lang.calendar import CalendarSpan
from ..lang.quantity import Quantity
from ..lang.values import Missing, Open, Plain, Stuck, Value

Flag = Any
"""A ``bool``, or a formula of the solver that is yes or no."""


class NotReached(Exception):
    """The translation does not reach this far. The text says what is meant, for people."""


@dataclass(frozen=True, slots=True)
class Day:
    """A date: months since year 0, and the day of the month from 1. In this order dates rise."""

    month: Any
    day: Any


@dataclass(frozen=True, slots=True)
class Bound:
    """What an open value is certain to be at least, or at most, where ``holds``."""

    holds: Flag
    value: Any


@dataclass(frozen=True, slots=True)
class Symbol:
    """A value that depends on what is looked for."""

    value: Any
    """A formula, or a ``Day``. It means something only where the value is known."""
    missing: Flag = False
    stuck: Flag = False
    low: Bound | None = None
    high: Bound | None = None


Worked = Value | Symbol


# Yes and no, simplified where that is free


def conj(*flags: Flag) -> Flag:
    return all_flags(flags)


def all_flags(flags: Iterable[Flag]) -> Flag:
    open_ones = [flag for flag in flags if flag is not True]
    if any(flag is False for flag in open_ones):
        return False
    return True if not open_ones else open_ones[0] if len(open_ones) == 1 else z3.And(*open_ones)


def disj(*flags: Flag) -> Flag:
    return any_flag(flags)


def any_flag(flags: Iterable[Flag]) -> Flag:
    open_ones = [flag for flag in flags if flag is not False]
    if any(flag is True for flag in open_ones):
        return True
    return False if not open_ones else open_ones[0] if len(open_ones) == 1 else z3.Or(*open_ones)


def neg(flag: Flag) -> Flag:
    return not flag if isinstance(flag, bool) else z3.Not(flag)


def pick(condition: Flag, then: Any, otherwise: Any) -> Any:
    """One of two flags, formulas or days."""
    if isinstance(condition, bool):
        return then if condition else otherwise
    if isinstance(then, Day):
        return Day(pick(condition, then.month, otherwise.month), pick(condition, then.day, otherwise.day))
    if isinstance(then, bool) and isinstance(otherwise, bool):
        return then if then == otherwise else condition if then else z3.Not(condition)
    if isinstance(then, bool):
        return disj(condition, otherwise) if then else conj(neg(condition), otherwise)
    if isinstance(otherwise, bool):
        return disj(neg(condition), then) if otherwise else conj(condition, then)
    return then if then is otherwise else z3.If(condition, then, otherwise)


# From the values of the language


class Words:
    """A number for each word, so that words can be told apart. One per comparison of two editions."""

    def __init__(self) -> None:
        self.numbers: dict[str, int] = {}
        self.others: dict[int, str] = {}

    def number(self, word: str) -> int:
        return self.numbers.setdefault(word, len(self.numbers))

    def word(self, number: int) -> str:
        """The word of a number; where the solver made one up, a word that stands in no rule."""
        known = next((word for word, code in self.numbers.items() if code == number), None)
        if known is not None:
            return known  # though it was made up before a rule named a word that has this number now
        if number not in self.others:
            self.others[number] = f"MADE-UP-{len(self.others) + 1}"
        return self.others[number]


OTHER = 1_000_000
"""Numbers from here on are words that stand in no rule and no record."""


@cache
def real(value: Fraction) -> Any:
    return z3.RealVal(f"{value.numerator}/{value.denominator}")


def month_and_day(date: datetime.date) -> Day:
    return Day(date.year * 12 + date.month - 1, date.day)


def symbol(value: Worked, words: Words) -> Symbol:
    """A value of the language as the solver reads it."""
    match value:
        case Symbol():
            return value
        case Open(reasons=reasons, at_least=least, at_most=most):
            return Symbol(
                None,
                any(isinstance(reason, Missing) for reason in reasons),
                any(isinstance(reason, Stuck) for reason in reasons),
                None if least is None else Bound(True, real(least.value)),
                None if most is None else Bound(True, real(most.value)),
            )
        case _:
            return Symbol(plain(value, words))


def plain(value: Plain, words: Words) -> Any:
    match value:
        case bool():
            return value
        case Quantity():
            return real(value.value)
        case datetime.date():
            return month_and_day(value)
        case str():
            return z3.IntVal(words.number(value))
        case CalendarSpan():
            raise NotReached("a calendar span that depends on the record")


def known(value: Symbol) -> Flag:
    return neg(disj(value.missing, value.stuck))


def missing_of(values: Sequence[Symbol]) -> Flag:
    return any_flag(value.missing for value in values)


def stuck_of(values: Sequence[Symbol]) -> Flag:
    return any_flag(value.stuck for value in values)


def strict(value: Any, parts: Sequence[Symbol], stuck: Flag = False) -> Symbol:
    """``value`` where all parts are known; open, for the reasons of all of them, where one is not. ``stuck``: where
    the operation itself has no answer for known parts."""
    missing, stuck_before = missing_of(parts), stuck_of(parts)
    if stuck is not False:
        stuck = conj(neg(missing), neg(stuck_before), stuck)
    return Symbol(value, missing, disj(stuck_before, stuck))


# Yes or no of open values: strong Kleene logic


def holds(value: Symbol) -> Flag:
    return conj(known(value), value.value) if value.value is not None else False


def fails(value: Symbol) -> Flag:
    return conj(known(value), neg(value.value)) if value.value is not None else False


def every(parts: Sequence[Symbol], there: Sequence[Flag] | None = None) -> Symbol:
    """``and`` of the parts that are there."""
    there = there or [True] * len(parts)
    no = any_flag(conj(here, fails(part)) for part, here in zip(parts, there, strict=True))
    missing = any_flag(conj(here, part.missing) for part, here in zip(parts, there, strict=True))
    stuck = any_flag(conj(here, part.stuck) for part, here in zip(parts, there, strict=True))
    return Symbol(neg(no), conj(neg(no), missing), conj(neg(no), stuck))


def some(parts: Sequence[Symbol], there: Sequence[Flag] | None = None) -> Symbol:
    """``or`` of the parts that are there."""
    there = there or [True] * len(parts)
    yes = any_flag(conj(here, holds(part)) for part, here in zip(parts, there, strict=True))
    missing = any_flag(conj(here, part.missing) for part, here in zip(parts, there, strict=True))
    stuck = any_flag(conj(here, part.stuck) for part, here in zip(parts, there, strict=True))
    return Symbol(yes, conj(neg(yes), missing), conj(neg(yes), stuck))


def same(left: Any, right: Any) -> Flag:
    """Whether two formulas or days are equal."""
    if isinstance(left, Day):
        return conj(_equal(left.month, right.month), _equal(left.day, right.day))
    return _equal(left, right)


def _equal(left: Any, right: Any) -> Flag:
    if isinstance(left, bool | int) and isinstance(right, bool | int):
        return left == right
    if isinstance(left, bool):
        return right if left else neg(right)
    if isinstance(right, bool):
        return left if right else neg(left)
    if left is right or (z3.is_expr(left) and z3.is_expr(right) and left.eq(right)):
        return True
    return left == right
