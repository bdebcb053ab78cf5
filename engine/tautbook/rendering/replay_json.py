"""Records under two editions, as JSON: how many came out how, and each that comes out differently, with its reasons."""

from __future__ import annotations

from typing import Any

from ..comparing.replay import Counts, Replayed, Says, Side
from ..editions.edition import Edition
from .parts_json import engine_json, rules_json


def replay_json(counts: Counts, old: Edition, new: Edition) -> dict[str, Any]:
    """The object that ``schemas/replay.schema.json`` describes, but for its ``records``, which follow one by one."""
    return {
        "from": rules_json(old),
        "to": rules_json(new),
        "engine": engine_json(),
        "counts": {
            "judged": counts.judged,
            "different": counts.different,
            "same": counts.same,
            "same_for_other_reasons": counts.other_reasons,
            "not_used": counts.not_used,
            "pairs": [
                {"from": was, "to": now, "records": number} for (was, now), number in sorted(counts.pairs.items())
            ],
        },
    }


def replayed_json(replayed: Replayed) -> dict[str, Any]:
    """One record that comes out differently."""
    record = replayed.record
    return {
        "id": record.id,
        "file": record.file,
        "procedure": record.procedure,
        "digest": record.digest,
        "from": _side(replayed.old),
        "to": _side(replayed.new),
        "deciding": [
            {"requirement": each.requirement, "title": each.title, "item": each.item,
             "from": _says(each.old), "to": _says(each.new)}
            for each in replayed.deciding
        ],
    }  # fmt: skip


def _side(side: Side) -> dict[str, Any]:
    return {"verdict": side.verdict, "advisory": side.advisory, "headline": side.headline}


def _says(says: Says | None) -> dict[str, Any] | None:
    if says is None:
        return None
    return {
        "kind": says.kind, "outcome": says.outcome, "voided": says.voided, "clause": says.clause,
        "sentence": says.sentence,
    }  # fmt: skip
