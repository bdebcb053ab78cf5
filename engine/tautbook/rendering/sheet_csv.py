"""An empty table as text: headings, what the form calls them, and a row for each item."""

from __future__ import annotations

from ..records.table import LABELS
from ..sheet.columns import columns_of
from ..sheet.form import Form
from .csv_text import cell, csv_row


def sheet_csv(form: Form) -> str:
    """What ``judge`` reads once it is filled in."""
    columns = columns_of(form)
    head = csv_row(cell(each.heading) for each in columns)
    named = csv_row(cell(text) for text in (LABELS, *(each.label for each in columns[1:])))
    rows = zip(*(each.values for each in columns), strict=True)
    return head + named + "".join(csv_row(map(cell, row)) for row in rows)
