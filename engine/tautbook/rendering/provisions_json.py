"""Provisions -> the objects under ``provisions`` in ``schemas/shelf.schema.json``."""

from __future__ import annotations

from typing import Any

from ..editions.edition import Origin
from ..explaining.prose_tree import Prose, flat, lines
from ..explaining.provisions import cell_text
from ..explaining.provisions_stated import (
    Checked,
    CoverStated,
    ProcedureStated,
    Provisions,
    RequirementStated,
    TableStated,
    TermStated,
)
from ..lang.unreduce import print_kernel


def provisions_json(provisions: Provisions) -> dict[str, Any]:
    edition = provisions.edition
    enacted = edition.enacted
    return {
        "enacted": None if enacted is None else {"by": enacted.by, "on": enacted.on.isoformat()},
        "layers": [{"name": each.name, "digest": each.digest} for each in edition.layers],
        "reasons": [
            {"part": list(way), "edition": each.edition, "why": each.why}
            for way, told in edition.reasons.items() for each in told
        ],
        "stated": [{"name": each.name, "text": each.text, "layer": each.layer} for each in provisions.stated],
        "covers": [_cover(each) for each in provisions.covers],
        "sources": [
            {"id": each.id, "title": each.title, "year": each.year, "publisher": each.publisher,
             "standing": each.standing, "note": each.note, "layer": each.layer}
            for each in provisions.sources
        ],
        "tables": [_table(each) for each in provisions.tables],
        "terms": [_term(each) for each in provisions.terms],
        "procedures": [_procedure(each) for each in provisions.procedures],
        "programme": [
            {"procedure": each.procedure, "for_each": [path for path, _ in each.for_each], "when": each.when,
             "lasts": each.lasts, "waivable_by": list(each.waivable_by), "clause": each.clause,
             "note": each.note, "layer": each.layer}
            for each in provisions.programme
        ],
        "left_to_people": [
            {"what": each.what, "clause": each.clause, "source": each.source, "procedures": list(each.procedures),
             "layer": each.layer}
            for each in provisions.left_to_people
        ],
        "fields": [
            {"path": each.path, "title": each.title, "description": each.description, "kind": each.kind,
             "unit": each.unit, "options": list(each.options), "layer": each.layer}
            for each in provisions.fields
        ],
    }  # fmt: skip


def _said(prose: Prose | None) -> dict[str, Any] | None:
    if prose is None:
        return None
    laid_out = [{"depth": line.depth, "label": line.label, "text": line.text} for line in lines(prose)]
    return {"text": flat(prose), "lines": laid_out}


def _origin(origin: Origin) -> dict[str, Any]:
    return {"source": origin.source, "clause": origin.clause, "standing": origin.standing}


def _checked(checked: Checked | None) -> dict[str, str] | None:
    return None if checked is None else {"by": checked.by, "on": checked.on, "against": checked.against}


def _cover(cover: CoverStated) -> dict[str, Any]:
    values = [
        {"value": each.value, "also": list(each.also), "when": _said(each.when), "rule": each.says,
         "clause": each.clause, "note": each.note}
        for each in cover.values
    ]  # fmt: skip
    return {"path": cover.path, "title": cover.title, "values": values, "layer": cover.layer}


def _table(stated: TableStated) -> dict[str, Any]:
    table, check = stated.table, stated.crosscheck
    return {
        "name": stated.name,
        "title": stated.title,
        **_origin(stated.origin),
        "by": [
            {"key": axis.name, "title": title, "bands": axis.bands is not None}
            for axis, title in zip(table.axes, stated.axes, strict=True)
        ],
        "rows": [
            {"keys": list(cell.keys), "figure": cell_text(cell),
             "layer": stated.cell_layers.get(cell.keys, stated.layer)}
            for cell in table.cells.values()
        ],
        "note": stated.note,
        "source_note": stated.source_note,
        "checked": _checked(stated.checked),
        "crosscheck": None if check is None else {
            "formula": _said(check.formula), "rule": check.says, "within": check.within,
            "except": [{"key": key, "why": why} for key, why in check.exceptions],
        },
        "layer": stated.layer,
    }  # fmt: skip


def _term(stated: TermStated) -> dict[str, Any]:
    return {
        "name": stated.name,
        "title": stated.title,
        **_origin(stated.origin),
        "of": [{"name": name, "kind": kind} for name, kind in stated.parameters],
        "is": [{"procedures": list(procedures), **(_said(prose) or {})} for procedures, prose in stated.sentences],
        "rule": stated.says,
        "used": stated.used,
        "note": stated.note,
        "checked": _checked(stated.checked),
        "layer": stated.layer,
    }


def _procedure(stated: ProcedureStated) -> dict[str, Any]:
    figures = [
        {"id": each.figure.id, "title": each.figure.title, **_origin(each.figure.origin), "is": _said(each.sentence),
         "rule": each.says, "note": each.figure.note, "layer": each.layer}
        for each in stated.figures
    ]  # fmt: skip
    return {
        "id": stated.procedure.id,
        "title": stated.procedure.title,
        "note": stated.note,
        "asks": [{"list": each.path, "count": each.count, "layer": each.layer} for each in stated.asks],
        "requirements": [_requirement(each) for each in stated.requirements],
        "figures": figures,
        "layer": stated.layer,
    }


def _requirement(stated: RequirementStated) -> dict[str, Any]:
    of, said = stated.requirement, stated.spoken
    return {
        "id": of.id,
        "title": of.title,
        **_origin(of.origin),
        "kind": of.kind,
        "each": of.each,
        "must": _said(said.must),
        "rule": of.says or None,
        "absent": of.absent,
        "applies": _said(said.applies),
        "applies_rule": None if of.applies is None else print_kernel(of.applies),
        "unless": [
            {"id": each.by.id, "title": each.by.title, "clause": each.by.clause, "when": _said(each.when),
             "rule": print_kernel(each.by.when)}
            for each in said.unless
        ],
        "voids": of.voids,
        "waivable_by": list(of.waivable_by),
        "otherwise": of.otherwise,
        "note": of.note,
        "watch": of.watch,
        "reading": dict(of.reading) or None,
        "checked": _checked(stated.checked),
        "layer": stated.layer,
    }  # fmt: skip
