"""From what the solver found back to values: a record as like one at hand as it can be."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import z3

from ..lang.quantity import Quantity, Unit
from ..lang.values import Plain
from .solving import Solver
from .symbols import Day, Flag, Words
from .unknowns import Unknown


@dataclass(frozen=True, slots=True)
class Wish:
    """What a record had better be, unless the question leaves no room for it. Earlier wishes weigh more."""

    flag: Flag
    distance: Any = None
    """A formula: how far a reading is from what was wished for, in whole steps."""


def fulfilled(solver: Solver, wishes: Sequence[Wish]) -> Any | None:
    """A model that fulfils as many wishes as it can, and comes as near as it can to the others; None: no model."""
    marks = [z3.Bool(f"wish {number}") for number in range(len(wishes))]
    solver.push()
    solver.add(z3.Implies(mark, wish.flag) for mark, wish in zip(marks, wishes, strict=True))
    active = dict(zip(map(str, marks), marks, strict=True))
    order = {str(mark): number for number, mark in enumerate(marks)}
    model = None
    while model is None:
        found = solver.check(*active.values())
        if found == "sat":
            model = solver.model()
        elif found == "unsat" and (core := solver.core()):
            del active[max(core, key=order.__getitem__)]
        else:
            solver.pop()
            return None
    for name, number in order.items():
        if name not in active and solver.check(*active.values(), marks[number]) == "sat":
            # A core names more than it must: what can be had after all is had.
            active[name], model = marks[number], solver.model()
    for name, number in order.items():
        if name not in active and wishes[number].distance is not None:
            model, nearest = _nearer(solver, model, wishes[number].distance, list(active.values()))
            solver.add([wishes[number].distance <= nearest])
    solver.pop()
    return model


def _nearer(solver: Solver, model: Any, distance: Any, active: list[Any]) -> tuple[Any, Any]:
    """The model with the least distance, and that distance, by halving."""
    low, high = Fraction(0), fraction_of(model, distance)
    best = model
    for _ in range(40):
        if high - low < 1:
            break
        middle = Fraction((low + high) / 2)
        solver.push()
        solver.add([distance <= z3.Q(middle.numerator, middle.denominator)])
        if solver.check(*active) == "sat":
            best = solver.model()
            high = fraction_of(best, distance)
        else:
            low = middle
        solver.pop()
    return best, z3.Q(high.numerator, high.denominator)


def is_yes(model: Any, flag: Flag) -> bool:
    return flag if isinstance(flag, bool) else bool(z3.is_true(model.eval(flag, model_completion=True)))


def fraction_of(model: Any, formula: Any) -> Fraction:
    value = model.eval(formula, model_completion=True)
    if z3.is_algebraic_value(value):
        value = value.approx(20)
    if z3.is_int_value(value):
        return Fraction(value.as_long())
    return Fraction(value.numerator_as_long(), value.denominator_as_long())


def whole_of(model: Any, formula: Any) -> int:
    return int(model.eval(formula, model_completion=True).as_long())


def value_of(model: Any, unknown: Unknown, words: Words, unit: Unit | None) -> Plain | None:
    """The value that the model gives a field; None: it is not recorded. ``unit``: that of a number or quantity."""
    if not is_yes(model, unknown.known):
        return None
    if isinstance(unknown.value, Day):
        year, month = divmod(whole_of(model, unknown.value.month), 12)
        return datetime.date(year, month + 1, whole_of(model, unknown.value.day))
    if z3.is_bool(unknown.value):
        return is_yes(model, unknown.value)
    if unit is not None:
        return Quantity(fraction_of(model, unknown.value), unit)
    return words.word(whole_of(model, unknown.value))
