"""One change of wording between two editions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ..editions.reasons import Reason

What = Literal[
    "table", "term", "requirement", "procedure", "programme", "source", "covers", "months", "field", "text",
    "left to people", "effective",
]  # fmt: skip
How = Literal["added", "removed", "changed", "renumbered"]


@dataclass(frozen=True, slots=True)
class Change:
    id: str
    """Of its own within one redline, and the same from run to run: what, where."""
    what: What
    where: str
    """A person's way to it: `Table A-2, highest_tension [Group 120, 7/8 in]`, `dti-lot, load-reached`."""
    how: How
    before: str | None
    """As text in the edition's own words and units; None where it was added."""
    after: str | None
    detail: str = ""
    """The difference in the edition's unit and in percent, or what the change of an operator or rounding is."""
    part: tuple[str, ...] = ()
    """Where it stands in the edition: ("tables", name, row, ...), ("terms", name), ("procedures", name,
    "requirements", id, member), ..."""
    item: str = ""
    """The table, term, requirement, ... that it is a change of, as ``where`` names it."""
    member: str = ""
    """What of the item changed: `require`, `note`, the keys of a cell; nothing: the item as a whole."""
    title: str = ""
    """The title of the item, as the new edition has it if the item stands there."""
    why: tuple[Reason, ...] = ()
    """Why, as the amendment says that brought it about."""
