"""The heading of a column: the path of a field in a record and, in square brackets, the unit of the column.

``tested``, ``bolt.diameter [in]``, ``list.field [kip]``, ``other_list[2].field``. The list that a record has a row for
each item of stands without a number; every other list has the number of the item, counted from 1.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..lang.limits import LIMITS
from ..lang.problem import Problem, did_you_mean
from ..lang.quantity import DIMENSIONLESS, Mistake, dimension_named, read_quantity
from ..lang.source import Span
from ..shape.scalars import short
from ..shape.schemas import Schema, procedures, record_schema
from ..shape.titles import called, places_called
from .table_parts import Placed

_LONGEST = 300
_STEP = re.compile(r"([^.,;\"'\[\]\s]+)(?:\[([1-9][0-9]{0,4})\])?")
_UNIT = re.compile(r"\s*\[\s*([^\[\]0-9\s][^\[\]]*)\]$")
_SHOWN = 2
ANSWERS = "yes/no"
"""Stands for a unit where the cells of a column are answers: so a column says it whose kind only an edition knows."""

Step = tuple[str, int | None]
"""A name, and the number of an item where the heading has one."""


@dataclass(frozen=True, slots=True)
class Heading:
    column: int
    steps: tuple[Step, ...]
    unit: str | None
    span: Span
    unit_at: Span

    @property
    def path(self) -> str:
        return _to(self.steps)


@dataclass(frozen=True, slots=True)
class Column:
    """What a heading means in the records of one procedure."""

    steps: tuple[Step, ...]
    """From the record; of a field of a row, from the item."""
    each: str | None
    """The list that has a row for each item, if the field is one of its items'."""
    schema: Schema
    """Of the single value that stands in the cells."""
    unit: str | None


def read_heading(placed: Placed) -> Heading | Problem:
    """The parts of a heading, whatever fields there are."""
    text, span = placed.cell.text, placed.span
    if placed.cell.form == "text" and len(text) <= _LONGEST:
        found = _UNIT.search(text)
        path = text[: found.start()] if found else text
        steps = [_STEP.fullmatch(part) for part in path.split(".")]
        if all(steps) and len(steps) < LIMITS.depth:
            unit = found[1].strip() if found else None
            unit_at = span.at(found.start(1), found.start(1) + len(unit or "")) if found else span
            named = tuple((step[1], int(step[2]) if step[2] else None) for step in steps if step)
            return Heading(placed.cell.column, named, unit, span, unit_at)
    message = "this heading is not the path of a field"
    schemas = (record_schema(each) for each in procedures())
    meant = _called(text, *(each for each in schemas if each is not None)) if len(text) <= _LONGEST else None
    if meant is not None:
        return Problem("heading-form", message, span, f"`{short(text)}` is written `{meant}`")
    help = "the first row holds paths such as `tested`, units in square brackets behind them: `temperature [degF]`"
    return Problem("heading-form", message, span, help)


def row_list(schema: Schema) -> str | None:
    """The list that has a row for each item: the first one of items with fields of their own."""
    for name, below in schema["properties"].items():
        if below["x-kind"] == "list" and below["items"]["x-kind"] == "group":
            return str(name)
    return None


