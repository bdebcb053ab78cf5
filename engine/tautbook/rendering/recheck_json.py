"""Stored verdicts judged again, as JSON."""

from __future__ import annotations

from typing import Any

from ..comparing.recheck import Rechecked
from ..editions.edition import Edition
from .parts_json import engine_json, rules_json
from .replay_json import replayed_json


def recheck_json(hold: int, broken: int, not_used: int, differ: int | None, under: Edition | None) -> dict[str, Any]:
    """The object that ``schemas/recheck.schema.json`` describes, but for its ``verdicts``, which follow one by one."""
    return {
        "engine": engine_json(),
        "under": None if under is None else rules_json(under),
        "counts": {"hold": hold, "do_not_hold": broken, "not_used": not_used, "different": differ},
    }


def rechecked_json(rechecked: Rechecked) -> dict[str, Any]:
    """One stored verdict, what parts it from the new judgement, and what another edition says of its record."""
    stored, now = rechecked.stored, rechecked.now
    return {
        "name": stored.name,
        "id": stored.record_id,
        "holds": rechecked.holds,
        "stated": {"verdict": stored.verdict, "headline": stored.headline, "engine": {"version": stored.version}},
        "now": {"verdict": now.verdict.verdict, "headline": now.headline},
        "rules": rules_json(rechecked.edition),
        "differences": [
            {"part": each.part, "where": each.where, "stated": each.stated, "now": each.now}
            for each in rechecked.differences
        ],
        "notes": list(rechecked.notes),
        "under": None if rechecked.under is None else {
            "different": rechecked.under.differs, **replayed_json(rechecked.under)
        },
    }  # fmt: skip
