"""What stands in an edition where only its authority can say what belongs there."""

from __future__ import annotations

from ..lang.calendar import LAST_YEAR

TO_FILL_IN = "TO FILL IN"
"""Stands in a text that is still to be written."""
DAY_TO_FILL_IN = f"{LAST_YEAR}-12-31"
"""The last day of the calendar: stands for a day that is still to be written, and is in force for nobody."""


def to_fill_in(what: str = "") -> str:
    """The text that stands for one that is missing. ``what`` has neither colon nor comma: no quotes are needed."""
    return f"{TO_FILL_IN} ({what})" if what else TO_FILL_IN
