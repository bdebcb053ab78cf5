"""``tautbook replay OLD NEW RECORD...``."""

from __future__ import annotations

import json
import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path

import click

from ..comparing.replay import Counts, Replayed, replay_record
from ..editions.edition import Edition
from ..lang.problem import Problem
from ..records.gather import gather
from ..rendering.replay_csv import replay_head, replayed_row
from ..rendering.replay_json import replay_json, replayed_json
from ..rendering.replay_text import drafts, replay_headline, replay_start, replayed_text
from .common import (
    UNUSABLE,
    draft_option,
    edition_named,
    format_option,
    heading,
    keep,
    not_a_draft,
    not_in_the_way,
    output_options,
    rulesets_option,
    shelf_of,
    stop,
    tell,
    write,
)
from .streaming import Progress, Spool


@click.command(short_help="Which recorded tests come out differently under another edition.")
@click.argument("names", metavar="OLD NEW RECORD...", nargs=-1)
@draft_option
@rulesets_option
@format_option("text", "json", "jsonl", "csv")
@output_options
def replay(
    names: tuple[str, ...], draft: bool, folders: tuple[Path, ...], form: str, output: Path | None, replace: bool
) -> None:
    """Judge recorded tests by two editions, and list those that come out differently.

    OLD and NEW are editions, RULESET@EDITION or a file. RECORD is a file, a folder or - for standard input; YAML,
    JSON, a table (.csv, .xlsx), or JSON lines with a record a line, of which there can be any number.

    Each is listed with the requirement that decides and what both editions find by it. In jsonl and csv there is a
    line for each, and the counts go to standard error. In csv a cell that a spreadsheet would take for a formula
    begins with an apostrophe, as does one that began with an apostrophe.

    Exit status: 2 something could not be used; 1 at least one comes out differently; 0 none does, whatever its
    verdict is.
    """
    old, new, records = _named(names, folders)
    for edition in (old, new):
        not_a_draft(edition, draft)
    keep(output, names)
    not_in_the_way(output, replace)
    counts = Counts()
    with Spool() as spool:
        progress = Progress("records")
        for name in records:
            for record, problems in gather(name, sys.stdin.buffer):
                replayed = None
                if record is not None:
                    replayed, problems = replay_record(record, old, new)
                progress.step()
                if replayed is not None:
                    counts.add(replayed)
                    if replayed.differs:
                        spool.add(_part(replayed, old, new, form, first=spool.empty))
                else:
                    counts.not_used += 1
                    progress.clear()
                    tell(problems)
        progress.clear()
        if counts.judged:
            write(_whole(spool, counts, old, new, form, terminal=output is None), output, replace)
            if form in ("jsonl", "csv"):
                for line in (*drafts(old, new), replay_headline(counts, old, new)):
                    click.echo(line, err=True)
    sys.exit(UNUSABLE if counts.not_used else 1 if counts.different else 0)


def _named(names: tuple[str, ...], folders: tuple[Path, ...]) -> tuple[Edition, Edition, tuple[str, ...]]:
    shelf = shelf_of(folders)
    if len(names) < 2:
        known = ", ".join(dict.fromkeys(place.name for place in shelf.places()[0]))
        stop([Problem("edition-needed", "name two editions, the old one and the new one, and then the records",
                      help=f"at hand: {known}")])  # fmt: skip
    if len(names) == 2:
        message = "name the records to judge: files, folders, or - for standard input"
        stop([Problem("record-needed", message)])
    return edition_named(names[:1], shelf), edition_named(names[1:2], shelf), names[2:]


def _part(replayed: Replayed, old: Edition, new: Edition, form: str, first: bool) -> str:
    """What is kept of one record that comes out differently."""
    match form:
        case "text":
            return replayed_text(replayed, old, new)
        case "csv":
            return replayed_row(replayed, old, new)
        case "jsonl":
            return f"{json.dumps(replayed_json(replayed))}\n"
        case _:
            text = textwrap.indent(json.dumps(replayed_json(replayed), indent=2), "    ")
            return text if first else f",\n{text}"


def _whole(spool: Spool, counts: Counts, old: Edition, new: Edition, form: str, terminal: bool) -> Iterator[str]:
    """What comes out: the counts, which are known now, and the records."""
    match form:
        case "text":
            first, newline, rest = replay_start(counts, old, new).partition("\n")
            yield (heading(first) if terminal else first) + newline + rest
        case "csv":
            yield replay_head()
        case "json":
            start = json.dumps(replay_json(counts, old, new), indent=2).removesuffix("\n}")
            yield f'{start},\n  "records": [' + ("" if spool.empty else "\n")
    empty = spool.empty
    yield from spool.parts()
    if form == "json":
        yield "]\n}\n" if empty else "\n  ]\n}\n"
