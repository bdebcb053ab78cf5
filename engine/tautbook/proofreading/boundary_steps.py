"""The steps in which readings are made: of a dial its graduation, else what is usual for its unit; a day of a date."""

from __future__ import annotations

import datetime
from fractions import Fraction

from ..judging.verdict import Verdict
from ..lang.quantity import Quantity
from ..lang.values import Leaf, Plain, data_at
from ..shape.vocabulary import FieldInfo, Vocabulary, vocabulary


def step_of(reading: Leaf, verdict: Verdict) -> Fraction | None:
    """The step in which it is read, in base units; of a date in days."""
    if isinstance(reading.value, datetime.date):
        return Fraction(1)
    info, prefix = field_info(reading.path, verdict.record.words)
    if info is None or not isinstance(reading.value, Quantity):
        return None
    if info.read_in is not None:
        dial = data_at(verdict.observed.group, prefix + info.read_in)
        if isinstance(dial, Leaf) and isinstance(dial.value, Quantity) and dial.value.value > 0:
            return dial.value.value
    unit = reading.value.unit
    step = info.resolution.get(unit.name)
    return None if step is None else step * unit.scale


def field_info(path: str, words: Vocabulary) -> tuple[FieldInfo | None, str]:
    """What is said of the field at a path of a record, or of one that it rests on; and where that one stands."""
    names = [name.partition("[")[0] for name in path.split(".")]
    prefix = ""
    while names[0] == "evidence" and len(names) > 2:
        slot = words.fields.get(f"evidence.{names[1]}")
        other = None if slot is None or slot.procedure is None else vocabulary(slot.procedure)
        if other is None:
            return None, prefix
        prefix, names, words = f"{prefix}evidence.{names[1]}.", names[2:], other
    return words.fields.get(".".join(names)), prefix


def shifted(value: Plain, step: Fraction, by: int) -> Plain | None:
    if isinstance(value, Quantity):
        return Quantity(value.value + by * step, value.unit)
    if isinstance(value, datetime.date):
        return day_by(value, by)
    return None


def day_by(date: datetime.date, by: int) -> datetime.date | None:
    try:
        return date + datetime.timedelta(days=by)
    except OverflowError:
        return None


def field_name(path: str) -> str:
    return ".".join(name.partition("[")[0] for name in path.split("."))
