"""``tautbook proofread FILE...``."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from ..editions.shelf import Shelf
from ..lang.files import read_file
from ..lang.problem import Problem
from ..proofreading.proofread import proofread as proofread_edition
from ..proofreading.proofread import unreadable
from ..proofreading.report import Report
from ..rendering.proofread import headline, proofread_github, proofread_json, proofread_text
from .boundary_files import room_for, write_examples
from .common import UNUSABLE, format_option, heading, keep, output_options, rulesets_option, shelf_of, stop, tell, write


@click.command(short_help="Everything wrong with an edition, with its place.")
@click.argument("files", metavar="FILE...", nargs=-1)
@rulesets_option
@format_option("text", "json", "github")
@output_options
@click.option("--write-examples", "examples", metavar="DIR", type=click.Path(path_type=Path),
              help="Write records for the boundaries that no worked record shows into a new folder.")
def proofread(
    files: tuple[str, ...], folders: tuple[Path, ...], form: str, output: Path | None, replace: bool,
    examples: Path | None,
) -> None:
    """Everything wrong with an edition, with its place and a way out.

    FILE is the file of an edition, or RULESET@EDITION. The worked records in `examples` beside it are judged, and held
    to what `verdicts.yaml` states of them. Errors must be mended; remarks are worth a look.

    Boundaries are what stands at a limit, one step of the reading to either side of it, and without the reading. With
    --write-examples records for those that no worked record shows are made, and what the edition gives of each now, to
    be confirmed. Named `boundaries` and put beside the edition, such a folder counts among its worked records.

    Exit status: 2 something could not be read; 1 at least one error; 0 no error.
    """
    if not files:
        stop([Problem("edition-needed", "name the edition to proofread: its file, or RULESET@EDITION")])
    keep(output, files)
    if examples is not None:
        room_for(examples)
    shelf = shelf_of(folders)
    reports = [_report(name, shelf) for name in dict.fromkeys(files)]
    match form:
        case "text":
            text = proofread_text(reports)
            if output is None:
                text = _with_heading(text, reports)
        case "json":
            text = f"{json.dumps(proofread_json(reports), indent=2)}\n"
        case _:
            text = proofread_github(reports)
    write(text, output, replace)
    if examples is not None:
        write_examples(examples, reports)
    tell(problem for report in reports for problem in report.unread)
    if any(report.unread for report in reports):
        sys.exit(UNUSABLE)
    sys.exit(1 if any(report.errors for report in reports) else 0)


def _report(name: str, shelf: Shelf) -> Report:
    edition, problems = shelf.find(name)
    places, _ = shelf.places()
    found = next((place for place in places if place.name == name), None)
    path = Path(name) if found is None else found.path
    own = path if isinstance(path, Path) else None
    if edition is None:
        return unreadable(name, own, problems)
    data, problem = read_file(path, edition.file)
    if problem is not None:
        return unreadable(name, own, [problem])
    return proofread_edition(edition, data or b"", own, name, shelf.around(name).bytes_of)


def _with_heading(text: str, reports: list[Report]) -> str:
    """The first line of each report stands out on a terminal."""
    for report in reports:
        first = headline(report)
        colour = "red" if report.errors or report.unread else "green"
        if text.startswith(f"{first}\n") or f"\n\n{first}\n" in text:
            text = text.replace(f"{first}\n", f"{heading(first, colour)}\n", 1)
    return text
