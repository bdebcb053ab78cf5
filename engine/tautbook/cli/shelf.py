"""``tautbook shelf``."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from ..rendering.shelf import edition_text, shelf_json, shelf_text
from .common import UNUSABLE, edition_named, format_option, output_options, rulesets_option, shelf_of, tell, write


@click.command(short_help="The rulesets and editions at hand.")
@click.option("--show", metavar="RULESET@EDITION", help="Show what one edition asks, requirement by requirement.")
@rulesets_option
@format_option("text", "json")
@output_options
def shelf(show: str | None, folders: tuple[Path, ...], form: str, output: Path | None, replace: bool) -> None:
    """The rulesets and editions at hand: in force when, enacted or draft, with their digests."""
    at_hand = shelf_of(folders)
    if show is not None:
        edition = edition_named((show,), at_hand)
        text = edition_text(edition) if form == "text" else _json(shelf_json([edition]))
        write(text, output, replace)
        return
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
