"""The folder with records for boundaries, of ``tautbook proofread --write-examples DIR``."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from pathlib import Path

import click

from ..editions.edition import Edition
from ..lang.files import why
from ..lang.problem import Problem
from ..proofreading.boundary_examples import Unmade
from ..proofreading.boundary_sets import Lacking, boundaries_told, lacking, verdicts_text
from ..proofreading.record_data import example_text
from ..proofreading.report import Report
from ..proofreading.worked import EXAMPLES, STATED
from ..records.record import content
from .common import stop, tell


def room_for(folder: Path) -> None:
    """Stop where something stands there already: nothing is ever written over."""
    try:
        if folder.is_dir():
            if any(folder.iterdir()):
                stop([Problem("folder-there", "this folder is not empty", file=str(folder), help="name a new one")])
        elif folder.exists() or folder.is_symlink():
            stop([Problem("file-there", "this is no folder", file=str(folder), help="name a new folder")])
        elif not folder.parent.is_dir():
            stop([Problem("folder-missing", "the folder that it is to lie in is not there", file=str(folder))])
    except (OSError, ValueError) as error:
        stop([_unwritable(folder, error)])


def write_examples(folder: Path, reports: Iterable[Report]) -> None:
    """The records that the editions lack, and what each gives of them now. What comes of it is told on the side, since
    the report has standard output to itself."""
    read = [each for each in reports if each.edition is not None]
    rulesets = dict.fromkeys(each.edition.ruleset for each in read if each.edition is not None)
    if len(rulesets) > 1:
        help = "name editions of one ruleset at a time"
        stop([Problem("one-ruleset", f"the editions are of {' and '.join(rulesets)}", help=help)])
    found = lacking(
        [(each.edition, each.coverage) for each in read if each.edition is not None and each.coverage is not None],
        {number for each in read for number in each.numbers},
    )
    if found.records:
        _write(folder, found)
        click.echo(f"{len(found.records)} records written to {folder / EXAMPLES}; confirm what is stated of them in "
                   f"{folder / STATED}", err=True)  # fmt: skip
    elif not found.unmade:
        click.echo("no record is lacking: all that can be shown is shown", err=True)
    tell(_not_made(found.unmade))


def _write(folder: Path, found: Lacking) -> None:
    files = {folder / STATED: verdicts_text(found.records)}
    for each in found.records:
        record = each.example.verdict.record
        files[folder / EXAMPLES / each.example.file] = example_text(content(record.shaped))
    try:
        (folder / EXAMPLES).mkdir(parents=True)
        for path, text in files.items():
            with path.open("x", encoding="utf-8", newline="\n") as file:
                file.write(text)
    except (OSError, ValueError) as error:
        stop([_unwritable(folder, error)])


def _unwritable(folder: Path, error: OSError | ValueError) -> Problem:
    told = why(error) if isinstance(error, OSError) else "this is no name of a folder"
    return Problem("folder-unwritable", f"it could not be written: {told}", file=str(folder))


def _not_made(unmade: Iterable[tuple[Edition, Unmade]]) -> Iterator[Problem]:
    """What no record could be made for, by edition and reason."""
    ordered = sorted(unmade, key=lambda each: (each[0].edition, each[1].why))
    for (edition, reason), those in groupby(ordered, key=lambda each: (each[0].name, each[1].why)):
        told = boundaries_told(each.boundary for _, each in those)
        help = f"write a record for it by hand: {reason}"
        yield Problem("example-unmade", f"{edition}: no record was made for {told}", help=help)
