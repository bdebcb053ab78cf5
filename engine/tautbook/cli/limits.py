"""``tautbook limits --under RULESET@EDITION --procedure P``."""

from __future__ import annotations

import dataclasses
import json
import sys
from pathlib import Path

import click

from ..editions.edition import Edition, Procedure
from ..explaining.limits import limits_of
from ..judging.verdict import observe
from ..lang.problem import Problem, did_you_mean
from ..lang.values import Group
from ..records.gather import gather
from ..records.given import before_readings, given_fields
from ..rendering.limits import headline, limits_json, limits_text
from ..shape.vocabulary import vocabulary
from .common import (
    draft_option,
    format_option,
    heading,
    keep,
    not_a_draft,
    output_options,
    rulesets_option,
    shelf_of,
    stop,
    under_option,
    write,
)
from .job_option import edition_by, job_option


@click.command(short_help="Every figure that a test must meet, before any reading.")
@under_option
@job_option
@click.option("--procedure", metavar="PROCEDURE", help="The kind of test; not needed with --record.")
@click.option("--given", metavar="PATH=VALUE", multiple=True, help="A field that is known. Repeatable.")
@click.option("--record", metavar="FILE", help="A record; what it holds besides its readings is known.")
@draft_option
@rulesets_option
@format_option("text", "json")
@output_options
def limits(
    under: tuple[str, ...], job: str | None, procedure: str | None, given: tuple[str, ...], record: str | None,
    draft: bool, folders: tuple[Path, ...], form: str, output: Path | None, replace: bool,
) -> None:  # fmt: skip
    """Every figure that a test must meet, before any reading.

    What is known of the test comes from --given and --record: the more is known, the more figures are plain. Where
    the graduation of the device is known, the mark of its dial to stop at is given as well, corrections included.
    """
    edition = edition_by(under, job, shelf_of(folders))
    not_a_draft(edition, draft)
    keep(output, [*under, *([record] if record else [])])
    known, named = (None, procedure) if record is None else known_by_record(record, procedure, edition)
    rules = procedure_named(named, edition)
    words = vocabulary(rules.id)
    assert words is not None, "an edition has no rules for a procedure without records"
    group, problems = given_fields(given, words, known)
    if problems:
        stop(problems)
    found = limits_of(edition, rules, words, group)
    if form == "json":
        write(f"{json.dumps(limits_json(found), indent=2)}\n", output, replace)
        return
    text = limits_text(found)
    first = headline(found)
    if output is None and text.startswith(f"{first}\n"):
        text = heading(first) + text[len(first) :]
    write(text, output, replace)


def procedure_named(name: str | None, edition: Edition) -> Procedure:
    known = ", ".join(edition.procedures)
    if name is None:
        stop([Problem("procedure-needed", "say for which kind of test: --procedure", help=f"there are: {known}")])
    if name not in edition.procedures:
        help = did_you_mean(name, edition.procedures, f"there are: {known}")
        stop([Problem("unknown-procedure", f"{edition.name} has no procedure `{name}`", help=help)])
    return edition.procedures[name]


def known_by_record(file: str, procedure: str | None, edition: Edition) -> tuple[Group | None, str]:
    """What a record holds before its readings, and its procedure."""
    found = list(gather(file, sys.stdin.buffer))
    problems = [problem for _, wrong in found for problem in wrong]
    records = [record for record, _ in found if record is not None]
    if problems or len(records) != 1:
        stop(problems or [Problem("one-record", f"{len(records)} records are here, and one is needed", file=file)])
    record = records[0]
    if procedure is not None and procedure != record.procedure:
        message = f"this record is of `{record.procedure}`, not of `{procedure}`"
        stop([Problem("unknown-procedure", message, record.shaped.entries["procedure"].span)])
    seen, _, wrong = observe(record, edition, dataclasses.replace(procedure_named(record.procedure, edition), asks={}))
    if seen is None:
        stop(wrong)
    return before_readings(seen), record.procedure
