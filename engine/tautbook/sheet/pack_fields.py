"""The shape of a record as the page reads it: of each field its kind, and what a text there must be to be a value."""

from __future__ import annotations

from typing import Any

from ..lang.kinds import ChoiceKind, GroupKind, Kind, QuantityKind
from ..lang.number import ratio
from ..shape.scalars import range_of
from ..shape.schemas import Schema
from ..shape.vocabulary import SIMPLE_KINDS


def shape_of_schema(schema: Schema) -> dict[str, Any]:
    """The shape of one part of a record: ``kind``, ``title``, and what else its kind needs.

    A group has its ``fields`` by name and those ``required``; a list its ``item``, the ``singular`` of one, ``least``
    and ``points``; a choice its ``words``, a quantity its ``dimension`` and ``units``. ``range`` has the least and the
    greatest value, each in base units and as it is told. What would be empty is left out.
    """
    kind = schema["x-kind"]
    shape: dict[str, Any] = {"kind": kind, "title": schema.get("title", "")}
    match kind:
        case "group":
            shape["fields"] = {name: shape_of_schema(below) for name, below in schema["properties"].items()}
            shape |= _unless_empty(required=list(schema.get("required", ())))
        case "list":
            points = schema.get("x-points")
            shape["singular"] = schema["x-singular"]
            shape["item"] = shape_of_schema(schema["items"])
            shape |= _unless_empty(least=schema.get("minItems"), points=None if points is None else points["at"])
        case "evidence":
            shape["procedure"] = schema["x-procedure"]
        case "choice":
            words = schema.get("enum", [schema["const"]] if "const" in schema else None)
            shape |= _unless_empty(words=None if words is None else list(words))
        case "quantity":
            shape["dimension"] = schema["x-dimension"]
            shape |= _unless_empty(units=list(schema.get("x-unit", ())))
    limits = range_of(schema)
    if limits is not None:
        told = map(str, schema["x-range"])
        shape["range"] = [[ratio(limit.value), words] for limit, words in zip(limits, told, strict=True)]
    return shape


def shape_of_kind(kind: Kind, name: str) -> dict[str, Any]:
    """The same for what an authority observes besides, which has kinds and no schema."""
    shape: dict[str, Any] = {"title": name.replace("_", " ")}
    match kind:
        case GroupKind(fields=fields):
            inside = {key: shape_of_kind(below, key) for key, below in fields.items()}
            return {"kind": "group", **shape, "fields": inside}
        case QuantityKind(dimension=dimension):
            return {"kind": "quantity", **shape, "dimension": dimension.name}
        case ChoiceKind(options=options):
            return {"kind": "choice", **shape, **_unless_empty(words=None if options is None else list(options))}
        case _:
            word = next(word for word, simple in SIMPLE_KINDS.items() if simple == kind)
            return {"kind": word, **shape}


def _unless_empty(**parts: Any) -> dict[str, Any]:
    return {name: part for name, part in parts.items() if part}
