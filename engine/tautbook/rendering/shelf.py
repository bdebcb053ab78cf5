"""The editions at hand, as text and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from ..editions.edition import Edition, Procedure, Requirement
from ..explaining.labels import how_many
from ..lang.operations import words as written_as
from ..lang.unreduce import print_kernel
from ..shape.vocabulary import vocabulary
from .edition_text import clause, enacted_text, in_force
from .layout import labelled, paragraph


def shelf_json(editions: Sequence[Edition]) -> list[dict[str, Any]]:
    """The objects that ``schemas/shelf.schema.json`` describes."""
    return [_json(each) for each in editions]


def _json(edition: Edition) -> dict[str, Any]:
    start, end = edition.effective
    return {
        "ruleset": edition.ruleset,
        "edition": edition.edition,
        "title": edition.title,
        "effective": {"from": start.isoformat(), "until": None if end is None else end.isoformat()},
        "enacted": edition.enacted is not None,
        "digest": edition.digest,
        "file": edition.file,
        "procedures": [
            {"id": each.id, "title": each.title, "requirements": len(each.requirements)}
            for each in edition.procedures.values()
        ],
        "standings": sorted({source.standing for source in edition.sources.values()}),
    }


def shelf_text(editions: Sequence[Edition]) -> str:
    """A line or three for each edition."""
    return "".join(f"{line}\n" for each in editions for line in _lines(each))


def _lines(edition: Edition) -> Iterator[str]:
    yield from paragraph(f"{edition.name}  {edition.title}", 0)
    yield from labelled("in force", in_force(edition))
    yield from labelled("standing", f"{_standing(edition)}; {enacted_text(edition)}")
    yield from labelled("digest", edition.digest)
    for layer in edition.layers:
        yield from labelled("amends", f"{layer.name}, {layer.digest}")
    yield from labelled("file", edition.file)


def _standing(edition: Edition) -> str:
    return ", ".join(sorted({source.standing for source in edition.sources.values()}))


def edition_text(edition: Edition) -> str:
    """One edition: what it asks, procedure by procedure."""
    return "".join(f"{line}\n" for line in _whole(edition))


def _requirement(each: Requirement) -> Iterator[str]:
    """What must hold, when, and what a fault of it does."""
    if each.says:
        yield from labelled("", each.says)
    if each.absent:
        yield from labelled("", f"no rule: {each.absent}")
    if each.applies is not None:
        yield from labelled("", f"applies where {print_kernel(each.applies)}")
    for exception in each.unless:
        yield from labelled("", f"unless {exception.title}: {print_kernel(exception.when)}")
    if each.voids is not None:
        yield from labelled("", f"voids {each.voids}")
    if each.waivable_by:
        yield from labelled("", f"may be waived by {' or '.join(each.waivable_by)}")
    if each.otherwise:
        yield from labelled("", f"otherwise: {each.otherwise}")


def _formulas(edition: Edition, procedure: Procedure) -> Iterator[str]:
    for name, definition in procedure.rules.terms.items():
        if name in edition.terms:
            named = edition.terms[name]
            parameters = ", ".join(parameter for parameter, _ in definition.parameters)
            takes = f"({parameters})" if parameters else ""
            yield from labelled("term", f"{name}{takes}{clause(named.origin)}: {named.title}")
            yield from labelled("", print_kernel(definition.body))


def _tables(edition: Edition, procedure: Procedure) -> Iterator[str]:
    for name, table in procedure.rules.tables.items():
        if name in edition.tables:
            named = edition.tables[name]
            yield from labelled("table", f"{name}{clause(named.origin)}: {named.title}")
            cells = (f"[{', '.join(cell.keys)}] {written_as(cell.value)}" for cell in table.cells.values())
            yield from labelled("", "; ".join(cells))


def _whole(edition: Edition) -> Iterator[str]:
    yield from _lines(edition)
    for source in edition.sources.values():
        year = f", {source.year}" if source.year else ""
        yield from labelled("source", f"{source.id}: {source.title}{year} ({source.standing})")
    for procedure in edition.procedures.values():
        yield ""
        yield from paragraph(f"{procedure.id}: {procedure.title}", 0)
        for path, count in procedure.asks.items():
            words = vocabulary(procedure.id)
            assert words is not None, "an edition has no rules for a procedure without records"
            yield from labelled("asks for", how_many(count, path, words))
        for each in procedure.requirements:
            yield from labelled(each.kind, f"{each.id}{clause(each.origin)}: {each.title}")
            yield from _requirement(each)
        yield from _formulas(edition, procedure)
        yield from _tables(edition, procedure)
    if edition.left_to_people:
        yield ""
        yield "left to people"
        for left in edition.left_to_people:
            of = f" ({', '.join(left.procedures)})" if left.procedures else ""
            yield from labelled(left.clause or "", f"{left.what}{of}")
