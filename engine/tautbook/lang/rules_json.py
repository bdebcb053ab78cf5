"""The tables, terms and months policy that kernel trees refer to, as plain JSON data: form ``k1``, as one tree is.

Spans are left out. Data of another form is a fault of ours and raises ``ValueError``.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from .kernel import Axis, BandRange, Cell, Definition, Rules, Table, key_of
from .kernel_json import FORM, Reader, Writer, list_of, object_of, of_form
from .quantity import Quantity, number
from .values_json import value_from_json, value_json, words, wrong

_MONTHS = ("clamp", "roll over", "refuse")


def rules_json(rules: Rules) -> Any:
    """``{"form": "k1", "months", "terms", "tables", "nodes", "kinds"}``; the bodies of terms share their nodes."""
    out = Writer()
    return {
        "form": FORM,
        "months": rules.months,
        "terms": {key: _term_json(term, out) for key, term in rules.terms.items()},
        "tables": {key: table_json(table, out) for key, table in rules.tables.items()},
        "nodes": out.nodes,
        "kinds": out.kinds,
    }


def rules_from_json(data: Any) -> Rules:
    """The rules that ``rules_json`` wrote."""
    given = Reader(of_form(data, {"months", "terms", "tables"}))
    terms, tables = object_of(data["terms"]), object_of(data["tables"])
    return Rules(
        {key: _term(term, given) for key, term in terms.items()},
        {key: _table(table, given) for key, table in tables.items()},
        given.part(_MONTHS, data["months"]),
    )


def _term_json(term: Definition, out: Writer) -> Any:
    parameters = [[name, out.kind(kind)] for name, kind in term.parameters]
    return {"name": term.name, "parameters": parameters, "body": out.node(term.body)}


def _term(data: Any, given: Reader) -> Definition:
    found = object_of(data, {"name", "parameters", "body"})
    parameters = [list_of(parameter, 2) for parameter in list_of(found["parameters"])]
    return Definition(
        given.part("word", found["name"]),
        tuple((given.part("word", name), given.kind(kind)) for name, kind in parameters),
        given.node(found["body"]),
    )


def table_json(table: Table, out: Writer) -> Any:
    """One table; its kinds are written to ``out``."""
    return {
        "name": table.name,
        "axes": [_axis_json(axis, out) for axis in table.axes],
        "kind": out.kind(table.kind),
        "cells": [
            [[_key_json(key) for key in at], list(cell.keys), value_json(cell.value)]
            for at, cell in table.cells.items()
        ],
        "covers": table.covers,
    }


def _table(data: Any, given: Reader) -> Table:
    found = object_of(data, {"name", "axes", "kind", "cells", "covers"})
    cells = {}
    for at, keys, value in (list_of(cell, 3) for cell in list_of(found["cells"])):
        cells[tuple(key_of(value_from_json(key)) for key in list_of(at))] = Cell(value_from_json(value), words(keys))
    return Table(
        given.part("word", found["name"]),
        tuple(_axis(axis, given) for axis in list_of(found["axes"])),
        given.kind(found["kind"]),
        cells,
        found["covers"] if isinstance(found["covers"], bool) else wrong("true or false", found["covers"]),
    )


def _key_json(key: object) -> Any:
    """What a row is found by; of a quantity that is its size in base units alone."""
    return value_json(number(key) if isinstance(key, Fraction) else key)  # type: ignore[arg-type] # a plain value


def _axis_json(axis: Axis, out: Writer) -> Any:
    bands = None if axis.bands is None else [[band.label, _end(band.over), _end(band.up_to)] for band in axis.bands]
    return {"name": axis.name, "kind": out.kind(axis.kind), "bands": bands}


def _end(quantity: Quantity | None) -> Any:
    return None if quantity is None else value_json(quantity)


def _axis(data: Any, given: Reader) -> Axis:
    found = object_of(data, {"name", "kind", "bands"})
    bands = None if found["bands"] is None else tuple(_band(band, given) for band in list_of(found["bands"]))
    return Axis(given.part("word", found["name"]), given.kind(found["kind"]), bands)


def _band(data: Any, given: Reader) -> BandRange:
    label, *ends = list_of(data, 3)
    over, up_to = (None if end is None else given.part("quantity", end) for end in ends)
    return BandRange(given.part("word", label), over, up_to)
