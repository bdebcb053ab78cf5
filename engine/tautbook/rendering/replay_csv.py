"""Records under two editions, as rows of a spreadsheet: one for each record that comes out differently."""

from __future__ import annotations

from ..comparing.replay import Replayed, Says
from ..editions.edition import Edition
from .csv_text import cell, csv_row
from .replay_text import outcome_words

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
        cell(*([_said(each.requirement, each.old) for each in deciding] or [replayed.old.headline])),
        cell(*([_said(each.requirement, each.new) for each in deciding] or [replayed.new.headline])),
    ])  # fmt: skip


def _named(edition: Edition) -> str:
    return edition.name if edition.enacted is not None else f"{edition.name} (draft)"


def _said(requirement: str, says: Says | None) -> str:
    return f"{requirement}: {'no such finding' if says is None else f'{outcome_words(says)}: {says.sentence}'}"
