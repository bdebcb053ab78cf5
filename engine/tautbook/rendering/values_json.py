"""Values in the JSON of every output: exact text, decimal or ``n/d``, and the unit beside it."""

from __future__ import annotations

from typing import Any

from ..explaining.comparisons import From, FromCell, FromReading, FromRule, FromTerm
from ..lang.number import exact
from ..lang.operations import words
from ..lang.quantity import Quantity
from ..lang.values import Plain


def value_json(value: Plain | None) -> dict[str, Any]:
    """``{"value": ..., "unit": ...}``, both null where nothing is known."""
    if isinstance(value, Quantity):
        return {"value": exact(value.magnitude), "unit": value.unit.name or None}
    return {"value": None if value is None else words(value), "unit": None}


def from_json(origin: From) -> dict[str, Any]:
    """Where a figure comes from: a cell of a table, a term, the rule itself, or another reading."""
    match origin:
        case FromCell(table=table, cell=cell):
            return {"table": table, "key": list(cell.keys), **value_json(cell.value)}
        case FromTerm(term=term, value=value):
            return {"term": term, **value_json(value)}
        case FromRule(value=value):
            return {"rule": True, **value_json(value)}
        case FromReading(reading=reading):
            return {"path": reading.path, **value_json(reading.value)}
