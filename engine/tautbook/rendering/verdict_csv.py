"""Verdicts as rows of a spreadsheet, one for each record."""

from __future__ import annotations

from .. import __version__
from ..explaining.explain import Explanation
from ..shape.shaped import text_at
from .csv_text import cell, csv_row

_HEAD = (
    "record", "file", "procedure", "tested", "job", "verdict", "could be", "headline", "advisory", "demonstration",
    "waived", "set aside", "decided by", "found", "next", "edition", "edition digest", "enacted",
    "record digest", "tautbook",
)  # fmt: skip
_YES = {True: "yes", False: "no"}


def verdicts_head() -> str:
    """The row with what the columns are."""
    return csv_row(_HEAD)


def verdict_row(explanation: Explanation) -> str:
    """One record. What several requirements say stands in one cell, a line each. Of a record that passes all
    requirements of acceptance decide, and what was found of each is in its whole report."""
    verdict = explanation.verdict
    record, edition = verdict.record, verdict.edition
    told = () if verdict.verdict == "pass" else explanation.deciding
    return csv_row([
        cell(record.id), cell(record.file), cell(record.procedure), cell(text_at(record.shaped, "tested") or ""),
        cell(text_at(record.shaped, "job") or ""), cell(verdict.verdict), cell(*verdict.could_be),
        cell(explanation.headline), cell(_YES[explanation.advisory]), cell(_YES[explanation.demonstration]),
        cell(str(explanation.waived)), cell(str(len(verdict.observed.set_aside))),
        cell(*dict.fromkeys(each.finding.id for each in explanation.deciding)),
        cell(*(f"{each.finding.id}: {each.sentence}" for each in told)),
        cell(*dict.fromkeys(each.next for each in told if each.next)),
        cell(edition.name), cell(edition.digest), cell("draft" if edition.enacted is None else str(edition.enacted.on)),
        cell(record.digest), cell(__version__),
    ])  # fmt: skip
