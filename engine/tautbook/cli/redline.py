"""``tautbook redline OLD NEW``."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Iterable
from pathlib import Path

import click

from ..comparing.effect import Deciding
from ..comparing.redline import Redline
from ..comparing.redline import redline as compare
from ..editions.edition import Edition
from ..editions.shelf import Shelf
from ..lang.files import why
from ..lang.problem import Problem, visible
from ..proofreading.worked import EXAMPLES
from ..records.gather import gather
from ..records.record import Record
from ..rendering.redline import both_names
from ..rendering.redline_json import redline_json
from ..rendering.redline_markdown import redline_markdown
from ..rendering.redline_text import redline_text
from .common import (
    edition_named,
    format_option,
    heading,
    keep,
    not_in_the_way,
    output_options,
    rulesets_option,
    shelf_of,
    stop,
    write,
)


@click.command(short_help="What a new edition changes, in wording and in effect.")
@click.argument("names", metavar="OLD NEW", nargs=-1)
@click.option("--records", "folder", metavar="DIR", type=click.Path(path_type=Path),
              help="Write every deciding record into this folder, a file each; never over one that is there.")
@rulesets_option
@format_option("text", "markdown", "json")
@output_options
def redline(
    names: tuple[str, ...], folder: Path | None, folders: tuple[Path, ...], form: str, output: Path | None,
    replace: bool,
) -> None:  # fmt: skip
    """What a new edition changes: every change of wording, and which tests come out differently.

    OLD and NEW are editions, RULESET@EDITION or a file. Either may be a draft, and the first lines say so; an edition
    that was enacted and changed since is refused. A deciding record is one that the two judge differently; `tautbook
    judge` runs on it.

    Exit status: 2 something could not be used; 1 there are differences; 0 there are none.
    """
    if len(names) != 2:
        message = f"two editions are compared, and {len(names) or 'none'} {'is' if len(names) < 2 else 'are'} named"
        help = "name the old and the new one, each as RULESET@EDITION or a file"
        stop([Problem("editions-needed", message, help=help)])
    shelf = shelf_of(folders)
    old, new = (edition_named((name,), shelf) for name in names)
    keep(output, names)
    not_in_the_way(output, replace)
    found = compare(old, new, _at_hand((old, new), shelf))
    if folder is not None:
        _write_records(found, folder)
    write(_text(found, form, output), output, replace)
    sys.exit(1 if found.differs else 0)


def _at_hand(editions: Iterable[Edition], shelf: Shelf) -> list[Record]:
    """The worked records beside the editions: deciding records are made like them."""
    shown = {place.shown: Path(str(place.path)) for place in shelf.places()[0]}
    files = (shown.get(edition.file, Path(edition.file)) for edition in editions)
    folders = dict.fromkeys(file.parent / EXAMPLES for file in files)
    return [
        record for folder in folders if folder.is_dir()
        for record, _ in gather(str(folder), io.BytesIO()) if record is not None
    ]  # fmt: skip


def _text(found: Redline, form: str, output: Path | None) -> str:
    if form == "json":
        return f"{json.dumps(redline_json(found), indent=2)}\n"
    if form == "markdown":
        return redline_markdown(found)
    first, end, rest = redline_text(found).partition("\n")
    return f"{first if output is not None else heading(first)}{end}{rest}"


def _write_records(found: Redline, folder: Path) -> None:
    """All of them, or none if one stands there already."""
    records = {folder / f"{each.name}.yaml": each for effect in found.effects.effects for each in effect.records}
    for path in records:
        not_in_the_way(path, replace=False)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        stop([Problem("folder-unwritable", f"this folder could not be made: {why(error)}", file=str(folder))])
    for path, record in records.items():
        write(_record_text(record, found), path, replace=False)
    click.echo(f"{len(records)} deciding record{'s' * (len(records) != 1)} in {visible(str(folder))}", err=True)


def _record_text(record: Deciding, found: Redline) -> str:
    """The file of a record, with a line above that says what it is for."""
    from ..proofreading.record_data import example_text

    old, new = both_names(found)
    told = f"{old}: {record.before.verdict}; {new}: {record.after.verdict}. {record.about}".rstrip()
    _, _, content = example_text(record.content).partition("\n")  # whose first line leads to the shipped schemas
    return f"# {visible(told)}\n{content}"
