"""What reports show of an edition: clauses, where a figure comes from, what is left to people."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from ..editions.edition import Edition, LeftToPeople, Origin
from ..explaining.comparisons import From, FromCell, FromReading, FromRule, FromTerm, Side
from ..explaining.labels import label, shown
from ..explaining.sentences import in_words
from ..shape.vocabulary import Vocabulary
from .layout import labelled


def clause(origin: Origin) -> str:
    """`` (7.4(c))``, or nothing where no clause is named."""
    return f" ({origin.clause})" if origin.clause else ""


def in_force(edition: Edition) -> str:
    """``from 2016-03-01``, and until when if an end is set."""
    start, end = edition.effective
    return f"from {start.isoformat()}{'' if end is None else f' until {end.isoformat()}'}"


def enacted_text(edition: Edition) -> str:
    """Who enacted it and when, or that it is a draft."""
    if edition.enacted is None:
        return "draft, not enacted"
    return f"enacted on {edition.enacted.on.isoformat()} by {edition.enacted.by}"


def left_to_people(left_over: Iterable[LeftToPeople]) -> Iterator[str]:
    for left in left_over:
        yield from labelled(left.clause or "", left.what, column=12)


def derived_from(side: Side, edition: Edition, words: Vocabulary) -> Iterator[str]:
    """How a value was come by; nothing for a single reading, and for a figure of the rule itself."""
    if side.raw is not None and side.term is not None:
        named = edition.terms[side.term]
        points = [each for each in side.origins if isinstance(each, FromReading) and each.reading != side.raw]
        by = f"; by {', '.join(_step(each, edition, words) for each in points)}" if points else ""
        yield f"{in_words(side.term)}: {named.title}{_source(named.origin)}{by}"
        return
    if side.value is None or side.path is not None:
        return
    if any(not isinstance(origin, FromRule) for origin in side.origins):
        yield f"{shown(side.value)} from {'; '.join(_step(origin, edition, words) for origin in side.origins)}"


def _step(origin: From, edition: Edition, words: Vocabulary) -> str:
    match origin:
        case FromCell(table=table, cell=cell):
            named = edition.tables.get(table)
            layer = None if cell.span is None else edition.layer_of(cell.span)
            source = "" if named is None else _source(replace(named.origin, layer=layer))
            return f"table {table} [{', '.join(cell.keys)}] = {shown(cell.value)}{source}"
        case FromTerm(term=term, value=value):
            named = edition.terms.get(term)
            return f"{term} = {shown(value)}{'' if named is None else _source(named.origin)}"
        case FromRule(written=written):
            return f"{written} in the rule"
        case FromReading(reading=reading):
            return f"{label(reading.path, words)} {reading.written}"


def _source(origin: Origin) -> str:
    layer = None if origin.layer is None else f"as in {origin.layer}"
    parts = [part for part in (origin.clause, origin.source, origin.standing, layer) if part]
    return f" ({', '.join(parts)})" if parts else ""
