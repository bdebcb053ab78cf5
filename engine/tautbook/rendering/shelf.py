"""The editions at hand, and one edition whole."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Literal

from .. import __version__
from ..editions.edition import Edition
from ..explaining.provisions import provisions
from .edition_text import enacted_text, in_force
from .layout import labelled, paragraph
from .provisions import blocks
from .provisions_html import provisions_html
from .provisions_json import provisions_json
from .provisions_markdown import provisions_markdown
from .provisions_text import provisions_text


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


def shown_json(edition: Edition) -> list[dict[str, Any]]:
    """The one object of an edition that is shown: as in the list, with all that it says under ``provisions``."""
    return [{**_json(edition), "provisions": provisions_json(provisions(edition))}]


def shown(edition: Edition, form: Literal["text", "markdown", "html"]) -> str:
    """One edition whole, as provisions that can be compared with the printed ones."""
    laid_out = blocks(provisions(edition))
    match form:
        case "text":
            return provisions_text(laid_out)
        case "markdown":
            return provisions_markdown(laid_out)
        case "html":
            made = f"{edition.name}, {enacted_text(edition)}. Made with tautbook {__version__}."
            return provisions_html(laid_out, made)
