"""A form as a text to be read: a line a box, with what stands beside it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from tautbook import Shelf
from tautbook.explaining.labels import shown
from tautbook.records.given import given_fields
from tautbook.shape.vocabulary import vocabulary
from tautbook.sheet.form import Asked, Box, Form, Listed, Part, Stop
from tautbook.sheet.plan import form_of


@cache
def made(year: str, procedure: str, *given: str, items: int | None = None) -> Form:
    edition = Shelf.default().edition("tern-sound", year)
    words = vocabulary(procedure)
    assert words is not None
    known, problems = given_fields(given, words)
    assert not problems
    return form_of(edition, edition.procedures[procedure], words, known, items)


def outline(form: Form) -> str:
    return "".join(f"{line}\n" for line in _lines(form))


def _lines(form: Form) -> Iterator[str]:
    yield form.headline
    yield from (f"watch {what}: {said(asked)}" for what, asked in form.watched)
    for figure in form.figures:
        yield f"have ready {figure.figure.title}: {'' if figure.value is None else shown(figure.value)}"
    for grid in form.grids:
        yield f"grid {grid.title} [{grid.clause}]"
        yield f"  {' | '.join((*grid.keys, grid.across))} | {' '.join(f'{head};' for head in grid.heads)}"
        yield from (f"  {' | '.join(keys)} | {' '.join(f'{each};' for each in figures)}" for keys, figures in grid.rows)
    if form.dials is not None:
        yield f"dials by {form.dials.points}"
        yield from (f"  corrected: {how} [{clause}]" for how, clause in form.dials.corrected)
        yield from (f"  {said(asked)}" for asked in form.dials.lines)
    places = {"before": form.before, "lists": form.lists, "after": form.after, "besides": form.besides}
    for name, parts in {**places, "waivers": form.waivers, "persons": form.persons}.items():
        yield f"== {name}"
        for part in parts:
            yield from _part(part)
    yield "== checks"
    for check in form.checks:
        each = f" of each of {check.requirement.each}" if check.requirement.each else ""
        outcome = f", {check.outcome}" if check.outcome != "open" else ""
        yield f"{'last' if check.last else 'first'}{each}: {check.requirement.id}{outcome}"


def _part(part: Part | Listed) -> Iterator[str]:
    if isinstance(part, Listed):
        yield f"-- {part.title}: {len(part.items)} printed, {part.asks} asked for"
        for below in part.items[0].parts if part.items else ():
            yield from (f"  {line}" for line in _part(below))
        return
    yield f"-- {part.title or 'single fields'}"
    if part.stop is not None:
        yield f"  {stop(part.stop)}"
    for box in part.boxes:
        yield from (f"  {line}" for line in (_part(box) if isinstance(box, Listed) else _box(box)))


def _box(box: Box) -> Iterator[str]:
    marks = "".join(mark for mark, on in (("*", box.read), ("!", box.required)) if on)
    title = f"{box.title} {box.within}" if box.within else box.title
    words = f" {{{', '.join(box.words)}}}" if box.words else ""
    offered = f" {'covered' if box.covered else 'say'} {', '.join(box.offered)}" if box.offered else ""
    unit = f" in {box.unit or ' or '.join(box.units)}" if box.units else ""
    yield f"{box.path}{marks} = {box.value!r}: {title}, {box.kind} by {box.entry}{unit}{words}{offered}"
    yield from (f"    {said(asked)}" for asked in box.asked)


def said(asked: Asked) -> str:
    parts = [asked.relation, asked.figure or "____", f"({asked.of})" if asked.of else "", f"[{asked.clause}]"]
    parts += [f"dial {asked.dial}" if asked.dial else "", "corrected" if asked.corrected else ""]
    parts += [asked.watch or (asked.title if asked.lent else ""), f"under {asked.letter}" if asked.letter else ""]
    return " ".join(part for part in parts if part)


def stop(at: Stop) -> str:
    past = f"; not past {said(at.not_past)}" if at.not_past is not None else ""
    return f"STOP {said(at.at)} {at.what or ''} then {', '.join(at.then)}{past}"
