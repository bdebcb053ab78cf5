"""A form as an empty table: a row for each item that the edition asks for, a column for each box. No layout."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ..records.table_headings import ANSWERS, row_list
from ..shape.schemas import record_schema
from .form import Box, Form, Listed, Part, in_order


@dataclass(frozen=True, slots=True)
class Column:
    heading: str
    """The path of the field, as readings from tables know it, with the unit of the column."""
    label: str
    """What the form calls it."""
    box: Box
    """Of the first item, where it is one of an item's."""
    values: tuple[str, ...]
    """What is known already, row by row."""


def columns_of(form: Form) -> tuple[Column, ...]:
    """The columns in the order of the form. What is said of the whole record is known in the first row only."""
    schema = record_schema(form.procedure.id)
    listed = None if schema is None else row_list(schema)
    rows = max([1, *(len(each.items) for each in form.lists if each.path == listed)])
    boxes = {box.path: (box, label) for box, label in _printed(form, listed)}
    raw = {name for name, below in (schema or {"properties": {}})["properties"].items() if below["x-kind"] == "raw"}
    found = []
    for path, (box, label) in boxes.items():
        # What only an edition knows the kind of says in its heading how it is answered.
        unit = ANSWERS if box.kind == "yes-no" and path.partition(".")[0] in raw else None
        if listed is not None and path.startswith(f"{listed}["):
            first, _, below = path.partition("]")
            if first != f"{listed}[1":
                continue
            items = [boxes.get(f"{listed}[{n}]{below}") for n in range(1, rows + 1)]
            of_items = [None if each is None else each[0] for each in items]
            known = [each for each in of_items if each is not None and each.value]
            values = tuple("" if each is None else each.value for each in of_items)
            if len({each.unit for each in known}) > 1:
                # Read in more than one unit: each cell says its own.
                values = tuple("" if each is None else _whole(each) for each in of_items)
                box = replace(box, units=())
            elif known:
                box = replace(box, units=known[0].units, unit=known[0].unit)
            path = f"{listed}{below}"
        else:
            values = (box.value, *[""] * (rows - 1))
        if box.units:
            unit = box.unit if box.unit in box.units else box.units[0]
            in_it = [each.removesuffix(f" {unit}") for each in box.offered if each.endswith(f" {unit}")]
            box = replace(box, offered=tuple(in_it))
        found.append(Column(path if unit is None else f"{path} [{unit}]", label, box, values))
    return tuple(found)


def _printed(form: Form, rows: str | None) -> Iterator[tuple[Box, str]]:
    """Every box as it is printed, with its label."""
    parts: tuple[Part | Listed, ...]
    parts = (*form.before, *form.lists, *form.after, *form.besides, *form.waivers, *form.persons)
    for part in parts:
        yield from _of_list(part, rows) if isinstance(part, Listed) else _of_part(part, part.title, rows)


def _of_part(part: Part, within: str, rows: str | None) -> Iterator[tuple[Box, str]]:
    for each in in_order(part):
        if isinstance(each, Listed):
            yield from _of_list(each, rows)
        else:
            yield each, _label(each, part.title or within)


def _of_list(listed: Listed, rows: str | None) -> Iterator[tuple[Box, str]]:
    for item in listed.items:
        for part in item.parts:
            yield from _of_part(part, listed.singular if listed.path == rows else item.title, rows)


def _label(box: Box, within: str) -> str:
    """The title of a box, and in brackets what it stands under where the title says nothing of it."""
    if box.within is None and _words(within) & _words(box.title):
        return box.title
    under = box.within or within
    return f"{box.title} ({under})" if under else box.title


def _words(text: str) -> set[str]:
    return {word.removesuffix("s") for word in text.split()}


def _whole(box: Box) -> str:
    return f"{box.value} {box.unit}" if box.value and box.unit else box.value
