"""A form -> an HTML page: printed blank it is the form for the field; in a browser its boxes can be filled in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from .. import __version__
from ..explaining.labels import how_many, shown
from ..sheet.form import Check, Form, Grid, Item, Listed, Part
from .account import NO_ACCEPTANCE
from .edition_text import enacted_text, in_force
from .page import css_text, document, facts, text
from .sheet_boxes import boxes_html, lent_html, meant_by, part_html, rows_html
from .sheet_live_style import LIVE_STYLE
from .sheet_notes import dials_html, how_html, part_with
from .sheet_style import STYLE
from .sheet_words import WRITE, clause_html, watched_html


def sheet_html(
    form: Form, scripts: Sequence[str] = (), data: Sequence[tuple[str, str]] = ()
) -> Iterator[str]:
    """The page, line by line. With ``scripts`` and their ``data`` it judges what is filled in."""
    title = f"{form.procedure.title}: {form.headline}"
    style = STYLE + (LIVE_STYLE if scripts else "") + _pages(form)
    yield from document(
        title, _header(form), _main(form), _footer(form), style=style, skip=("form", "To the form"), scripts=scripts,
        data=data,
    )  # fmt: skip


def _header(form: Form) -> Iterator[str]:
    edition = form.edition
    yield '<p class="kind">Form for one test</p>'
    yield f"<h1>{text(form.procedure.title)}</h1>"
    rules = f"{edition.name}, {edition.title}; {enacted_text(edition)}; in force {in_force(edition)}"
    warning = ": invented, not for use in real work" if form.demonstration else ""
    yield f'<p class="standing">{text(form.headline + warning)}</p>'
    said = [("rules", text(rules)), ("digest", f'<span class="digest">{text(edition.digest)}</span>')]
    asks = ", ".join(how_many(count, path, form.words) for path, count in form.procedure.asks.items())
    yield from facts([*said, *([("asks for", text(asks))] if asks else [])])


def _main(form: Form) -> Iterator[str]:
    yield from _section("cautions", "Cautions", _list([*form.words.cautions, NO_ACCEPTANCE]))
    yield from _section("how", "How this form is filled in", how_html(form))
    yield from _section("figures", "Figures for this test", _figures(form))
    first = form.lists[0].singular if form.lists else "reading"
    yield from _section("before", f"Before the first {first}", _before(form))
    yield from _section("left", "Left to people: read before the work", _left(form))
    for listed in form.lists:
        yield from _section(f"list-{listed.path}", listed.title, _listed(listed, form))
    yield from _section("after", f"After the last {first}", _after(form))
    yield from _section("besides", "Also written down: no rule of this edition reads it", _besides(form.besides))
    for listed in form.waivers:
        yield from _section(f"list-{listed.path}", listed.title, rows_html(listed, None))
    yield from _section("signatures", "People and signatures", _persons(form))
    yield from _live(form)


def _left(form: Form) -> Iterator[str]:
    left = form.edition.left_in(form.procedure.id)
    if left:
        yield '<p class="what paper">These rules ask it, and no record can show it. A tick says: done, or known.</p>'
        yield from _items(f"<li>{_TICK}{text(each.what)}{clause_html(each.clause)}</li>" for each in left)


_TICK = '<span class="tick" aria-hidden="true"></span>'


def _section(name: str, title: str, lines: Iterable[str]) -> Iterator[str]:
    found = list(lines)
    if found:
        yield f'<section id="{text(name)}" aria-labelledby="{text(name)}-title" class="part-of-form">'
        yield f'<h2 id="{text(name)}-title">{text(title)}</h2>'
        yield from found
        yield "</section>"


def _list(said: Iterable[str]) -> Iterator[str]:
    yield from _items(f"<li>{text(each)}</li>" for each in said)


def _items(lines: Iterable[str]) -> Iterator[str]:
    found = list(lines)
    if found:
        yield '<ul class="plain">'
        yield from found
        yield "</ul>"


def _figures(form: Form) -> Iterator[str]:
    lines = []
    for what, asked in form.watched:
        lines.append(f"<li>{watched_html(what, asked)}</li>")
    for each in form.figures:
        value = text(shown(each.value)) if each.value is not None else WRITE
        note = f" {text(each.figure.note)}" if each.figure.note else ""
        clause = clause_html(each.figure.origin.clause)
        lines.append(f"<li>{text(each.figure.title)}: <b>{value}</b>{clause}{note}</li>")
    yield from _items(lines)
    for grid in form.grids:
        yield from _grid(grid)


def _grid(grid: Grid) -> Iterator[str]:
    """A small table: the key of its columns stands above them."""
    where = f"{grid.across} across{''.join(f', {key} down' for key in grid.keys)}"
    yield f'<div class="wide grid" role="group" tabindex="0" aria-label="{text(grid.title)}">'
    yield "<table>"
    yield f"<caption><b>{text(grid.title)}</b>{clause_html(grid.clause)}; {text(where)}</caption>"
    heads = "".join(f'<th scope="col">{text(head)}</th>' for head in (*grid.keys, *grid.heads))
    yield f"<thead><tr>{heads}</tr></thead>"
    yield "<tbody>"
    for keys, figures in grid.rows:
        cells = "".join(f'<th scope="row">{text(key)}</th>' for key in keys)
        yield f"<tr>{cells}{''.join(f'<td>{text(figure)}</td>' for figure in figures)}</tr>"
    yield "</tbody>"
    yield "</table>"
    yield "</div>"


def _before(form: Form) -> Iterator[str]:
    if any(box.unit is not None and len(box.units) > 1 for box in form.boxes()):
        yield '<p class="what paper">If another unit is read than the one beside a box, write it with the figure.</p>'
    behind = None if form.dials is None else part_with(form.dials.points, form.before)
    for part in form.before:
        yield from part_html(part, 3)
        if form.dials is not None and part is behind:
            yield from dials_html(form.dials)
    checks = [each for each in form.checks if each.requirement.each is None]
    yield from _checks("Set-up checks", (each for each in checks if not each.last))


def _after(form: Form) -> Iterator[str]:
    for part in form.after:
        yield from part_html(part, 3)
    checks = [each for each in form.checks if each.requirement.each is None]
    yield from _checks("What is looked at last", (each for each in checks if each.last))


def _besides(parts: Iterable[Part]) -> Iterator[str]:
    for part in parts:
        yield from part_html(part, 3)


def _checks(title: str, checks: Iterable[Check]) -> Iterator[str]:
    found = list(checks)
    if found:
        yield f"<h3>{text(title)}</h3>"
        yield '<ul class="checks">'
        for each in found:
            yield from _check(each, None)
        yield "</ul>"


def _check(check: Check, item: str | None) -> Iterator[str]:
    """One requirement: its title, its sentence, and a place for what it comes to."""
    requirement = check.requirement
    of = f' data-item="{text(item)}"' if item is not None else ""
    of += f' data-known="{check.outcome}"' if check.outcome != "open" else ""
    where = '<span class="where"> (where it applies)</span>' if requirement.applies is not None else ""
    yield f'<li data-requirement="{text(requirement.id)}"{of}>{_TICK}<b>{text(requirement.title)}</b>'
    yield f"{where}{clause_html(requirement.origin.clause)}"
    yield f'<p class="sentence">{text(check.sentence)}</p><output data-outcome></output></li>'


def _listed(listed: Listed, form: Form) -> Iterator[str]:
    yield f'<p class="what paper">{text(listed.description)}</p>'
    few = all(sum(len(part.boxes) for part in item.parts) <= _FEW for item in listed.items)
    yield '<div class="few">' if few else "<div>"
    for item in listed.items:
        yield from _item(item, listed, form)
    yield "</div>"


def _item(item: Item, listed: Listed, form: Form) -> Iterator[str]:
    path = text(item.path)
    yield f'<article class="item" data-list="{text(listed.path)}" data-row="{path}" aria-labelledby="item-{path}">'
    yield f'<h3 id="item-{path}">{text(item.title)}</h3>'
    for i, part in enumerate(item.parts):
        told = frozenset(meant for earlier in item.parts[:i] for meant in meant_by(earlier))
        yield from part_html(part, 4, told)
    yield lent_html(item)
    checks = [each for each in form.checks if each.requirement.each == listed.path]
    if checks:
        yield f'<details class="asked-of"><summary>What is asked of {text(item.title)}</summary>'
        yield '<ul class="checks">'
        for each in checks:
            yield from _check(each, item.path)
        yield "</ul></details>"
    yield "</article>"


def _persons(form: Form) -> Iterator[str]:
    for part in form.persons:
        at = f"part-{part.path}"
        yield f'<div class="part person" role="group" aria-labelledby="{text(at)}">'
        yield f'<h3 id="{text(at)}">{text(part.title)}</h3>'
        yield f'<p class="what paper">{text(part.description or "")}</p>'
        yield from boxes_html(part, 3)
        yield '<p class="sign" aria-hidden="true"><span>signature</span><span>date</span></p></div>'
    yield '<p class="what paper">Whoever signs as having tested says that these are the readings that were taken.</p>'


def _live(form: Form) -> Iterator[str]:
    """What works only with the script, which shows it."""
    yield '<section id="live" hidden aria-labelledby="live-title">'
    yield '<h2 id="live-title">Verdict so far</h2>'
    yield '<p><output id="verdict"></output></p>'
    # What is too long for its place scrolls, with the keys as well.
    yield '<p><output id="next" tabindex="0"></output></p>'
    yield '<div class="buttons">'
    yield '<button type="button" id="save">Save the record</button>'
    yield '<button type="button" id="open">Open a record</button>'
    for listed in form.lists:
        yield f'<button type="button" id="add-{text(listed.singular)}">Add a {text(listed.singular)}</button>'
    yield '<button type="button" id="clear">Clear all</button>'
    yield "</div>"
    yield "</section>"


def _footer(form: Form) -> Iterator[str]:
    rules = f"{form.edition.name}, {enacted_text(form.edition)}, {form.edition.digest}"
    yield f"<p>{text(f'{rules}. Made with tautbook {__version__}.')}</p>"


def _pages(form: Form) -> str:
    """The head and foot of each printed page: the number of the record, or a line to write it on."""
    id = next((box.value for box in form.boxes() if box.path == "id"), "")
    font = 'font: 11pt system-ui, "Helvetica Neue", Arial, sans-serif; color: #000'
    small = 'font: 8pt system-ui, "Helvetica Neue", Arial, sans-serif; color: #000'
    named = css_text(f"record number: {id[:_LONGEST] if id else '_' * 24}")
    rules = css_text(f"{form.edition.name}  {form.procedure.id}  {form.edition.digest}")
    return (
        "@page {\n"
        f"  @top-left {{ content: {named}; {font}; }}\n"
        f'  @top-right {{ content: "page " counter(page) " of " counter(pages); {font}; }}\n'
        f"  @bottom-left {{ content: {rules}; {small}; }}\n"
        "}\n"
    )


_LONGEST = 40
"""Characters of a record number that stand at the head of a page."""
_FEW = 6
"""Boxes of an item of which two stand side by side on paper."""
