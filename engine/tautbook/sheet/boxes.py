"""The boxes of a record, made from its schema: what each takes, what is known of it, and what is asked of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from ..explaining.limits import Limits
from ..lang.kernel import Rules
from ..lang.operations import words as words_of
from ..lang.quantity import Quantity
from ..lang.values import Data, Group, Items, Leaf
from ..shape.schemas import Schema
from .asked import stop_in
from .form import Asked, Box, Entry, Item, Listed, Part

_SINGLE = frozenset({"quantity", "number", "whole", "text", "choice", "yes-no", "date", "span", "evidence"})


@dataclass(frozen=True, slots=True)
class Making:
    """What boxes are made from."""

    limits: Limits
    reads: Mapping[str, frozenset[str]]
    asked: Mapping[str, tuple[Asked, ...]]
    items: Mapping[str, int]
    """How many items of each list are printed, by its path."""
    covers: Mapping[str, tuple[str, ...]]
    """The values that the edition covers, by field, other names of them among them."""
    usual: Mapping[str, str]
    """By dimension, the one unit that the tables of the edition are written in."""

    def part(self, path: str, field: str, schema: Schema, within: bool, needed: bool = False) -> Part:
        """The boxes of a group. ``within``: whether it is a part of an item, so that its title tells boxes apart;
        ``needed``: whether every record has it."""
        title = schema["title"]
        boxes = tuple(self.below(path, field, schema, title if within else None, needed))
        stop = stop_in(boxes, self.limits, self.asked) if within else None
        if stop is not None:
            # The reading that holds the work is taken first.
            boxes = tuple(sorted(boxes, key=lambda box: not (isinstance(box, Box) and box.plain == stop.reading)))
        return Part(path, title, schema["description"], boxes, stop)

    def below(
        self, path: str, field: str, schema: Schema, within: str | None, needed: bool
    ) -> Iterator[Box | Listed]:
        """The boxes of the fields of a group, groups inside it written out."""
        instead = frozenset(_instead(schema))
        for name, inner in schema["properties"].items():
            at, plain = f"{path}.{name}" if path else name, f"{field}.{name}" if field else name
            if inner["x-kind"] in _SINGLE:
                yield self.box(at, plain, inner, within, needed and name in schema.get("required", ()))
            elif inner["x-kind"] == "group":
                yield from self.below(at, plain, inner, within, False)
            elif inner["x-kind"] == "list" and name not in instead:
                yield self.listed(at, plain, inner)

    def listed(self, path: str, field: str, schema: Schema) -> Listed:
        """A list: as many items as are known, or as the form prints."""
        known = data_at(self.limits.known, path)
        there = len(known.items) if isinstance(known, Items) else 0
        number = max(there, self.items.get(field, self.items[""]))
        items = (self.item(f"{path}[{n}]", field, schema) for n in range(1, number + 1))
        asks = self.limits.procedure.asks.get(field)
        return Listed(path, schema["title"], schema["x-singular"], schema["description"], asks, tuple(items))

    def item(self, path: str, field: str, schema: Schema) -> Item:
        inner = schema["items"]
        number = path.rpartition("[")[2].rstrip("]")
        title = f"{schema['x-singular']} {number}"
        if inner["x-kind"] != "group":
            return Item(path, title, (Part(path, title, None, (self.box(path, field, inner, None, False),)),))
        return Item(path, title, tuple(_merged(self.parts(path, field, inner, True), path)))

    def parts(self, path: str, field: str, schema: Schema, within: bool) -> Iterator[Part]:
        """Groups one by one, and the single fields between them together."""
        run: list[Box | Listed] = []
        for name, inner in schema["properties"].items():
            at, plain = f"{path}.{name}" if path else name, f"{field}.{name}" if field else name
            if inner["x-kind"] == "group":
                if run:
                    yield Part(path, "", None, tuple(run))
                run = []
                yield self.part(at, plain, inner, within, not path and name in schema.get("required", ()))
            elif inner["x-kind"] in _SINGLE:
                run.append(self.box(at, plain, inner, None, not path and name in schema.get("required", ())))
            elif inner["x-kind"] == "list":
                run.append(self.listed(at, plain, inner))
        if run:
            yield Part(path, "", None, tuple(run))

    def box(self, path: str, field: str, schema: Schema, within: str | None, required: bool) -> Box:
        kind = schema["x-kind"]
        read = field in self.reads
        known = data_at(self.limits.known, path)
        value, unit = _value(known, kind)
        units = tuple(schema.get("x-unit", ()))
        # What is known keeps the unit that it was given in, whichever are offered.
        units += (unit,) if unit and unit not in units else ()
        words = tuple(schema.get("enum", [schema["const"]] if "const" in schema else ()))
        if kind == "yes-no":
            words = ("yes", "no")
        if "const" in schema:
            value = schema["const"]
        covers = self.covers.get(field, ())
        asked = self.asked.get(field, ())
        return Box(
            path, field, schema["title"], _telling(within, schema["title"]), schema["description"],
            schema.get("x-definition"), kind, _entry(kind, schema), units,
            unit or self.unit(schema, asked),
            {name: str(step) for name, step in schema.get("x-resolution", {}).items()}, words,
            covers or (() if words or kind not in ("choice", "quantity") else tuple(schema.get("examples", ()))),
            bool(covers), read, required, asked, value,
        )  # fmt: skip

    def unit(self, schema: Schema, asked: tuple[Asked, ...]) -> str | None:
        """The unit that a reading is taken in: of the step it is read in, else of the limits it is held to."""
        units = schema.get("x-unit", ())
        step = schema.get("x-read-in")
        known = None if step is None else data_at(self.limits.known, step)
        if isinstance(known, Leaf) and isinstance(known.value, Quantity) and known.value.unit.name in units:
            return known.value.unit.name
        figures = [each.figure for each in asked if each.figure is not None]
        found = next((unit for figure in figures for unit in units if figure.endswith(f" {unit}")), None)
        usual = self.usual.get(schema.get("x-dimension", ""))
        return found or (usual if usual in units else None)


def data_at(group: Group, path: str) -> Data | None:
    """What is known at a path, numbers of lists in it."""
    data: Data | None = group
    for step in path.split("."):
        name, _, number = step.partition("[")
        data = data.fields.get(name) if isinstance(data, Group) else None
        if number and isinstance(data, Items):
            at = int(number.rstrip("]"))
            data = data.items[at - 1] if at <= len(data.items) else None
    return data


def _merged(parts: Iterable[Part], path: str) -> Iterator[Part]:
    """Parts of an item, those together that have no group with a reading: their labels tell them apart."""
    run: list[Box | Listed] = []
    for part in parts:
        if part.title and any(isinstance(box, Box) and box.read for box in part.boxes):
            if run:
                yield Part(path, "", None, tuple(run))
            run = []
            yield part
        else:
            run += part.boxes
    if run:
        yield Part(path, "", None, tuple(run))


def usual_units(rules: Rules) -> Mapping[str, str]:
    """By dimension, the unit that all cells of all tables have; a dimension with two units has none."""
    found: dict[str, set[str]] = {}
    for table in rules.tables.values():
        for cell in table.cells.values():
            if isinstance(cell.value, Quantity):
                found.setdefault(cell.value.unit.dimension.name, set()).add(cell.value.unit.name)
    return {dimension: next(iter(units)) for dimension, units in found.items() if len(units) == 1}


def _telling(within: str | None, title: str) -> str | None:
    """The title of the group, where that of the field does not say it already."""
    return None if within is None or set(within.split()) <= set(title.split()) else within


def _value(known: Data | None, kind: str) -> tuple[str, str | None]:
    """What is known of a field as it is written, and its unit."""
    if isinstance(known, Group):
        # Another record that this one rests on is named by its number.
        known = known.fields.get("id")
    if not isinstance(known, Leaf):
        return "", None
    if isinstance(known.value, bool):
        return words_of(known.value), None
    if isinstance(known.value, Quantity) and kind == "quantity":
        return known.written.rpartition(" ")[0], known.value.unit.name
    return known.written, None


def _entry(kind: str, schema: Schema) -> Entry:
    """Which keys are offered. Fractions and signs are on no keyboard of digits."""
    if kind == "whole":
        return "numeric"
    if kind not in ("number", "quantity"):
        return "text"
    fractions = any("/" in str(step) for step in schema.get("x-resolution", {}).values())
    signed = any(str(end).startswith("-") for end in schema.get("x-range", ()))
    return "text" if fractions or signed else "decimal"


def _instead(schema: Schema) -> Iterator[str]:
    """Names of lists of single words that another field of the group is worked out from, and asked for instead."""
    lists = [name for name, inner in schema["properties"].items() if inner["x-kind"] == "list"]
    rules = [inner["x-derived"] for inner in schema["properties"].values() if "x-derived" in inner]
    for name in lists:
        if schema["properties"][name]["items"]["x-kind"] != "group" and any(f".{name}," in rule for rule in rules):
            yield name
