"""``--job JOB``: the edition is the one that governs a job."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from ..editions.edition import Edition
from ..editions.shelf import Shelf
from ..lang.problem import Problem
from .common import edition_named, stop

if TYPE_CHECKING:
    from ..jobs.job import Job

_F = TypeVar("_F", bound=Callable[..., Any])


def job_option(command: _F) -> _F:
    return click.option(
        "--job", metavar="JOB", help="A job, its file or folder: by the edition that governs it."
    )(command)  # fmt: skip


def edition_by(names: Sequence[str], job: str | None, shelf: Shelf) -> Edition:
    """The edition that ``--under`` names, or that governs the job: one of both."""
    return job_and_edition(names, job, shelf)[1]


def job_and_edition(names: Sequence[str], job: str | None, shelf: Shelf) -> tuple[Job | None, Edition]:
    """The same with the job, if one is named."""
    if job is None:
        return None, edition_named(names, shelf)
    if names:
        help = "leave --under out: the contract names the edition"
        stop([Problem("edition-needed", "an edition is named, and a job as well", help=help)])
    return job_named(job, shelf)


def job_named(name: str, shelf: Shelf) -> tuple[Job, Edition]:
    """The job in the file or folder of that name, and the edition that governs it."""
    from ..jobs.edition import edition_of
    from ..jobs.read import read_job

    job, problems = read_job(Path(name))
    if job is None:
        stop(problems)
    edition, problems = edition_of(job, shelf)
    if edition is None:
        stop(problems)
    return job, edition
