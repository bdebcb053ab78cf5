"""A record that holds only what its schema asks for: where none is at hand, deciding records are made from it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..lang.kinds import ChoiceKind, DateKind, GroupKind, ListKind, NumberKind, QuantityKind, YesNoKind
from ..lang.operations import words as written_as
from ..lang.quantity import Quantity, show
from ..lang.units import UNITS
from ..lang.values import Plain
from ..shape.vocabulary import FieldInfo, vocabulary

_DAY = "2000-01-03"


def blank(procedure: str, fixed: Mapping[str, Plain]) -> dict[str, Any]:
    """The required fields, each as the first word, the least figure, or the first example that its schema has; what
    is fixed as it is."""
    words = vocabulary(procedure)
    assert words is not None
    record: dict[str, Any] = {"procedure": procedure, "id": "blank"}
    needed = {".".join(path.split(".")[: i + 1]) for path in fixed for i in range(len(path.split(".")))}
    for info in words.fields.values():
        *above, name = info.path.split(".")
        place: Any = record
        for part in above:
            place = place.get(part) if isinstance(place, dict) else None
        if not isinstance(place, dict) or name in place or not (info.required or info.path in needed):
            continue
        value = fixed.get(info.path)
        place[name] = _first(info) if value is None else as_data(value)
    return record


def _first(info: FieldInfo) -> Any:
    match info.kind:
        case GroupKind():
            return {}
        case ListKind():
            return []
        case YesNoKind():
            return True
        case DateKind():
            return _DAY
        case ChoiceKind(options=tuple() as options):
            return options[0]
        case NumberKind() | QuantityKind() if info.range is not None:
            low, unit = info.range[0], UNITS[info.units[0]] if info.units else info.range[0].unit
            step = info.resolution.get(unit.name)
            if step is None:
                return as_data(low)
            marks = -(-(low.in_unit(unit).magnitude) // step)
            return as_data(Quantity(marks * step * unit.scale + unit.offset, unit))
        case _:
            return info.examples[0] if info.examples else "1"


def as_data(value: Plain) -> Any:
    """A value as the data of a record has it: whole numbers and yes or no bare."""
    if isinstance(value, bool):
        return value
    if isinstance(value, Quantity):
        return int(value.value) if not value.unit.name and value.value.denominator == 1 else show(value)
    return written_as(value)
