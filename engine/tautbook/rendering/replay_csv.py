"""Records under two editions, as rows of a spreadsheet: one for each record that comes out differently."""

from __future__ import annotations

from ..comparing.replay import Decides, Replayed
from ..editions.edition import Edition
from .csv_text import cell, csv_row
from .replay_text import outcomes

_HEAD = (
    "record", "file", "procedure", "old edition", "new edition", "old verdict", "new verdict", "requirements",
    "old says", "new says",
)  # fmt: skip


def replay_head() -> str:
    """The row with what the columns are."""
    return csv_row(_HEAD)


def replayed_row(replayed: Replayed, old: Edition, new: Edition) -> str:
    """One record. What an edition finds by several requirements stands in one cell, a line each."""
    record, deciding = replayed.record, replayed.deciding
    return csv_row([
        cell(record.id), cell(record.file), cell(record.procedure), cell(_named(old)), cell(_named(new)),
        cell(replayed.old.words), cell(replayed.new.words),
        cell(*dict.fromkeys(each.requirement for each in deciding)),
        cell(*([_said(each)[0] for each in deciding] or [replayed.old.headline])),
        cell(*([_said(each)[1] for each in deciding] or [replayed.new.headline])),
    ])  # fmt: skip


def _named(edition: Edition) -> str:
    return edition.name if edition.enacted is not None else f"{edition.name} (draft)"


def _said(decides: Decides) -> list[str]:
    """What both editions find by a requirement."""
    return [
        f"{decides.requirement}: {said}{'' if says is None else f': {says.sentence}'}"
        for said, says in zip(outcomes(decides), (decides.old, decides.new), strict=True)
    ]
