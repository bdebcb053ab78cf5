"""The vocabulary that a record schema is: the kind, the title and the habits of every field."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache

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
)  # fmt: skip
from ..lang.limits import LIMITS
from ..lang.quantity import DIMENSIONLESS, Quantity, dimension_named, read_quantity
from .scalars import range_of
from .schemas import Schema, procedures, record_schema


@dataclass(frozen=True, slots=True)
class FieldInfo:
    """One field. ``path`` runs from the record, through lists without a number (``list.field``)."""

    path: str
    title: str
    description: str
    kind: Kind
    required: bool
    units: tuple[str, ...]
    """The units offered, the likeliest first; empty where the field has none."""
    resolution: Mapping[str, Fraction] = field(hash=False)
    """By unit ("" for a plain number), the step in which it is usually read."""
    range: tuple[Quantity, Quantity] | None
    """Least and greatest value that a record can hold, both included."""
    definition: str | None
    """What the trade means by it, where that needs saying."""
    derived: str | None
    """An expression that gives the field where it was not recorded."""
    derived_when: str | None
    """Only where this holds. Without it a recorded value must agree with the derived one."""
    derived_else: str | None
    """The value where ``derived`` is open: whether something stands in a record is known as soon as it is written."""
    read_in: str | None
    """Path of the field that holds the step in which this one is read, say the graduation of a dial."""
    examples: tuple[str, ...]
    procedure: str | None
    """Of another record that this one rests on: its procedure."""


@dataclass(frozen=True, slots=True)
class Sound:
    """What no real test can show: where ``require`` is no, the record is wrong at the field ``at``.

    With ``each`` (the path of a list) both are said of one item, by its singular.
    """

    id: str
    each: str | None
    at: str
    require: str
    message: str
    help: str


@dataclass(frozen=True, slots=True)
class Vocabulary:
    procedure: str
    title: str
    description: str
    record: GroupKind
    fields: Mapping[str, FieldInfo] = field(hash=False)
    """By path, in the order of the schema; groups and lists stand before what they hold."""
    sound: tuple[Sound, ...]
    cautions: tuple[str, ...]
    """What can hurt in this test, printed with everything that is said of it."""


@cache
def vocabulary(procedure: str) -> Vocabulary | None:
    """The vocabulary of the records of ``procedure``; None if no such procedure is known."""
    schema = record_schema(procedure)
    if schema is None:
        return None
    return Vocabulary(
        procedure, schema["title"], schema["description"], record_kind(procedure, frozenset(procedures())),
        {info.path: info for info in _fields(schema, "")},
        tuple(_sound(check) for check in schema.get("x-sound", ())),
        tuple(schema.get("x-cautions", ())),
    )  # fmt: skip


@cache
def record_kind(procedure: str, judged: frozenset[str], depth: int = 0) -> GroupKind:
    """What the records of ``procedure`` hold. A record that rests on others, to a ``depth``, holds them and, of
    those procedures that are ``judged``, the verdict."""
    schema = record_schema(procedure)
    assert schema is not None, procedure
    kind = kind_of(schema, judged, depth)
    assert isinstance(kind, GroupKind)
    return kind


def kind_of(schema: Schema, judged: frozenset[str] = frozenset(), depth: int = 0) -> Kind:
    """The kind that a schema names. Parts that are read later (raw) have none and are left out of groups."""
    match schema["x-kind"]:
        case "group":
            known = schema["properties"].items()
            return GroupKind({name: kind_of(below, judged, depth) for name, below in known if _is_read(below, depth)})
        case "evidence":
            other = schema["x-procedure"]
            verdict = {"verdict": VERDICT} if other in judged else {}
            return GroupKind({**record_kind(other, judged, depth + 1).fields, **verdict})
        case "list":
            points = schema.get("x-points")
            pair = None if points is None else (points["at"], points["value"])
            return ListKind(schema["x-singular"], kind_of(schema["items"], judged, depth), pair)
        case "quantity":
            dimension = dimension_named(schema["x-dimension"])
            assert dimension is not None, schema["x-dimension"]
            return QuantityKind(dimension)
        case "choice":
            options = schema.get("enum", [schema["const"]] if "const" in schema else None)
            return ChoiceKind(None if options is None else tuple(options))
        case kind:
            return SIMPLE_KINDS[kind]


def _is_read(schema: Schema, depth: int) -> bool:
    kind = schema["x-kind"]
    return kind != "raw" and not (kind == "evidence" and depth >= LIMITS.evidence)


VERDICT = ChoiceKind(("pass", "fail", "invalid"))
"""What a record was judged to be. One that is still incomplete is open, like a reading that was not made."""

SIMPLE_KINDS: Mapping[str, Kind] = {
    "number": NumberKind(),
    "whole": NumberKind(whole=True),
    "text": TextKind(),
    "choice": ChoiceKind(),
    "yes-no": YesNoKind(),
    "date": DateKind(),
    "span": CalendarSpanKind(),
}
"""Kinds that one word says whole; a choice is then one of any word."""


def _fields(schema: Schema, prefix: str) -> Iterator[FieldInfo]:
    required = schema.get("required", ())
    for name, below in schema["properties"].items():
        if below["x-kind"] == "raw":
            continue
        path = prefix + name
        yield _info(path, below, name in required)
        inner = below.get("items", below)
        if inner["x-kind"] == "group":
            yield from _fields(inner, f"{path}.")


def _info(path: str, schema: Schema, required: bool) -> FieldInfo:
    return FieldInfo(
        path=path,
        title=schema["title"],
        description=schema["description"],
        kind=kind_of(schema),
        required=required,
        units=tuple(schema.get("x-unit", ())),
        resolution={unit: _step(step) for unit, step in schema.get("x-resolution", {}).items()},
        range=range_of(schema),
        definition=schema.get("x-definition"),
        derived=schema.get("x-derived"),
        derived_when=schema.get("x-derived-when"),
        derived_else=schema.get("x-derived-else"),
        read_in=schema.get("x-read-in"),
        examples=tuple(schema.get("examples", ())),
        procedure=schema.get("x-procedure"),
    )


def _step(step: object) -> Fraction:
    found = read_quantity(str(step), DIMENSIONLESS)
    assert isinstance(found, Quantity), step
    return found.value


def _sound(check: Mapping[str, str]) -> Sound:
    return Sound(
        check["id"], check.get("each"), check["at"], check["require"], check["message"], check["help"]
    )
