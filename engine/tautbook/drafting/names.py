"""The name that a new edition is to have: whether it can be one, and whether it is free."""

from __future__ import annotations

import re
from collections.abc import Iterable

from ..editions.shelf import BESIDE, Place
from ..lang.problem import Problem
from ..shape.schemas import load_schema

_SHOWN = 80


def new_name(name: str, places: Iterable[Place]) -> tuple[tuple[str, str] | None, tuple[Problem, ...]]:
    """Ruleset and edition that ``name`` says, or why no edition can be called so."""
    ruleset, at, edition = name.partition("@")
    if not at or "@" in edition:
        shown = name if len(name) <= _SHOWN else f"{name[:_SHOWN]}..."
        message = f"`{shown}` is not the name of an edition"
        return None, (Problem("edition-name", message, help="it is written RULESET@EDITION, such as my-agency@1"),)
    known = load_schema("edition")["properties"]
    for part, word in (("ruleset", ruleset), ("edition", edition)):
        if not re.match(known[part]["pattern"], word):
            shown = word if len(word) <= _SHOWN else f"{word[:_SHOWN]}..."
            message = f"`{shown}` cannot be the name of {'a ruleset' if part == 'ruleset' else 'an edition'}"
            return None, (Problem("edition-name", message, help=known[part]["patternErrorMessage"]),)
    if edition in BESIDE:
        message = f"`{edition}` cannot be the name of an edition"
        help = f"the file `{edition}.yaml` of a ruleset holds something else"
        return None, (Problem("edition-name", message, help=help),)
    there = [place.shown for place in places if place.name == name]
    if there:
        help = "give the new edition another name; what is to change in this one goes into one that amends it: --from"
        return None, (Problem("edition-there", f"{name} exists already", file=there[0], help=help),)
    return (ruleset, edition), ()
