"""Explanation -> an HTML page: the document of a test for the job file, or of several tests, one part each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from .. import __version__
from ..editions.edition import Edition
from ..explaining.explain import Explanation
from ..explaining.labels import label
from ..shape.shaped import text_at
from . import verdict_html_drawing, verdict_html_findings, verdict_html_record
from .account import NO_ACCEPTANCE, circumstances, why
from .edition_text import enacted_text, in_force
from .page import contents, document, facts, running, text
from .verdict_html_findings import findings_part, scales_part, statement_part
from .verdict_html_record import (
    equipment_part,
    evidence_part,
    material_part,
    people,
    people_part,
    readings_part,
    set_aside_part,
    waivers_part,
    whole_part,
)

_STYLE = """
main, header, footer { max-width: 52rem; }
.kind { font: .85rem system-ui, "Helvetica Neue", Arial, sans-serif; color: #555; margin: 2rem 0 -.6rem; }
h1 { margin-top: 1rem; }
article { border-top: 6px double #1a1a1a; margin-top: 4rem; }
article h2 { border-top: 0; font-size: 1.5rem; margin-top: 1rem; }
article h3 { font-size: 1.2rem; padding-top: .4rem; border-top: 2px solid #1a1a1a; margin-top: 2rem; }
nav ul { columns: 2; }
h4 { font-size: 1rem; margin: 1.4rem 0 .4rem; overflow-wrap: anywhere; }
td, .wide th { overflow-wrap: anywhere; }
ul.said { padding-left: 1.2rem; margin: 0; }
ul.said li { margin: .2rem 0; overflow-wrap: anywhere; }
.signing dl { margin-bottom: .8rem; }
.digest { font: .82rem/1.5 ui-monospace, Consolas, monospace; }
table.signatures { width: 100%; table-layout: fixed; }
table.signatures th, table.signatures td { border-bottom: 1px solid #1a1a1a; }
table.signatures tbody th, table.signatures tbody td { height: 3.2rem; vertical-align: bottom; }
.records a { overflow-wrap: anywhere; }
table.records { width: 100%; min-width: 40rem; table-layout: fixed; }
table.records th:nth-child(-n+2), table.records td:nth-child(2) { width: 13%; }
.wide td, .wide th { min-width: 4.2rem; max-width: 24rem; }
@media (max-width: 34rem) { nav ul { columns: 1; } }
@media print {
  table.records { min-width: 0; }
  table.signatures tbody th, table.signatures tbody td { height: 2.8rem; }
  .wide, .cautions, .signing { break-inside: avoid; }
  .signing { break-before: avoid; }
  .whole { break-before: page; }
  article { border-top: 0; margin-top: 0; }
  a { color: inherit; text-decoration: none; }
}
""" + verdict_html_drawing.STYLE + verdict_html_findings.STYLE + verdict_html_record.STYLE
_LONGEST = 60
"""Characters of a record number that stand at the top of every printed page."""


@dataclass(frozen=True, slots=True)
class Listed:
    """One of several records, as the list at the top shows it."""

    verdict: str
    id: str
    procedure: str
    file: str
    headline: str


def listed(explanation: Explanation) -> Listed:
    verdict = explanation.verdict
    record = verdict.record
    return Listed(verdict.verdict, record.id, verdict.procedure.title, record.file, explanation.headline)


def verdict_html(explanation: Explanation) -> str:
    """The document of one test."""
    verdict = explanation.verdict
    parts = [(name, title, list(lines)) for name, title, lines in _parts(explanation, 3)]
    parts = [each for each in parts if each[2]]
    header = [
        f'<p class="kind">{text(_kind(explanation))}</p>', f"<h1>{text(explanation.headline)}</h1>",
        *contents((name, title) for name, title, _ in parts),
    ]  # fmt: skip
    main = (line for part in parts for line in _section(*part))
    title = f"{verdict.record.id}: {explanation.headline}"
    style = _STYLE + _printed(None, _named(verdict.record.id), verdict.edition)
    skip = "report", "To the report"
    return _whole(document(title, header, main, _footer(verdict.edition), style=style, skip=skip))


def verdict_part(explanation: Explanation, number: int) -> str:
    """One test of several: the part of the document that ``verdicts_html`` puts in its place by ``number``."""
    record = f"record-{number}"
    lines = [f'<article class="{record}" aria-labelledby="{record}">',
             f'<p class="kind">{text(_kind(explanation))}</p>',
             f'<h2 id="{record}">{text(f"{explanation.verdict.record.id}: {explanation.headline}")}</h2>']  # fmt: skip
    for name, title, part in _parts(explanation, 4):
        said = list(part)
        if said:
            lines += [f'<section class="{_class(name)}">', f"<h3>{text(title)}</h3>", *said, "</section>"]
    return _whole([*lines, "</article>"])


def verdicts_html(records: Sequence[Listed], counted: str, edition: Edition, parts: Iterable[str]) -> Iterator[str]:
    """The document of several tests by one edition: what they came to, a list, and each in a part of its own. Parts
    are put in as they come, in pieces of any length."""
    header = ['<p class="kind">Report on tests</p>', f"<h1>{text(counted)}</h1>"]
    style = _STYLE + _printed(None, counted, edition)
    style += "".join(_printed(f"record-{number}", _named(each.id), edition) for number, each in enumerate(records, 1))
    main = [*_list_of(records, edition), _PARTS_HERE]
    skip = "reports", "To the reports"
    for line in document(counted, header, main, _footer(edition), style=style, skip=skip):
        if line is _PARTS_HERE:
            yield from parts
        else:
            yield f"{line}\n"


_PARTS_HERE = "<!-- parts -->"


def _list_of(records: Sequence[Listed], edition: Edition) -> Iterator[str]:
    yield from facts(_edition(edition))
    yield '<div class="wide" role="group" tabindex="0" aria-label="Records">'
    yield '<table class="records">'
    yield "<caption>the records, each with its verdict and the part that tells why</caption>"
    heads = "".join(f'<th scope="col">{head}</th>' for head in ("record", "verdict", "test", "file", "says"))
    yield f"<thead><tr>{heads}</tr></thead>"
    yield "<tbody>"
    for number, each in enumerate(records, 1):
        cells = "".join(f"<td>{text(cell)}</td>" for cell in (each.verdict, each.procedure, each.file, each.headline))
        yield f'<tr><th scope="row"><a href="#record-{number}">{text(each.id)}</a></th>{cells}</tr>'
    yield "</tbody>"
    yield "</table>"
    yield "</div>"


def _kind(explanation: Explanation) -> str:
    return f"Report on a test. {explanation.verdict.procedure.title}"


def _parts(explanation: Explanation, level: int) -> Iterator[tuple[str, str, Iterable[str]]]:
    """The parts of a report: the name, the title and the lines of each; headings inside are of ``level``."""
    verdict = explanation.verdict
    yield "judged", "What was judged", facts(_identity(explanation))
    yield "why", "Why", facts((name, text(said)) for name, said in why(explanation))
    yield "scales", "Readings against their limits", _in_grid(scales_part(explanation))
    yield "findings", "Findings", findings_part(explanation, level)
    yield "statement", "Statement of conformity", statement_part(explanation)
    yield "readings", "Readings", readings_part(explanation)
    yield "equipment", "Equipment and calibration", equipment_part(explanation, level)
    yield "material", "What was tested", material_part(explanation, level)
    yield "people", "People", people_part(explanation)
    yield "waivers", "Waivers", waivers_part(explanation)
    yield "set-aside", "Set aside", set_aside_part(explanation)
    yield "evidence", "Records that this one rests on", evidence_part(explanation, level)
    left = [(each.clause or "", text(each.what)) for each in verdict.edition.left_in(verdict.procedure.id)]
    if left:
        yield "left", "Left to people: what these rules ask that no record here can show", facts(left)
    yield "cautions", "Cautions", _list([*verdict.record.words.cautions, NO_ACCEPTANCE])
    yield "signatures", "Signatures", _signatures(explanation)
    yield "whole", "The record whole", whole_part(verdict.record)


def _section(name: str, title: str, lines: Iterable[str]) -> Iterator[str]:
    yield f'<section class="{_class(name)}" aria-labelledby="{name}">'
    yield f'<h2 id="{name}">{text(title)}</h2>'
    yield from lines
    yield "</section>"


def _class(name: str) -> str:
    """How a part stands on paper."""
    return {"cautions": "part cautions", "signatures": "part signing", "whole": "part whole"}.get(name, "part")


def _identity(explanation: Explanation) -> Iterator[tuple[str, str]]:
    """What was judged, by what, and what else is to be known before the verdict is read; HTML already."""
    verdict = explanation.verdict
    record = verdict.record
    for name in ("id", "tested", "job", "place"):
        said = text_at(record.shaped, name)
        if said is not None:
            yield label(name, record.words), text(said)
    yield "test", text(f"{verdict.procedure.title} ({record.procedure})")
    yield "file", text(record.file)
    yield "record digest", _digest(record.digest)
    yield from _edition(verdict.edition)
    yield from ((name, text(said)) for name, said in circumstances(explanation))


def _edition(edition: Edition) -> Iterator[tuple[str, str]]:
    yield "judged by", text(f"{edition.name}, {edition.title}; {enacted_text(edition)}; in force {in_force(edition)}")
    yield "edition digest", _digest(edition.digest)
    for layer in edition.layers:
        yield "amends", f"{text(layer.name)}, {_digest(layer.digest)}"
    yield "judged with", text(f"tautbook {__version__}")


def _digest(digest: str) -> str:
    return f'<span class="digest">{text(digest)}</span>'


def _in_grid(lines: Iterable[str]) -> Iterator[str]:
    found = list(lines)
    if found:
        yield "<p>A dot holds, a ring is exactly at the limit, a cross does not hold; what is not allowed is shaded."
        yield "The bar is what is to spare; a dashed one, what is wanting.</p>"
        yield '<div class="scales">'
        yield from found
        yield "</div>"


def _list(said: Iterable[str]) -> Iterator[str]:
    yield '<ul class="said">'
    for each in said:
        yield f"<li>{text(each)}</li>"
    yield "</ul>"


def _signatures(explanation: Explanation) -> Iterator[str]:
    """What is signed, and empty lines to be signed by hand: one for each person that the record has a place for, and
    for who reviews."""
    verdict = explanation.verdict
    words = verdict.record.words
    yield from facts((name, text(said)) for name, said in (
        ("record", f"{verdict.record.id}, {verdict.record.digest}"),
        ("verdict", explanation.headline),
        ("by", f"{verdict.edition.name}, {verdict.edition.digest}"),
    ))  # fmt: skip
    signs = [label(name, words) for name, _ in people(explanation)] or ["tested by"]
    yield '<table class="signatures">'
    yield "<caption>to be filled in and signed by hand; whoever signs as having tested says that these are the"
    yield "readings that were taken</caption>"
    heads = "".join(
        f'<th scope="col">{head}</th>' for head in ("signs as", "name", "organisation", "role", "date", "signature")
    )
    yield f"<thead><tr>{heads}</tr></thead>"
    yield "<tbody>"
    for sign in (*signs, "reviewed by"):
        yield f'<tr><th scope="row">{text(sign)}</th>{"<td></td>" * 5}</tr>'
    yield "</tbody>"
    yield "</table>"


def _named(id: str) -> str:
    return f"record {id if len(id) <= _LONGEST else f'{id[:_LONGEST]}...'}"


def _printed(name: str | None, top: str, edition: Edition) -> str:
    return running(top, f"{edition.name}  {edition.digest}", name)


def _footer(edition: Edition) -> Iterator[str]:
    yield f"<p>{text(f'{edition.name}, {enacted_text(edition)}. Made with tautbook {__version__}.')}</p>"


def _whole(lines: Iterable[str]) -> str:
    return "".join(f"{line}\n" for line in lines)
