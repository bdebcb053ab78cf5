"""The reading, on the marks of its dial, that stands at a limit or a step to either side; or why there is none."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from fractions import Fraction

from ..judging.verdict import Verdict
from ..lang import operations as do
from ..lang.evaluate import evaluate
from ..lang.kernel import Rules
from ..lang.quantity import Quantity
from ..lang.values import Data, Group, Items, Leaf, Plain
from ..records.derived import sense
from .boundary_places import Place, Tried, What, with_reading
from .boundary_steps import day_by, field_info, field_name, step_of

_NEAR = 12
"""So many marks around the limit are looked through where the rule corrects the reading first."""


def mark_for(place: Place, what: What) -> Plain | str:
    """The reading, on the marks of its dial, that stands so; or why there is none."""
    reading = place.reading
    step = None if reading is None else step_of(reading, place.verdict)
    limit = place.comparison.limit
    if reading is None or step is None or limit is None or limit.value is None:
        return "it is not one reading with a step"
    beyond: str | None = None
    fault: str | None = None
    tried = Tried(place, reading)
    for value in _candidates(place, reading, step):
        if not _in_range(reading.path, value, place.verdict):
            beyond = beyond or f"`{field_name(reading.path)}` never is {do.words(value)}"
        elif tried.stands(value, what):
            fault = impossible(place.verdict, Leaf(reading.path, value, do.words(value)))
            if fault is None:
                return value
        elif what == "at" and tried.stepped_over(value):
            break
    if what == "at":
        return fault or "no mark of the reading is exactly there"
    return fault or beyond or "no reading is one step from there"


def _candidates(place: Place, reading: Leaf, step: Fraction) -> Iterator[Plain]:
    """Marks near the limit, the nearest first."""
    limit = place.comparison.limit
    assert limit is not None
    if isinstance(reading.value, datetime.date):
        assert isinstance(limit.value, datetime.date)
        yield from (date for by in (0, -1, 1) if (date := day_by(limit.value, by)) is not None)
        return
    observed = place.comparison.observed.value
    assert isinstance(reading.value, Quantity) and isinstance(limit.value, Quantity) and isinstance(observed, Quantity)
    through = reading.value != observed or place.comparison.observed.term is not None
    about = limit.value.value + (reading.value.value - observed.value if through else 0)
    first = (about - reading.value.unit.offset) / step
    reach = _NEAR if through else 2
    numbers = sorted(range(first.__floor__() - reach, first.__floor__() + reach + 2), key=lambda n: abs(n - first))
    for number in numbers:
        yield Quantity(number * step + reading.value.unit.offset, reading.value.unit)


def _in_range(path: str, value: Plain, verdict: Verdict) -> bool:
    info, _ = field_info(path, verdict.record.words)
    if info is None or info.range is None or not isinstance(value, Quantity):
        return True
    low, high = info.range
    return low.value <= value.value <= high.value


def impossible(verdict: Verdict, leaf: Leaf) -> str | None:
    """What no real test can show, if the record had this reading."""
    group = with_reading(verdict.observed.group, leaf)
    assert isinstance(group, Group)
    for rule in sense(verdict.record.procedure).impossible:
        listed = group if rule.sound.each is None else group.fields.get(rule.sound.each)
        places: tuple[Data, ...] = listed.items if isinstance(listed, Items) else (group,)
        for place in places:
            bound = {} if rule.singular is None else {rule.singular: place}
            if rule.singular is not None and not isinstance(listed, Items):
                continue
            if evaluate(rule.require, _NO_RULES, group, bound).value is False:
                return f"no real test shows it: {rule.sound.message}"
    return None


_NO_RULES = Rules({}, {})
