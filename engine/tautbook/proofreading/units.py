"""Tables whose figures are written in more than one unit: a slip, more often than not."""

from __future__ import annotations

from collections.abc import Iterator

from ..lang.kernel import Cell
from ..lang.operations import words
from ..lang.quantity import Quantity
from .galley import Galley
from .report import Finding, remark


def units(copy: Galley) -> Iterator[Finding]:
    """A remark for each table and each unit that fewer of its figures are written in, at the first of these."""
    for name, table in copy.tables.items():
        found: dict[str, list[Cell]] = {}
        for cell in table.cells.values():
            if isinstance(cell.value, Quantity):
                found.setdefault(cell.value.unit.name, []).append(cell)
        if len(found) < 2:
            continue
        usual = max(found, key=lambda unit: len(found[unit]))
        for unit, cells in found.items():
            if unit == usual:
                continue
            first, more = cells[0], len(cells) - 1
            others = f", and {more} more like it," if more else ""
            message = f"`{words(first.value)}` for {', '.join(first.keys)} in table `{name}`{others} stands in {unit}"
            message += f", and {len(found[usual])} of its figures in {usual}"
            at = first.span or copy.place("tables", name)
            yield remark("tables", "mixed-units", message, at, "compare the unit with the printed page")
