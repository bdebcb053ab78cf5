"""A form as an empty table: a row for each item that the edition asks for, a column for each box. No layout."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..records.table_headings import row_list
from ..shape.schemas import record_schema
from .form import Box, Form

_ANSWERS = ("true", "false")


@dataclass(frozen=True, slots=True)
class Column:
    heading: str
    """The path of the field, as readings from tables know it, with the unit of the column."""
    box: Box
    """Of the first item, where it is one of an item's."""
    values: tuple[str, ...]
    """What is known already, row by row."""


def columns_of(form: Form) -> tuple[Column, ...]:
    """The columns in the order of the work. What is said of the whole record is known in the first row only."""
    schema = record_schema(form.procedure.id)
    listed = None if schema is None else row_list(schema)
    rows = max([1, *(len(each.items) for each in form.lists if each.path == listed)])
    boxes = {box.path: box for box in form.boxes()}
    raw = {name for name, below in (schema or {"properties": {}})["properties"].items() if below["x-kind"] == "raw"}
    found = []
    for path, box in boxes.items():
        if box.kind == "yes-no" and path.partition(".")[0] in raw:
            # What only an edition knows the kind of is written as a record file has it.
            box = replace(box, words=_ANSWERS, value=dict(zip(box.words, _ANSWERS, strict=True)).get(box.value, ""))
        if listed is not None and path.startswith(f"{listed}["):
            first, _, below = path.partition("]")
            if first != f"{listed}[1":
                continue
            items = [boxes.get(f"{listed}[{n}]{below}") for n in range(1, rows + 1)]
            known = [each for each in items if each is not None and each.value]
            values = tuple("" if each is None else each.value for each in items)
            if len({each.unit for each in known}) > 1:
                # Read in more than one unit: each cell says its own.
                values = tuple("" if each is None else _whole(each) for each in items)
                box = replace(box, units=())
            elif known:
                box = replace(box, units=known[0].units, unit=known[0].unit)
            path = f"{listed}{below}"
        else:
            values = (box.value, *[""] * (rows - 1))
        unit = box.unit if box.unit in box.units else next(iter(box.units), None)
        if unit is not None:
            in_it = [each.removesuffix(f" {unit}") for each in box.offered if each.endswith(f" {unit}")]
            box = replace(box, offered=tuple(in_it))
        found.append(Column(path if unit is None else f"{path} [{unit}]", box, values))
    return tuple(found)


def _whole(box: Box) -> str:
    return f"{box.value} {box.unit}" if box.value and box.unit else box.value
