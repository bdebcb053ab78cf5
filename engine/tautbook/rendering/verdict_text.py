"""Explanation -> text: the verdict first, then why, then every requirement with what it was compared with."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from .. import __version__
from ..explaining.explain import Explained, Explanation
from ..shape.shaped import text_at
from .account import NO_ACCEPTANCE, PARTS, Said, circumstances, remarks, why
from .edition_text import clause, enacted_text, left_to_people
from .layout import labelled, paragraph
from .recorded_text import as_recorded, notes_on_items, on_record
from .side_by_side import derivations, found_by, grouped


def verdict_text(explanation: Explanation) -> str:
    """The report of one verdict, at most 100 columns wide, each line ended."""
    return "".join(f"{line}\n" for line in _lines(explanation))


def _lines(explanation: Explanation) -> Iterator[str]:
    verdict = explanation.verdict
    edition = verdict.edition
    yield from paragraph(explanation.headline, 0)
    yield ""
    yield from _identity(explanation)
    yield ""
    yield "why"
    yield from _said(why(explanation))
    groups = grouped(explanation.findings)
    for kind, title in PARTS.items():
        mine = [group for group in groups if group[0].finding.requirement.kind == kind]
        if mine:
            yield ""
            yield title
            for group in mine:
                yield from _requirement(group, explanation)
    yield ""
    yield "on record"
    recorded, words = as_recorded(verdict.observed), verdict.record.words
    yield from on_record(recorded, words)
    for item, note in notes_on_items(recorded, words):
        yield from labelled(f"notes on {item}", note, column=32)
    left = edition.left_in(verdict.procedure.id)
    if left:
        yield ""
        yield "left to people: what these rules ask that no record here can show"
        yield from left_to_people(left)
    yield ""
    yield "cautions"
    for caution in (*verdict.record.words.cautions, NO_ACCEPTANCE):
        yield from paragraph(caution)


def _identity(explanation: Explanation) -> Iterator[str]:
    verdict = explanation.verdict
    record, edition = verdict.record, verdict.edition
    tested = text_at(record.shaped, "tested")
    yield from labelled("record", f"{record.id}, {verdict.procedure.title}{f', tested {tested}' if tested else ''}")
    yield from labelled("", record.file)
    yield from labelled("", record.digest)
    yield from labelled("judged by", f"{edition.name}, {edition.title}")
    yield from labelled("", f"{enacted_text(edition)}; {edition.digest}")
    for layer in edition.layers:
        yield from labelled("", f"amends {layer.name}, {layer.digest}")
    yield from labelled("with", f"tautbook {__version__}")
    yield from _said(circumstances(explanation))


def _said(said: Iterable[Said]) -> Iterator[str]:
    for name, text in said:
        yield from labelled(name, text) if name else paragraph(text)


def _requirement(group: list[Explained], explanation: Explanation) -> Iterator[str]:
    requirement = group[0].finding.requirement
    yield from paragraph(f"{requirement.id}{clause(requirement.origin)}: {requirement.title}")
    for found in found_by(group, explanation):
        if found.heading is not None:
            yield from paragraph(found.heading, 4)
        for held, text in found.said:
            yield from labelled(held, text, indent=4 if found.heading is None else 6, column=20)
    for text in derivations(group, explanation):
        yield from labelled("", text, indent=4, column=20)
    for name, text in remarks(group):
        yield from labelled(name, text, indent=4, column=20)


def summary_lines(explanation: Explanation) -> str:
    """One record of many: the verdict, its number, its file and why."""
    record = explanation.verdict.record
    text = f"{record.id}  {record.file}  {explanation.headline}"
    return "".join(f"{line}\n" for line in labelled(explanation.verdict.verdict, text, indent=0, column=12))
