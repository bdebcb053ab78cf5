"""Observations of an authority's own: kept under ``local`` and the name of its ruleset, unread by all others."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from ..lang.kinds import (
    CalendarSpanKind,
    ChoiceKind,
    DateKind,
    GroupKind,
    Kind,
    ListKind,
    NumberKind,
    QuantityKind,
    TextKind,
    YesNoKind,
)
from ..lang.problem import Problem
from ..lang.tree import Mapping
from ..shape.convert import shape
from ..shape.shaped import Raw, ShapedMap
from ..shape.vocabulary import SIMPLE_KINDS
from .record import Record
from .table_headings import ANSWERS
from .table_parts import TableSource


def own_observations(
    record: Record, ruleset: str, own: GroupKind | None
) -> tuple[ShapedMap | None, tuple[Problem, ...]]:
    """What the record holds for ``ruleset``, in the kinds that its edition declares; None if it holds nothing."""
    raw = record.shaped.entries.get("local")
    tree = raw.tree.get(ruleset) if isinstance(raw, Raw) and isinstance(raw.tree, Mapping) else None
    if tree is None or own is None:
        return None, ()
    shaped, problems = shape(tree, _schema(own, ruleset))
    return (shaped if isinstance(shaped, ShapedMap) else None), tuple(_in_table(each, ruleset) for each in problems)


def _in_table(problem: Problem, ruleset: str) -> Problem:
    """How a table says what only an edition knows: that a column holds answers."""
    if problem.code != "yes-no" or problem.span is None or not isinstance(problem.span.source, TableSource):
        return problem
    return replace(problem, help=f"write `true` or `false`, or `[{ANSWERS}]` behind the heading for `yes` and `no`")


def _schema(kind: Kind, title: str) -> dict[str, Any]:
    """The kind as the schema that the shape stage reads."""
    match kind:
        case GroupKind(fields=fields):
            below = {name: _schema(field, name) for name, field in fields.items()}
            return {"title": title, "x-kind": "group", "type": "object", "properties": below,
                    "additionalProperties": False}  # fmt: skip
        case QuantityKind(dimension=dimension):
            return {"title": title, "x-kind": "quantity", "x-dimension": dimension.name, "type": "string"}
        case ChoiceKind(options=options):
            words = {} if options is None else {"enum": list(options)}
            return {"title": title, "x-kind": "choice", "type": ["string", "number"], **words}
        case YesNoKind() | NumberKind() | TextKind() | DateKind() | CalendarSpanKind():
            word = next(word for word, simple in SIMPLE_KINDS.items() if simple == kind)
            return {"title": title, "x-kind": word, "type": _TYPES.get(word, ["string", "number"])}
        case ListKind():
            raise AssertionError("an edition declares no lists")


_TYPES: dict[str, Any] = {"yes-no": "boolean", "whole": "integer"}
