"""The outcome of one requirement, and the outcomes that an open one can still come to."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import Literal

from ..lang.values import Missing, Open, Stuck, Value

Outcome = Literal["met", "not applicable", "not met", "waived", "open"]


def outcome_of(require: Value, applies: Value, unless: Sequence[Value]) -> Outcome:
    """In this order: met; not applicable; not met, if it certainly applies and no exception holds; else open."""
    if require is True:
        return "met"
    if applies is False or any(value is True for value in unless):
        return "not applicable"
    if require is False and applies is True and all(value is False for value in unless):
        return "not met"
    return "open"


def can_become(require: Value, applies: Value, unless: Sequence[Value]) -> frozenset[Outcome]:
    """Every outcome that is still possible, the three taken as independent of each other."""
    return frozenset(
        outcome_of(one, two, [three])
        for one, two, three in product(_futures(require), _futures(applies), _any_future(unless))
    )


def _futures(value: Value) -> tuple[Value, ...]:
    """What is missing can still be supplied; what is stuck stays so, unless something missing outweighs it."""
    if not isinstance(value, Open):
        return (value,)
    stays: tuple[Value, ...] = (value,) if any(isinstance(reason, Stuck) for reason in value.reasons) else ()
    comes: tuple[Value, ...] = (True, False) if any(isinstance(reason, Missing) for reason in value.reasons) else ()
    return comes + stays


def _any_future(values: Sequence[Value]) -> tuple[Value, ...]:
    """What "one of these holds" can still come to. INVARIANT: none of them is known to hold."""
    each = [_futures(value) for value in values]
    found: list[Value] = [True] if any(True in futures for futures in each) else []
    if all(False in futures for futures in each):
        found.append(False)
    found += [future for futures in each for future in futures if isinstance(future, Open)][:1]
    return tuple(found)
