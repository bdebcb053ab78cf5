"""``tautbook shelf``."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Literal

import click

from ..lang.problem import Problem
from ..rendering.shelf import shelf_json, shelf_text, shown, shown_json
from .common import (
    UNUSABLE,
    edition_named,
    format_option,
    output_options,
    rulesets_option,
    shelf_of,
    stop,
    tell,
    write,
)

Form = Literal["text", "markdown", "html", "json"]


@click.command(short_help="The rulesets and editions at hand.")
@click.option("--show", metavar="RULESET@EDITION", help="Show one edition whole, as provisions in sentences.")
@rulesets_option
@format_option("text", "markdown", "html", "json")
@output_options
def shelf(show: str | None, folders: tuple[Path, ...], form: Form, output: Path | None, replace: bool) -> None:
    """The rulesets and editions at hand: in force when, enacted or draft, with their digests."""
    at_hand = shelf_of(folders)
    if show is not None:
        edition = edition_named((show,), at_hand)
        write(_json(shown_json(edition)) if form == "json" else shown(edition, form), output, replace)
        return
    if form in ("markdown", "html"):
        stop([Problem("shelf-show", f"the list of editions has no form `{form}`", help="--show RULESET@EDITION")])
    places, problems = at_hand.places()
    editions, wrong = [], [*problems]
    for place in places:
        found, faults = at_hand.read(place)
        wrong += faults
        if found is not None:
            editions.append(found)
    if editions:
        write(shelf_text(editions) if form == "text" else _json(shelf_json(editions)), output, replace)
    tell(wrong)
    sys.exit(UNUSABLE if wrong else 0)


def _json(objects: object) -> str:
    return f"{json.dumps(objects, indent=2)}\n"
