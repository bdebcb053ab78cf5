"""What a form says on how it is filled in, and the marks of a dial that are worked out before the work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..sheet.form import Asked, Dials, Form, Listed, Part
from .page import text
from .sheet_words import OF_MARKS, SHORT, clause_html


def how_html(form: Form) -> Iterator[str]:
    """For a person who has nothing but the paper; a page that is filled in on a screen needs none of it."""
    of_a_job = any(box.path == "job" and box.value for box in form.boxes())
    # The edition of a job's contract is found by its job alone.
    command = f"tautbook judge RECORD {'--job JOB' if of_a_job else f'--under {form.edition.name}'}"
    yield '<ul class="plain">'
    yield "<li><b>Bold labels</b> are read by the rules; left empty, they are missing. Plain ones are for people.</li>"
    yield "<li>A ticked line was looked at, and holds. No tick says nothing. What does not hold is written by it.</li>"
    yield "<li>What is printed in a box is checked against the piece and the certificate in hand, and struck through "
    yield "where it differs. A slip is struck through and initialled, never erased.</li>"
    yield "<li>The form holds readings and no result: the verdict is judged from the record that is typed in from it "
    yield f"(<code>{text(command)}</code>).</li>"
    yield "</ul>"


def part_with(path: str, parts: Sequence[Part]) -> Part:
    """The part with the list of this path; the last one where it stands elsewhere."""
    lists = {box.path: part for part in parts for box in part.boxes if isinstance(box, Listed)}
    return lists.get(path, parts[-1])


def dials_html(dials: Dials) -> Iterator[str]:
    """A line for each letter: the mark, or room to work it out."""
    yield '<div class="part dials" role="group" aria-labelledby="dials">'
    yield '<h3 id="dials">Dial figures</h3>'
    if any(asked.dial is None for asked in dials.lines):
        for said, clause in dials.corrected:
            yield f'<p class="how">Corrected{clause_html(clause)}: {text(said)}.</p>'
        yield '<p class="how">Try marks of the dial near the figure: correct each, and compare. The mark is written at '
        yield "its letter wherever that stands below.</p>"
    yield '<ul class="plain">'
    for asked in dials.lines:
        yield f'<li><span class="letter">{asked.letter}</span> {_line(asked)}</li>'
    yield "</ul></div>"


def _line(asked: Asked) -> str:
    figure = SHORT if asked.figure is None else f"<b>{text(asked.figure)}</b>"
    said = f"{text(asked.watch or '')}: {OF_MARKS[asked.relation]} {figure} corrected: "
    return said + (SHORT if asked.dial is None else f"<b>{text(asked.dial)}</b>")
