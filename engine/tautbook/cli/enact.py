"""``tautbook enact RULESET@EDITION --by NAME``."""

from __future__ import annotations

import datetime
from pathlib import Path

import click

from ..editions.enacted import entry_text, read_enacted
from ..editions.shelf import ENACTED
from ..lang.files import read_file
from ..lang.problem import Problem
from .common import edition_named, rulesets_option, shelf_of, stop, write


@click.command(short_help="Enact an edition: from then on no change of it goes unnoticed.")
@click.argument("edition", metavar="RULESET@EDITION")
@click.option("--by", metavar="NAME", help="Who enacts it.")
@click.option("--on", metavar="DATE", help="Day on which it is enacted; today if not given.")
@rulesets_option
def enact(edition: str, by: str | None, on: str | None, folders: tuple[Path, ...]) -> None:
    """Enact an edition: its digest goes into the list `enacted.yaml` beside it.

    RULESET@EDITION may be the name of its file. From then on every command that would use the edition refuses it if it
    was changed, or if a field that it reads changed its kind.
    """
    if not by or not by.strip():
        stop([Problem("enact-by", "say who enacts it", help="--by NAME")])
    found = edition_named((edition,), shelf_of(folders))
    if found.enacted is not None:
        message = f"{found.name} was enacted already, on {found.enacted.on} by {found.enacted.by}"
        help = "what is to change goes into a new edition that amends this one"
        stop([Problem("enacted-already", message, help=help)])
    path = _file(found.file, found.name, folders)
    data, problem = (b"", None) if not path.exists() else read_file(path, str(path))
    if problem is not None:
        stop([problem])
    before = (data or b"").decode("utf-8")
    text = before + ("" if not before or before.endswith("\n") else "\n") + entry_text(found, by.strip(), _day(on))
    _, problems = read_enacted(text.encode(), str(path))
    if problems:
        stop(problems)
    write(text, path, replace=True)
    click.echo(f"{found.name} is enacted, {found.digest}")


def _file(edition: str, name: str, folders: tuple[Path, ...]) -> Path:
    """The list beside the file of the edition. Shipped editions are enacted where they are made."""
    beside = Path(edition).parent
    if not beside.is_dir():
        help = "name its file, or the folder of your rulesets with --rulesets"
        stop([Problem("enact-shipped", f"{name} is a shipped edition", help=help)])
    return beside / ENACTED


def _day(on: str | None) -> datetime.date:
    try:
        return datetime.date.today() if on is None else datetime.date.fromisoformat(on)
    except ValueError:
        stop([Problem("enact-on", f"`{on}` is not a day", help="write it as 2026-04-14")])