def column_of(heading: Heading, schema: Schema, helped: bool = True) -> Column | Problem:
    """What ``heading`` means in records of ``schema``, or why it means nothing there; ``helped``: with the nearest."""
    rows, steps = row_list(schema), heading.steps
    below, each = schema, None
    for place, (name, number) in enumerate(steps):
        if below["x-kind"] == "raw":
            break
        if below["x-kind"] == "evidence":
            message = "a table holds no record within a record"
            help = f"name its number or its file in `{_to(steps, place)}`"
            return Problem("heading-record", message, heading.span, help)
        if below["x-kind"] != "group" or name not in below["properties"]:
            return _unknown(heading, schema if helped else None)
        below = below["properties"][name]
        if below["x-kind"] == "list" and place == 0 and name == rows:
            each, below = name, below["items"]
            if number is not None:
                message = f"`{name}` has a row for each item, and no numbers in headings"
                return Problem("heading-number", message, heading.span, f"write `{_to(_bare(steps))}`")
        elif below["x-kind"] == "list":
            below = below["items"]
            if number is None:
                first, second = (_to((*steps[:place], (name, n), *steps[place + 1 :])) for n in (1, 2))
                help = f"number its items: `{first}`, `{second}` and so on"
                return Problem("heading-number", f"`{name}` is a list", heading.span, help)
        elif number is not None:
            message = f"`{name}` is no list, and has no items to number"
            return Problem("heading-number", message, heading.span, f"write `{_to(_bare(steps))}`")
    if below["x-kind"] == "group" or (below["x-kind"] == "raw" and len(steps) == 1):
        some = [f"`{heading.path}.{name}`" for name in below.get("properties", {})][:_SHOWN]
        shown = f": {', '.join(some)} and so on" if some else ", their names behind a dot"
        message = f"`{heading.path}` holds fields of its own"
        return Problem("heading-fields", message, heading.span, f"a column for each{shown}")
    column = Column(steps[1:] if each else steps, each, below, heading.unit)
    return _unit_problem(heading, below) or column


def paths_of(schema: Schema) -> Iterator[str]:
    """The paths that headings can have, lists with the number of their first item."""
    yield from _paths(schema, "", row_list(schema))


def _paths(schema: Schema, prefix: str, rows: str | None) -> Iterator[str]:
    for name, below in schema["properties"].items():
        path = prefix + name
        if below["x-kind"] == "list":
            path += "" if path == rows else "[1]"
            below = below["items"]
        if below["x-kind"] == "group":
            yield from _paths(below, f"{path}.", rows)
        elif below["x-kind"] != "raw":
            yield path


def _to(steps: Sequence[Step], place: int | None = None) -> str:
    return ".".join(name if number is None else f"{name}[{number}]" for name, number in steps[:place])


def _bare(steps: Sequence[Step]) -> tuple[Step, ...]:
    return tuple((name, None) for name, _ in steps)


def _unknown(heading: Heading, schema: Schema | None) -> Problem:
    otherwise = "`tautbook sheet --format csv` writes a table with its columns"
    titled = None if schema is None else _called(heading.path, schema) or _called_below(heading, schema)
    meant = None if schema is None else did_you_mean(heading.path, paths_of(schema), otherwise)
    if titled is not None:
        meant = f"`{heading.path}` is written `{titled}`"
    return Problem("unknown-column", f"these records have no field `{heading.path}`", heading.span, meant)


def _called(title: str, *schemas: Schema) -> str | None:
    """The path of the field that forms call so, where it is the same in all records that have one."""
    found = {
        _to([(name, 1 if listed and name != row_list(schema) else None) for name, listed in place])
        for schema in schemas for place in places_called(title, schema)
    }  # fmt: skip
    return found.pop() if len(found) == 1 else None


def _called_below(heading: Heading, schema: Schema) -> str | None:
    """The path of a field whose last name is its title in the group that it stands in."""
    below = schema
    for name, _ in heading.steps[:-1]:
        below = below.get("properties", {}).get(name, {})
        below = below.get("items", below)
    found = called(heading.steps[-1][0], below)
    return None if found is None else _to((*heading.steps[:-1], (found, None)))


def _unit_problem(heading: Heading, schema: Schema) -> Problem | None:
    if heading.unit is None or schema["x-kind"] == "raw" or (heading.unit == ANSWERS and schema["x-kind"] == "yes-no"):
        return None
    if schema["x-kind"] not in {"quantity", "number"}:
        message = f"`{heading.path}` has no unit"
        return Problem("heading-unit", message, heading.unit_at, f"write `{heading.path}`")
    dimension = dimension_named(schema["x-dimension"]) if schema["x-kind"] == "quantity" else DIMENSIONLESS
    found = read_quantity(f"1 {heading.unit}", dimension)
    if not isinstance(found, Mistake):
        return None
    help = None if found.help is None else found.help.replace("`1 ", "`")
    return Problem(found.code, found.message, heading.unit_at, help)
