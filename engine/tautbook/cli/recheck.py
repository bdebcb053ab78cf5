"""``tautbook recheck VERDICT...``."""

from __future__ import annotations

import json
import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path

import click

from ..comparing.edition_at_hand import AtHand
from ..comparing.recheck import Rechecked, recheck_stored
from ..comparing.stored import Stored, read_stored
from ..editions.edition import Edition
from ..lang.files import why
from ..lang.problem import Problem
from ..lang.reading_parts import Part, read_json_parts
from ..rendering.recheck_json import recheck_json, rechecked_json
from ..rendering.recheck_text import nothing_more, recheck_headline, rechecked_text
from ..rendering.replay_text import drafts
from ..rendering.verdict_json import verdict_json
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
    under_option,
    write,
)
from .job_option import job_named
from .streaming import Progress, Spool

_ENDINGS = (".json", ".jsonl")


@click.command(short_help="Judge again from a stored verdict: does it still hold?")
@click.argument("verdicts", metavar="VERDICT...", nargs=-1)
@under_option
@click.option("--job", metavar="JOB", help="A job: what its contract makes of an edition is at hand too.")
@draft_option
@rulesets_option
@format_option("text", "json")
@output_options
def recheck(
    verdicts: tuple[str, ...], under: tuple[str, ...], job: str | None, draft: bool, folders: tuple[Path, ...],
    form: str, output: Path | None, replace: bool,
) -> None:  # fmt: skip
    """Judge the records of stored verdicts again, and say whether the verdicts still hold.

    VERDICT is a file, a folder or - for standard input: what `tautbook judge` printed with --format json or jsonl. Its
    record is judged by the edition of the digest that it states, which is looked for on the shelf; nothing but the
    verdict itself is read. With --job it is looked for in the job as well, and without VERDICT the verdicts are those
    stored with the job. With --under it is also told what another edition says of the same record.

    Exit status: 2 something could not be used; 1 at least one does not hold, or comes out differently by the edition
    named with --under; 0 all hold.
    """
    shelf = shelf_of(folders)
    beside: tuple[Edition, ...] = ()
    if job is not None:
        of_job, by = job_named(job, shelf)
        beside = (by,)
        if not verdicts and of_job.verdicts is not None:
            verdicts = (str(of_job.verdicts),)
    if not verdicts:
        stop([Problem("verdict-needed", "name the stored verdict: a file, a folder, or - for standard input")])
    other = edition_named(under, shelf) if under else None
    if other is not None:
        not_a_draft(other, draft)
    keep(output, [*verdicts, *under])
    not_in_the_way(output, replace)
    at_hand, counts, short = AtHand(shelf, beside), _Counts(), False
    with Spool() as spool:
        progress = Progress("verdicts")
        for name in verdicts:
            for part in _parts(name):
                rechecked, problems = _one(part, at_hand, other)
                progress.step()
                if rechecked is not None:
                    counts.add(rechecked)
                    # An empty line sets apart what is told in full; those of one line stand together.
                    gap, short = not short, nothing_more(rechecked, other)
                    spool.add(_text(rechecked, other, form, first=spool.empty, gap=gap or not short))
                else:
                    counts.not_used += 1
                    progress.clear()
                    tell(problems)
        progress.clear()
        if counts.hold + counts.broken:
            write(_whole(spool, counts, other, form, terminal=output is None), output, replace)
    sys.exit(UNUSABLE if counts.not_used else 1 if counts.broken or counts.differ else 0)


class _Counts:
    def __init__(self) -> None:
        self.hold = self.broken = self.not_used = self.differ = 0

    def add(self, rechecked: Rechecked) -> None:
        self.hold += rechecked.holds
        self.broken += not rechecked.holds
        self.differ += rechecked.under is not None and rechecked.under.differs


def _parts(name: str) -> Iterator[Part]:
    """The JSON values that a name stands for, with the memory of one."""
    if name == "-":
        yield from read_json_parts(sys.stdin.buffer, "-")
        return
    path = Path(name)
    try:
        files = sorted(_files(path)) if path.is_dir() else [path]
        if not files:
            help = f"stored verdicts are files ending in {', '.join(_ENDINGS)}"
            yield name, None, (Problem("folder-empty", "there are no verdicts in this folder", file=name, help=help),)
        for file in files:
            with file.open("rb") as opened:
                yield from read_json_parts(opened, str(file))
    except (OSError, ValueError) as error:
        message = why(error) if isinstance(error, OSError) else "there is no such file"
        yield name, None, (Problem("file-unreadable", message, file=name),)


def _files(folder: Path) -> Iterator[Path]:
    for path in folder.iterdir():
        if path.name.lower().endswith(_ENDINGS) and not path.name.startswith(".") and path.is_file():
            yield path


def _one(part: Part, at_hand: AtHand, under: Edition | None) -> tuple[Rechecked | None, tuple[Problem, ...]]:
    """One stored verdict judged again, or why it cannot be."""
    name, tree, problems = part
    stored: Stored | None = None
    edition: Edition | None = None
    if tree is not None:
        stored, problems = read_stored(tree, name)
    if stored is not None:
        edition, problems = at_hand.of(stored)
    if stored is None or edition is None:
        return None, problems
    return recheck_stored(stored, edition, verdict_json, under)


def _text(rechecked: Rechecked, under: Edition | None, form: str, first: bool, gap: bool) -> str:
    """What is kept of one verdict."""
    if form == "text":
        return ("\n" if gap else "") + rechecked_text(rechecked, under)
    text = textwrap.indent(json.dumps(rechecked_json(rechecked), indent=2), "    ")
    return text if first else f",\n{text}"


def _whole(spool: Spool, counts: _Counts, under: Edition | None, form: str, terminal: bool) -> Iterator[str]:
    """What comes out: the counts, which are known now, and the verdicts."""
    differ = None if under is None else counts.differ
    if form == "text":
        for line in drafts(under) if under is not None else ():
            yield f"{line}\n"
        first = recheck_headline(counts.hold, counts.broken, differ, under)
        colour = "red" if counts.broken else "green"
        yield (heading(first, colour) if terminal else first) + "\n"
        yield from spool.parts()
        return
    start = json.dumps(recheck_json(counts.hold, counts.broken, counts.not_used, differ, under), indent=2)
    yield start.removesuffix("\n}") + ',\n  "verdicts": [\n'
    yield from spool.parts()
    yield "\n  ]\n}\n"
