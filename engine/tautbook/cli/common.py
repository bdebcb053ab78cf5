"""What the commands share: the shelf, problems on standard error, output on a terminal or into a file."""

from __future__ import annotations

import contextlib
import os
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any, NoReturn, TypeVar

import click

from ..editions.edition import Edition
from ..editions.shelf import Shelf
from ..lang.files import why
from ..lang.limits import LIMITS
from ..lang.problem import Problem, show, visible

UNUSABLE = 2
"""Exit status: the command or a file could not be used."""

_F = TypeVar("_F", bound=Callable[..., Any])


def rulesets_option(command: _F) -> _F:
    return click.option(
        "--rulesets", "folders", multiple=True, metavar="DIR", type=click.Path(path_type=Path),
        help="A folder of rulesets of your own, beside the shipped ones and those in TAUTBOOK_RULESETS. Repeatable.",
    )(command)  # fmt: skip


def under_option(command: _F) -> _F:
    return click.option(
        "--under", metavar="RULESET@EDITION", multiple=True, help="The edition that the contract names, or its file."
    )(command)


def output_options(command: _F) -> _F:
    replace = click.option("--replace", is_flag=True, help="Let --output replace a file that is there already.")
    output = click.option(
        "--output", metavar="FILE", type=click.Path(path_type=Path), help="Write into this file, whole or not at all."
    )
    return output(replace(command))


def format_option(*formats: str) -> Callable[[_F], _F]:
    return click.option(
        "--format", "form", type=click.Choice(formats), default=formats[0], show_default=True,
        help="Form of the output.",
    )  # fmt: skip


def shelf_of(folders: Iterable[Path]) -> Shelf:
    """The shipped rulesets, those in ``TAUTBOOK_RULESETS`` and those named."""
    named = [Path(part) for part in os.environ.get("TAUTBOOK_RULESETS", "").split(os.pathsep) if part]
    return Shelf.of([*named, *folders])


def edition_named(names: Sequence[str], shelf: Shelf) -> Edition:
    """The edition to judge by. Nothing is ever judged by a default: without a name the candidates are told."""
    if len(names) > 1:
        help = "judge by one, then by the other"
        stop([Problem("edition-needed", f"{len(names)} editions are named, and one can be judged by", help=help)])
    if not names:
        places, problems = shelf.places()
        known = ", ".join(dict.fromkeys(place.name for place in places))
        stop([Problem("edition-needed", "say by which edition, as the contract names it: --under RULESET@EDITION",
                      help=f"at hand: {known}"), *problems])  # fmt: skip
    edition, problems = shelf.find(names[0])
    if edition is None:
        stop(problems)
    return edition


def draft_option(command: _F) -> _F:
    help = "Use an edition that nobody has enacted; what comes out says so."
    return click.option("--draft", is_flag=True, help=help)(command)


def not_a_draft(edition: Edition, draft: bool) -> None:
    """Refuse an edition that can still change, unless that is meant."""
    if edition.enacted is None and not draft:
        help = "to use it all the same add --draft; `tautbook enact` enacts it"
        stop([Problem("draft", f"{edition.name} is a draft: nobody has enacted it", file=edition.file, help=help)])


def keep(output: Path | None, read: Iterable[str]) -> None:
    """Refuse to write over what is read."""
    for name in read:
        if output is not None and output.exists() and name != "-" and Path(name).exists() and output.samefile(name):
            help = "name another file"
            stop([Problem("file-there", "this file is read, and would be written over", file=str(output), help=help)])


def stop(problems: Iterable[Problem]) -> NoReturn:
    """Tell the problems and end the command."""
    tell(problems)
    sys.exit(UNUSABLE)


def tell(problems: Iterable[Problem]) -> None:
    """The first problems of each file, and how many more there are."""
    told: Counter[str] = Counter()
    for problem in problems:
        name = problem.file or "" if problem.span is None else problem.span.source.name
        told[name] += 1
        if told[name] <= LIMITS.told:
            click.echo(show(problem), err=True)
    for name, number in told.items():
        if number > LIMITS.told:
            click.echo(visible(f"{name}: {number - LIMITS.told} more problems; mend these first"), err=True)


def not_in_the_way(output: Path | None, replace: bool) -> None:
    """Refuse a file that is there already, or a folder: before long work as well as when it is written."""
    if output is not None and output.is_dir():
        stop([Problem("file-unwritable", "this is a folder, not a file", file=str(output), help="name a file in it")])
    if output is not None and output.exists() and not replace:
        help = "add --replace to replace it"
        stop([Problem("file-there", "this file is there already", file=str(output), help=help)])


def write(text: str | bytes | Iterable[str], output: Path | None, replace: bool, lasting: bool = False) -> None:
    """Text, or its parts one after the other, onto standard output, or into a file: all of it at once or nothing. Bytes
    are written as they are.

    What is ``lasting`` is on the disk when this returns, and never a new name for what is not there yet.
    """
    parts = [text] if isinstance(text, (str, bytes)) else text
    if output is None:
        for part in parts:
            click.echo(part, nl=False)
        return
    not_in_the_way(output, replace)
    temporary = None
    try:
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", dir=output.parent, prefix=f".{output.name[:32]}.", delete=False, newline="\n"
        ) as file:
            temporary = Path(file.name)
            for part in parts:
                if isinstance(part, bytes):
                    file.buffer.write(part)
                else:
                    file.write(part)
            if lasting:
                file.flush()
                os.fsync(file.fileno())
        temporary.chmod(0o644)
        if replace:
            temporary.replace(output)
        else:
            _put_in_place(temporary, output)
        if lasting:
            _name_kept(output.parent)
    except OSError as error:
        if temporary is not None:
            with contextlib.suppress(OSError):
                temporary.unlink()
        stop([Problem("file-unwritable", f"it could not be written: {why(error)}", file=str(output))])


def _name_kept(folder: Path) -> None:
    """The new name of a file in ``folder`` is on the disk too, where a system can say so of a folder."""
    with contextlib.suppress(OSError):
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def _put_in_place(temporary: Path, output: Path) -> None:
    """A link fails where a file came to stand in the meantime; a rename would replace it."""
    try:
        os.link(temporary, output)
    except FileExistsError:
        raise
    except OSError:
        temporary.rename(output)  # a file system without links
    else:
        temporary.unlink()


def heading(text: str, colour: str | None = None) -> str:
    """Text that stands out on a terminal; plain text anywhere else, and where ``NO_COLOR`` asks for it."""
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb" or not sys.stdout.isatty():
        return text
    return click.style(text, fg=colour, bold=True)


