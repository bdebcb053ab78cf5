"""``tautbook sheet --under RULESET@EDITION --procedure P --output FILE``."""

from __future__ import annotations

from pathlib import Path

import click

from ..explaining.limits import limits_of
from ..lang.problem import Problem
from ..lang.values import Group
from ..records.given import given_fields
from ..rendering.sheet_csv import sheet_csv
from ..rendering.sheet_excel import sheet_excel
from ..rendering.sheet_live import live_sheet
from ..shape.vocabulary import Vocabulary, vocabulary
from ..sheet.known import known_of
from ..sheet.plan import form_of
from .common import (
    draft_option,
    format_option,
    keep,
    not_a_draft,
    not_in_the_way,
    output_options,
    rulesets_option,
    shelf_of,
    stop,
    under_option,
    write,
)
from .job_option import edition_by, job_option
from .limits import known_by_record, procedure_named


@click.command(short_help="The form of a test, to be filled in on paper or in a browser.")
@under_option
@job_option
@click.option("--procedure", metavar="PROCEDURE", help="The kind of test; not needed with --record.")
@click.option("--given", metavar="PATH=VALUE", multiple=True, help="A field that is known. Repeatable.")
@click.option("--record", metavar="FILE", help="A record; what it holds besides its readings is filled in.")
@click.option(
    "--items", metavar="N", type=click.IntRange(1, 200),
    help="How many items to print; otherwise as many as the edition asks for.",
)
@draft_option
@rulesets_option
@format_option("html", "csv", "xlsx")
@output_options
def sheet(
    under: tuple[str, ...], job: str | None, procedure: str | None, given: tuple[str, ...], record: str | None,
    items: int | None, draft: bool, folders: tuple[Path, ...], form: str, output: Path | None, replace: bool,
) -> None:  # fmt: skip
    """The form of a test, to be filled in on paper or in a browser: one page that needs nothing else.

    It is made from the edition and the record schema alone. What is known of the test comes from --given and
    --record: the more is known, the more figures stand on it, worked out. With --job, a connection, a lot or a piece
    of equipment that is named there is filled in with all that its papers say.

    csv and xlsx are an empty table, a row an item and a column a field, that judge reads once it is filled in; in the
    workbook (which needs tautbook[excel]) a second page has the figures, and the words that are allowed. Several
    records can stand in one table, each with its number.
    """
    edition = edition_by(under, job, shelf_of(folders))
    not_a_draft(edition, draft)
    keep(output, [*under, *([record] if record else [])])
    not_in_the_way(output, replace)
    known, named = (None, procedure) if record is None else known_by_record(record, procedure, edition)
    rules = procedure_named(named, edition)
    words = vocabulary(rules.id)
    assert words is not None, "an edition has no rules for a procedure without records"
    group = _known(given, known, job, words)
    found = form_of(edition, rules, words, group, items)
    if form == "csv":
        write(sheet_csv(found), output, replace)
    elif form == "xlsx":
        book = sheet_excel(found, limits_of(edition, rules, words, group))
        if isinstance(book, Problem):
            stop([book])
        write(book, output, replace)
    else:
        write("".join(f"{line}\n" for line in live_sheet(found)), output, replace)


def _known(given: tuple[str, ...], start: Group | None, job: str | None, words: Vocabulary) -> Group:
    """What was given, put into what a record or the papers of the job say; both must say the same."""
    group, problems = given_fields(given, words, start)
    if not problems and job is not None:
        from ..jobs.parts import joined
        from ..jobs.read import read_job

        found, wrong = read_job(Path(job))
        if found is None:
            stop(wrong)
        group, problems = given_fields(given, words, joined(known_of(found, group, words), start or Group("", {})))
    if problems:
        stop(problems)
    return group
