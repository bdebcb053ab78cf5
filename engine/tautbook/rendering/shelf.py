"""The editions at hand, as text and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from ..editions.edition import Edition
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
        "enacted": False,
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
    yield from labelled("in force", _in_force(edition))
    yield from labelled("standing", f"{_standing(edition)}; draft, not enacted")
    yield from labelled("digest", edition.digest)
    yield from labelled("file", edition.file)


def _in_force(edition: Edition) -> str:
    start, end = edition.effective
    return f"from {start.isoformat()}{'' if end is None else f' until {end.isoformat()}'}"


def _standing(edition: Edition) -> str:
    return ", ".join(sorted({source.standing for source in edition.sources.values()}))


def edition_text(edition: Edition) -> str:
    """One edition: what it asks, procedure by procedure."""
    return "".join(f"{line}\n" for line in _whole(edition))


def _whole(edition: Edition) -> Iterator[str]:
    yield from _lines(edition)
    for source in edition.sources.values():
        year = f", {source.year}" if source.year else ""
        yield from labelled("source", f"{source.id}: {source.title}{year} ({source.standing})")
    for procedure in edition.procedures.values():
        yield ""
        yield from paragraph(f"{procedure.id}: {procedure.title}", 0)
        for path, count in procedure.asks.items():
            yield from labelled("asks for", f"{count} {path}")
        for each in procedure.requirements:
            clause = f" ({each.origin.clause})" if each.origin.clause else ""
            yield from labelled(each.kind, f"{each.id}{clause}: {each.title}")
            if each.says and not each.covers:
                yield from labelled("", each.says)
            if each.absent:
                yield from labelled("", f"no rule: {each.absent}")
    if edition.left_to_people:
        yield ""
        yield "left to people"
        for left in edition.left_to_people:
            yield from labelled(left.clause or "", left.what)
