"""``tautbook enact RULESET@EDITION --by NAME``."""

from __future__ import annotations

import contextlib
import datetime
import os
from collections.abc import Iterator
from pathlib import Path

import click

from ..editions.edition import Edition
from ..editions.enacted import entry_text, read_enacted
from ..editions.shelf import ENACTED, Shelf
from ..lang.files import read_file, why
from ..lang.problem import Problem
from ..proofreading.proofread import proofread
from ..proofreading.report import Report
from .common import edition_named, rulesets_option, shelf_of, stop, write


@click.command(short_help="Enact an edition: from then on no change of it goes unnoticed.")
@click.argument("edition", metavar="RULESET@EDITION")
@click.option("--by", metavar="NAME", help="Who enacts it.")
@click.option("--on", metavar="DATE", help="Day on which it is enacted; today if not given.")
@rulesets_option
def enact(edition: str, by: str | None, on: str | None, folders: tuple[Path, ...]) -> None:
    """Enact an edition: its digest goes into the list `enacted.yaml` beside it.

    RULESET@EDITION may be the name of its file. It is proofread first; while there is an error, nothing is enacted.
    From then on every command that would use the edition refuses it if it was changed, or if a field that it reads
    changed its kind. What it amends is enacted before it.
    """
    if not by or not by.strip():
        stop([Problem("enact-by", "say who enacts it", help="--by NAME")])
    day, shelf = _day(on), shelf_of(folders).around(edition)
    found = edition_named((edition,), shelf)
    if found.enacted is not None:
        message = f"{found.name} was enacted already, on {found.enacted.on} by {found.enacted.by}"
        help = "what is to change goes into a new edition that amends this one"
        stop([Problem("enacted-already", message, help=help)])
    path = _file(found)
    _on_enacted_ground(found, shelf)
    report = _proofread(found, edition, shelf)
    with _alone(path):
        write(_list(path, found, by.strip(), day), path, replace=True, lasting=True)
    click.echo(f"{found.name} is enacted, {found.digest}")
    if report.remarks:
        many = f"{report.remarks} remark{'s' * (report.remarks != 1)}"
        click.echo(f"{many} on it; to see them: tautbook proofread {edition}")


def _file(found: Edition) -> Path:
    """The list beside the file of the edition. Shipped editions are enacted where they are made."""
    beside = Path(found.file).parent
    if not beside.is_dir():
        help = "name its file, or the folder of your rulesets with --rulesets"
        stop([Problem("enact-shipped", f"{found.name} is a shipped edition", help=help)])
    return beside / ENACTED


def _on_enacted_ground(found: Edition, shelf: Shelf) -> None:
    """Stop where an edition that this one amends is a draft.

    Its digest is stated, so it could not change unnoticed; but a draft may change, and then nobody could judge by the
    enacted edition any more.
    """
    for layer in found.layers:
        base, problems = shelf.find(layer.name)
        if base is None:
            stop(problems)
        if base.enacted is None:
            message = f"{layer.name}, which it amends, is a draft: {found.name} could not be used once that changes"
            stop([Problem("enact-on-draft", message, file=layer.file, help=f"enact {layer.name} first")])


def _proofread(found: Edition, named: str, shelf: Shelf) -> Report:
    """What proofreading remarks; it stops where there are errors."""
    data, unread = read_file(Path(found.file), found.file)
    if unread is not None:
        stop([unread])
    report = proofread(found, data or b"", Path(found.file), named, shelf.bytes_of)
    wrong = [*report.unread, *(each.problem for each in report.findings if each.severity == "error")]
    if wrong:
        many = f"{len(wrong)} error{'s' * (len(wrong) != 1)}"
        message = f"{found.name} is not enacted: proofreading finds {many}"
        stop([*wrong, Problem("enact-errors", message, help="mend them, and enact it then")])
    return report


def _list(path: Path, found: Edition, by: str, day: datetime.date) -> str:
    """The list as it is now, with the edition at its end. What stands there stays, letter by letter."""
    data, problem = read_file(path, str(path)) if path.exists() else (b"", None)
    if problem is not None:
        stop([problem])
    _, problems = read_enacted(data or b"", str(path)) if data else ({}, ())
    if problems:
        stop(problems)
    before = (data or b"").decode("utf-8")
    text = before + ("" if not before or before.endswith("\n") else "\n") + entry_text(found, by, day)
    _, problems = read_enacted(text.encode(), str(path))
    if problems:
        stop(problems)
    return text


@contextlib.contextmanager
def _alone(path: Path) -> Iterator[None]:
    """While the list is read and written anew nobody else enacts in its folder, so that no entry is lost.

    The lock is on the folder and goes with the process: nothing is left behind, whatever ends it. A system without
    such locks, and a file system that has none, do without.
    """
    try:
        import fcntl
    except ImportError:
        yield
        return
    try:
        folder = os.open(path.parent, os.O_RDONLY)
    except OSError as error:
        stop([Problem("file-unreadable", why(error), file=str(path.parent))])
    try:
        with contextlib.suppress(OSError):
            fcntl.flock(folder, fcntl.LOCK_EX)
        yield
    finally:
        os.close(folder)


def _day(on: str | None) -> datetime.date:
    try:
        return datetime.date.today() if on is None else datetime.date.fromisoformat(on)
    except ValueError:
        stop([Problem("enact-on", f"`{on}` is not a day", help="write it as 2026-04-14")])
