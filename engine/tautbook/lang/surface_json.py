"""A surface tree as plain JSON data: what digests are made over. Names the form; frozen for good."""

from __future__ import annotations

import datetime
from typing import Any, assert_never

from .calendar import CalendarSpan
from .number import ratio
from .quantity import Quantity
from .surface import (
    Arithmetic,
    Call,
    Cell,
    Comparison,
    Conditional,
    Expression,
    Function,
    Given,
    Junction,
    Name,
    Negation,
    Negative,
    OneOf,
    Rounding,
)  # fmt: skip
from .values import Plain


def value_json(value: Plain) -> Any:
    """A literal as reduced value in base units and unit name, so that 0.50 and 0.5 are one and kip and kN two."""
    match value:
        case bool():
            return value
        case Quantity():
            return [ratio(value.value), value.unit.name]
        case CalendarSpan():
            return {"months": value.months, "days": value.days}
        case datetime.date():
            return {"date": value.isoformat()}
        case str():
            return {"word": value}
        case _:
            assert_never(value)


def surface_json(e: Expression) -> Any:
    """The tree as nested lists, each with the name of its construct first."""
    match e:
        case Given(value=value):
            return value_json(value)
        case Name(path=path):
            return ["name", *path]
        case Call(name=name, arguments=parts):
            return ["term", name, *map(surface_json, parts)]
        case Cell(table=table, keys=parts):
            return ["cell", table, *map(surface_json, parts)]
        case Negative(of=of):
            return ["negative", surface_json(of)]
        case Arithmetic(left=left, sign=sign, right=right):
            return [sign, surface_json(left), surface_json(right)]
        case Comparison(first=first, rest=rest):
            return ["compare", surface_json(first), *([relation, surface_json(operand)] for relation, operand in rest)]
        case OneOf(of=of, options=options):
            return ["one of", surface_json(of), *map(surface_json, options)]
        case Negation(of=of):
            return ["not", surface_json(of)]
        case Junction(word=word, parts=parts):
            return [word, *map(surface_json, parts)]
        case Conditional(condition=condition, then=then, otherwise=otherwise):
            return ["if", surface_json(condition), surface_json(then), surface_json(otherwise)]
        case Rounding(way=way, of=of, step=step, ties=ties):
            return [way, surface_json(of), surface_json(step), ties]
        case Function(name=name, arguments=parts):
            return [name, *map(surface_json, parts)]
        case _:
            assert_never(e)
