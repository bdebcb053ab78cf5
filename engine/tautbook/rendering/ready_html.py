"""How a job stands, as a page for the site office: what is in the way, every test, the days to watch."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator

from .. import __version__
from ..jobs.equipment import EquipmentStanding
from ..jobs.fault import Fault
from ..jobs.ready import Ready
from . import ready_html_tests
from .edition_text import enacted_text
from .page import contents, document, facts, running, table, text
from .ready_html_tests import tests_part
from .ready_words import RELEASE, counted, how_chosen, kind_of, on_record, remarks, sentence

STYLE = """
main, header, footer { max-width: 54rem; }
.kind { font: .85rem system-ui, "Helvetica Neue", Arial, sans-serif; color: #555; margin: 2rem 0 -.6rem; }
h1 { margin-top: 1rem; }
nav ul { columns: 2; }
.counts { font-size: 1.05rem; margin: 0 0 .8rem; }
.remark { font-weight: 700; margin: 0 0 .8rem; }
ol.way { padding-left: 2.2rem; }
ol.way > li { margin: .9rem 0; padding-left: .3rem; overflow-wrap: anywhere; }
ol.way > li::marker { font: 700 1rem system-ui, "Helvetica Neue", Arial, sans-serif; }
ol.way p { margin: 0; }
ol.way .what { font: 700 .95rem/1.4 system-ui, "Helvetica Neue", Arial, sans-serif; }
ol.way .tests { font-size: .88rem; color: #444; }
ul.said { padding-left: 1.2rem; margin: 0; }
ul.said li { margin: .3rem 0; overflow-wrap: anywhere; }
.wide td, .wide th { overflow-wrap: anywhere; }
.wide tbody th, .wide tbody td { min-width: 4.5rem; }
:target { outline: 2px solid #003f8a; outline-offset: 3px; }
@media (max-width: 34rem) { nav ul { columns: 1; } }
@media print {
  ol.way > li { break-inside: avoid; margin: .5rem 0; }
  a { color: inherit; text-decoration: none; }
  :target { outline: 0; }
}
""" + ready_html_tests.STYLE


def ready_html(ready: Ready) -> str:
    """The page, whole."""
    parts = [(name, title, list(lines)) for name, title, lines in _parts(ready)]
    parts = [each for each in parts if each[2]]
    job = ready.job
    built = job.title or job.id
    header = [
        f'<p class="kind">{text(f"What the job still needs. {built}")}</p>',
        f"<h1>{text(on_record(ready))}</h1>",
        *_first(ready),
        *facts((name, text(said)) for name, said in _job(ready)),
        *contents((name, title) for name, title, _ in parts),
    ]
    day = "" if ready.on is None else f", on {ready.on}"
    style = STYLE + running(f"{job.id}{day}: {on_record(ready)}", f"{ready.edition.name}  {ready.edition.digest}")
    main = (line for part in parts for line in _section(*part))
    title = f"{built}: {on_record(ready)}"
    made = f"{ready.edition.name}, {enacted_text(ready.edition)}. Made with tautbook {__version__}."
    footer = [f"<p>{text(made)}</p>"]
    page = document(title, header, main, footer, style=style, skip=("standing", "To what is in the way"))
    return "".join(f"{line}\n" for line in page)


def _first(ready: Ready) -> Iterator[str]:
    """What is in the way, counted; what is to be known of the figures; and whose the release is."""
    if ready.in_the_way:
        first: dict[str, int] = {}
        for n, fault in enumerate(ready.in_the_way, 1):
            first.setdefault(fault.code, n)
        said = (f'<a href="#way-{first[code]}">{text(words)}</a>' for code, words in counted(ready))
        yield f'<p class="counts">In the way, in the order in which to mend it: {", ".join(said)}.</p>'
    for remark in remarks(ready):
        yield f'<p class="remark">{text(sentence(remark))}</p>'
    yield f"<p>{text(RELEASE)}</p>"


def _job(ready: Ready) -> Iterator[tuple[str, str]]:
    job = ready.job
    yield "job", job.id if job.contract is None else f"{job.id}, contract {job.contract}"
    if job.owner is not None:
        yield "owner", job.owner
    yield "on the day", "no day was asked about, so that nothing expires here" if ready.on is None else str(ready.on)
    yield "rules", ready.edition.name


def _parts(ready: Ready) -> Iterator[tuple[str, str, Iterable[str]]]:
    """The parts of the page: the name, the title and the lines of each."""
    yield "way", "In the way, in the order in which to mend it", _way(ready)
    yield "tests", "Every test that is asked for", tests_part(ready)
    yield "told", "Worth knowing", _told(ready.told)
    yield "days", "Days to watch", _days(ready)
    yield "equipment", "Equipment", _equipment(ready)
    yield "decided", "Decided about lots", _decided(ready)
    left = [(each.clause or "", text(each.what)) for each in ready.edition.left_to_people]
    yield "people", "Left to people: what these rules ask that no record can show", facts(left) if left else ()
    yield "rests", "What this rests on", facts((name, text(said)) for name, said in _rests_on(ready))


def _section(name: str, title: str, lines: Iterable[str]) -> Iterator[str]:
    yield f'<section aria-labelledby="{name}">'
    yield f'<h2 id="{name}">{text(title)}</h2>'
    yield from lines
    yield "</section>"


def _way(ready: Ready) -> Iterator[str]:
    if not ready.in_the_way:
        return
    tests: dict[int, list[int]] = {}
    for number, faults in enumerate(ready.by_test(), 1):
        for at in faults:
            tests.setdefault(at, []).append(number)
    yield '<ol class="way">'
    for at, fault in enumerate(ready.in_the_way):
        yield f'<li id="way-{at + 1}"><p class="what">{text(kind_of(fault))}</p>'
        yield f"<p>{text(sentence(fault.text))}</p>"
        if fault.next is not None:
            yield f"<p>Next: {text(fault.next)}</p>"
        if at in tests:
            links = ", ".join(f'<a href="#test-{number}">test {number}</a>' for number in tests[at])
            yield f'<p class="tests">in the way of {links}</p>'
        yield "</li>"
    yield "</ol>"


def _told(told: Iterable[Fault]) -> Iterator[str]:
    said = [sentence(each.text) for each in told]
    if said:
        yield '<ul class="said">'
        yield from (f"<li>{text(each)}</li>" for each in said)
        yield "</ul>"


# Days


def _days(ready: Ready) -> Iterator[str]:
    """The last days on which tests count and equipment may be used, the first one first."""
    found: list[tuple[datetime.date, str]] = []
    for number, standing in enumerate(ready.standings, 1):
        if standing.until is not None and standing.record is not None:
            found.append((standing.until, f"test {number} counts, by record {standing.record.id}"))
    for equipment in ready.equipment:
        for until, clause in _last_days(equipment):
            found.append((until, f"tests may be made with {equipment.name}{clause}"))
    if found:
        rows = [[str(day), what, *_so_far(day, ready.on)] for day, what in sorted(found)]
        heads = ["last day", "on which", *([] if ready.on is None else [f"seen from {ready.on}"])]
        yield from table("the last days, the first one first; the day itself is included", heads, rows)


def _so_far(day: datetime.date, on: datetime.date | None) -> Iterator[str]:
    if on is not None:
        days = (day - on).days
        far = f"{abs(days)} day{'s' * (abs(days) != 1)}"
        yield f"past by {far}" if days < 0 else f"{far} left" if days else "this is the day"


def _last_days(standing: EquipmentStanding) -> list[tuple[datetime.date, str]]:
    """By each requirement once, whatever the procedures that it stands in."""
    found = {
        (each.until, f" ({each.requirement.origin.clause})" if each.requirement.origin.clause else ""): None
        for each in standing.usable if each.until is not None
    }  # fmt: skip
    return list(found)


def _equipment(ready: Ready) -> Iterator[str]:
    rows = [[each.name, "; ".join(_usable(each)), _on_the_day(each)][: 2 if ready.on is None else 3]
            for each in ready.equipment]  # fmt: skip
    if rows:
        heads = ["what", "may be used", *([] if ready.on is None else [f"on {ready.on}"])]
        yield from table("what tests are made with, as the job states its certificates", heads, rows)


def _usable(standing: EquipmentStanding) -> list[str]:
    found = [f"for tests until {until}{clause}" for until, clause in _last_days(standing)]
    return found or ["these rules set it no day"]


def _on_the_day(standing: EquipmentStanding) -> str:
    broken = dict.fromkeys(each.requirement.title for each in standing.usable if each.on_the_day is False)
    if broken:
        return f"out of date: {'; '.join(broken)}"
    if not standing.usable:
        return "nothing is asked of it by the day"
    return "not known" if any(each.on_the_day is None for each in standing.usable) else "in date"


def _decided(ready: Ready) -> Iterator[str]:
    rows = [
        [each.lot.name, each.decision, "all" if each.quantity is None else str(each.quantity),
         f"{each.by} ({each.role}), {each.on}", each.treatment or "", each.record or ""]
        for each in ready.job.dispositions
    ]  # fmt: skip
    if rows:
        heads = ["lot", "decision", "how many", "by", "treatment", "record"]
        yield from table("what people decided, as the job states it", heads, rows)


def _rests_on(ready: Ready) -> Iterator[tuple[str, str]]:
    yield "rules", f"{ready.edition.name}: {how_chosen(ready)}; {enacted_text(ready.edition)}"
    yield "digest", ready.edition.digest
    yield "records", f"{ready.records} record{'s' * (ready.records != 1)} judged"
    yield "job", ready.job.file
