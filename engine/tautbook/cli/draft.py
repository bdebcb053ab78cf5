"""``tautbook draft RULESET@EDITION [--from RULESET@EDITION]``."""

from __future__ import annotations

import datetime
from pathlib import Path

import click

from ..drafting.amendment import amendment
from ..drafting.base import base_of
from ..drafting.first_edition import first_edition
from ..drafting.names import new_name
from ..drafting.picked import chosen
from ..lang.calendar import read_date
from ..lang.problem import Problem
from .common import keep, output_options, rulesets_option, shelf_of, stop, tell, write


@click.command(short_help="Start an edition: a first one, or an amendment of another.")
@click.argument("edition", metavar="RULESET@EDITION")
@click.option("--from", "base", metavar="RULESET@EDITION", help="The edition that is to be amended, or its file.")
@click.option("--procedure", "procedures", metavar="NAME", multiple=True,
              help="A test that a first edition is to have; all that records exist of if not given. Repeatable.")
@click.option("--effective", metavar="DATE", help="First day in force, if it is known.")
@rulesets_option
@output_options
def draft(
    edition: str, base: str | None, procedures: tuple[str, ...], effective: str | None, folders: tuple[Path, ...],
    output: Path | None, replace: bool,
) -> None:  # fmt: skip
    """Start an edition: a first one, or with --from an amendment of another.

    What is written can be read and judged by at once, explains itself, and says TO FILL IN where only you know what
    belongs there. Without --procedure a first edition has every test that records exist of, since which of them your
    source asks for is yours to say: take out the others, or name those you want.
    """
    shelf = shelf_of(folders)
    places, wrong = shelf.places()
    if wrong:
        stop(wrong)
    name, problems = new_name(edition, places)
    if name is None:
        stop(problems)
    day = None if effective is None else _day(effective)
    if base is None:
        known, problems = chosen(procedures)
        if problems:
            stop(problems)
        write(first_edition(*name, known, day), output, replace)
        return
    if procedures:
        help = "leave --procedure out; one that is new is added in the file"
        stop([Problem("draft-procedure", "an amendment has the procedures of the edition that it amends", help=help)])
    keep(output, [base])
    amended, other, problems = base_of(base, edition, shelf)
    if amended is None:
        stop(problems)
    write(amendment(*name, *amended, day), output, replace)
    tell(other)


def _day(effective: str) -> str:
    found = read_date(effective)
    if not isinstance(found, datetime.date):
        stop([Problem(found.code, found.message, help=found.help)])
    return effective
