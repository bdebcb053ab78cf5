"""What the JSON of all outputs has alike: exact values, where they come from, the edition, the program."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from .. import LANGUAGE, __version__
from ..editions.edition import Edition, LeftToPeople, Titled
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


def from_json(origin: From, edition: Edition) -> dict[str, Any]:
    """Where a figure comes from: a cell of a table, a term, the rule itself, or another reading."""
    match origin:
        case FromCell(table=table, cell=cell):
            layer = None if cell.span is None else edition.layer_of(cell.span)
            source = _source(edition.tables.get(table), layer)
            return {"table": table, "key": list(cell.keys), **value_json(cell.value), **source}
        case FromTerm(term=term, value=value):
            return {"term": term, **value_json(value), **_source(edition.terms.get(term), None)}
        case FromRule(value=value):
            return {"rule": True, **value_json(value)}
        case FromReading(reading=reading):
            return {"path": reading.path, **value_json(reading.value)}


def _source(named: Titled | None, layer: str | None) -> dict[str, Any]:
    """Clause, source, standing and layer of a table or a term; nothing of what the engine made itself."""
    if named is None:
        return {}
    origin = named.origin
    return {
        "clause": origin.clause, "source": origin.source, "standing": origin.standing, "layer": layer or origin.layer
    }  # fmt: skip


def rules_json(edition: Edition) -> dict[str, Any]:
    """The edition that was applied, and those that it amends, the first one first."""
    return {
        "ruleset": edition.ruleset,
        "edition": edition.edition,
        "digest": edition.digest,
        "enacted": edition.enacted is not None,
        "layers": [{"name": each.name, "digest": each.digest, "file": each.file} for each in edition.layers],
    }


def engine_json() -> dict[str, Any]:
    return {"version": __version__, "language": LANGUAGE}


def left_json(left_over: Iterable[LeftToPeople]) -> list[dict[str, Any]]:
    """What the edition asks that no record can show."""
    return [{"clause": each.clause, "what": each.what} for each in left_over]
