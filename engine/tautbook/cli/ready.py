"""``tautbook ready JOB``."""

from __future__ import annotations

import datetime
import json
import secrets
import sys
from pathlib import Path

import click

from ..jobs.edition import edition_of
from ..jobs.files import files_of
from ..jobs.needs import needs_of
from ..jobs.read import read_job
from ..jobs.ready import Ready
from ..jobs.ready import ready as ready_of
from ..jobs.sample import sample_of, seed_of
from ..lang.calendar import read_date
from ..lang.problem import Problem
from ..lang.quantity import Mistake
from ..lang.source import Source, Span
from ..rendering.parts_json import rules_json
from ..rendering.ready_csv import ready_csv
from ..rendering.ready_html import ready_html
from ..rendering.ready_json import ready_json, sample_json
from ..rendering.ready_text import ready_text, sample_text
from .common import (
    UNUSABLE,
    draft_option,
    format_option,
    heading,
    keep,
    not_a_draft,
    output_options,
    rulesets_option,
    shelf_of,
    stop,
    tell,
    write,
)

_STATUS = {"ready": 0, "not yet": 3, "not ready": 1}
_COLOURS = {"ready": "green", "not yet": "yellow", "not ready": "red"}


@click.command(short_help="Which tests of the programme are passed, missing, failed, invalid or expired.")
@click.argument("name", metavar="JOB")
@click.option("--on", "day", metavar="DATE", help="The day asked about: what has expired by then? No clock is read.")
@click.option("--sample", metavar="CONNECTION", help="Draw the random sample that the edition asks for there.")
@click.option("--seed", metavar="TEXT", help="Draw it from this text. Without it from the recorded one, or a new one.")
@draft_option
@rulesets_option
@format_option("text", "json", "csv", "html")
@output_options
def ready(
    name: str, day: str | None, sample: str | None, seed: str | None, draft: bool, folders: tuple[Path, ...],
    form: str, output: Path | None, replace: bool,
) -> None:  # fmt: skip
    """Which tests the edition of a job asks for, for each combination of its lots, and how each stands.

    JOB is the file of a job, or a folder with a job.yaml. Its records, stored verdicts and contract layer lie in the
    same folder. html is a page for the site office that needs nothing else.

    Exit status: 2 something could not be used; 1 not ready; 3 only what is incomplete, or not for acceptance, is in
    the way; 0 every test asked for is on record and passes. Release is the Engineer's.
    """
    on = None if day is None else _day(day)
    job, problems = read_job(Path(name))
    if job is None:
        stop(problems)
    edition, problems = edition_of(job, shelf_of(folders))
    if edition is None:
        stop(problems)
    not_a_draft(edition, draft)
    keep(output, [job.file])
    if seed is not None and sample is None:
        stop([Problem("seed-unused", "a seed is for a sample", help="add --sample CONNECTION")])
    if form in ("csv", "html") and sample is not None:
        stop([Problem("sample-form", f"a sample has no form `{form}`", help="--format text, or json")])
    found = ready_of(job, edition, files_of(job), on)
    tell(found.problems)
    if sample is not None:
        _sample(found, sample, seed, form, output, replace)
        return
    write(_text(found, form, output is None), output, replace)
    sys.exit(UNUSABLE if found.problems else _STATUS[found.state])


def _day(text: str) -> datetime.date:
    found = read_date(text)
    if isinstance(found, Mistake):
        span = Span(Source("--on", text), found.start, found.end)
        stop([Problem(found.code, found.message, span, found.help)])
    return found


def _text(found: Ready, form: str, terminal: bool) -> str:
    match form:
        case "csv":
            return ready_csv(found)
        case "html":
            return ready_html(found)
        case "json":
            return f"{json.dumps(ready_json(found), indent=2)}\n"
        case _:
            first, newline, rest = ready_text(found).partition("\n")
            return (heading(first, _COLOURS[found.state]) if terminal else first) + newline + rest


def _sample(found: Ready, of: str, seed: str | None, form: str, output: Path | None, replace: bool) -> None:
    """The sample of one connection: from the seed that is named, else the one on record, else a new one."""
    needs, _ = needs_of(found.job, found.edition)
    if seed is None:
        records = [
            each for standing in found.standings if any(key.written == of for key in standing.need.keys)
            for each in standing.records
        ]  # fmt: skip
        seed = seed_of(records) or secrets.token_hex(8)
    sample, problems = sample_of(needs.values(), of, seed)
    if sample is None:
        stop(problems)
    if form == "json":
        write(f"{json.dumps(sample_json(sample, rules_json(found.edition)), indent=2)}\n", output, replace)
    else:
        write(sample_text(sample, found.edition.name), output, replace)
    sys.exit(UNUSABLE if found.problems else 0)
