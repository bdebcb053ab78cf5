"""The tests that a job needs as tables of its page: one for each line of the programme, a row for each combination."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from ..jobs.judged import Judged
from ..jobs.ready import Ready
from ..jobs.standing import Standing, missing_in_words
from .page import text

STYLE = """
table.tests { width: 100%; table-layout: fixed; }
table.tests th, table.tests td { overflow-wrap: anywhere; padding: .35rem .8rem .35rem 0; }
table.tests tbody th { font-weight: 400; font-size: .92rem; }
table.tests .state { width: 15%; }
table.tests td.state { font: .92rem/1.6 system-ui, "Helvetica Neue", Arial, sans-serif; }
table.tests tr.wanting td.state { font-weight: 700; }
table.tests .of { width: 37%; }
table.tests p { margin: 0; }
table.tests .number { font: .8rem/1.4 system-ui, "Helvetica Neue", Arial, sans-serif; color: #555; }
table.tests td { font-size: .92rem; }
table.tests td p.beside { font-size: .85rem; color: #444; }
@media print { h3 + p, h3 + p + table caption { break-after: avoid; } }
@media (max-width: 34rem) { table.tests .state { width: 21%; } }
"""
_DONE = frozenset({"passed", "left out"})


def tests_part(ready: Ready) -> Iterator[str]:
    """Every test, numbered through; with links to what is in the way of it."""
    numbered = list(enumerate(zip(ready.standings, ready.by_test(), strict=True), 1))
    for at, (_, lines) in enumerate(groupby(numbered, key=lambda each: id(each[1][0].need.asked)), 1):
        rows = list(lines)
        asked, title = rows[0][1][0].need.asked, rows[0][1][0].need.procedure.title
        clause = f" ({asked.clause})" if asked.clause else ""
        yield f'<h3 id="line-{at}">{text(f"{title}{clause}")}</h3>'
        if asked.note:
            yield f"<p>{text(asked.note)}</p>"
        passed = sum(standing.counts for _, (standing, _) in rows)
        yield '<table class="tests">'
        yield f"<caption>one test for each of these; {passed} of {len(rows)} on record and passed</caption>"
        yield '<thead><tr><th scope="col" class="state">state</th><th scope="col" class="of">test of</th>'
        yield '<th scope="col">on record</th></tr></thead>'
        yield "<tbody>"
        for number, (standing, faults) in rows:
            yield from _row(number, standing, faults)
        yield "</tbody>"
        yield "</table>"


def _row(number: int, standing: Standing, faults: tuple[int, ...]) -> Iterator[str]:
    wanting = "" if standing.state in _DONE else ' class="wanting"'
    yield f'<tr id="test-{number}"{wanting}><td class="state">{text(standing.state)}</td>'
    keys = "".join(f"<p>{text(f'{key.title} {key.written}')}</p>" for key in standing.need.keys)
    yield f'<th scope="row" class="of"><p class="number">test {number}</p>{keys}</th>'
    said = "".join(_on_record(standing))
    if faults:
        links = ", ".join(f'<a href="#way-{at + 1}">{at + 1}</a>' for at in faults)
        said += f'<p class="beside">in the way: {links}</p>'
    yield f"<td>{said}</td></tr>"


def _on_record(standing: Standing) -> Iterator[str]:
    record, leave, need = standing.record, standing.leave, standing.need
    if record is not None:
        yield _line(f"record {_named(record)}")
    elif leave is None:
        yield _line("no test is on record")
    if standing.until is not None:
        yield _line(f"counts until {standing.until}")
    if standing.missing:
        yield _line(f"lacks {missing_in_words(standing)}")
    for each in standing.records:
        if each is not record:
            repeated = "; repeated" if standing.repeated(each) else ""
            yield _line(f"beside it {_named(each)}{repeated}", beside=True)
    if leave is not None:
        yield _line(f"by leave of {leave.by} ({leave.role}) on {leave.on}, as stated: {leave.why}")
    if need.unsure:
        yield _line(f"asked for as long as the job does not state {', '.join(need.unsure)}", beside=True)


def _named(record: Judged) -> str:
    day = "" if record.tested is None else f" of {record.tested}"
    earlier = "" if record.retest_of is None else f", retest of {record.retest_of}"
    return f"{record.id}{day}: {record.says}{earlier}"


def _line(said: str, beside: bool = False) -> str:
    return f'<p class="beside">{text(said)}</p>' if beside else f"<p>{text(said)}</p>"
