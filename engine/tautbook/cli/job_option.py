"""``--job JOB``: the edition is the one that governs a job."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

from ..editions.edition import Edition
from ..editions.shelf import Shelf
from ..lang.problem import Problem
from .common import edition_named, stop

_F = TypeVar("_F", bound=Callable[..., Any])


def job_option(command: _F) -> _F:
    return click.option(
        "--job", metavar="JOB", help="A job, its file or folder: by the edition that governs it."
    )(command)  # fmt: skip


def edition_by(names: Sequence[str], job: str | None, shelf: Shelf) -> Edition:
    """The edition that ``--under`` names, or that governs the job: one of both."""
    if job is None:
        return edition_named(names, shelf)
    from ..jobs.edition import edition_of
    from ..jobs.read import read_job

    if names:
        help = "leave --under out: the contract names the edition"
        stop([Problem("edition-needed", "an edition is named, and a job as well", help=help)])
    found, problems = read_job(Path(job))
    edition, problems = (None, problems) if found is None else edition_of(found, shelf)
    if edition is None:
        stop(problems)
    return edition
