"""An effect in plain words, after *From this edition on*, from the records that show it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from .effect import Deciding


def said_of(records: Sequence[Deciding], verdict: bool = False) -> tuple[tuple[str, str], ...]:
    told = []
    for each in records:
        becomes = f"{each.before.verdict} becomes {each.after.verdict}" if verdict else ""
        turn = f"{each.turn}{_where(each)}" if each.turn else ""
        told.append((each.direction, ": ".join(part for part in (becomes, turn) if part)))
    return tuple(told)


def _where(record: Deciding) -> str:
    """The one other reading that makes the record what it is, where what turns does not name it."""
    name, _, value = record.about.rpartition(": ")
    reading = re.sub(r"^[^,]* [0-9]+, ", "", name)
    if not name or "; " in record.about or reading in record.turn:
        return ""
    return f", where {reading} is {value}"
