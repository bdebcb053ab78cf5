"""A table of an edition as a table on the page."""

from __future__ import annotations

from ..explaining.provisions import cell_text
from ..explaining.provisions_stated import TableStated
from ..lang.kernel import Cell
from .provisions_blocks import Grid

_MOST_COLUMNS = 8


def grid(stated: TableStated) -> Grid:
    """The last key down the page, the one before it across, as printed tables mostly are; any other keys down as well.

    A table with too many columns for a page has a row for each figure.
    """
    table = stated.table
    across = list(dict.fromkeys(cell.keys[-2] for cell in table.cells.values())) if len(table.axes) > 1 else []
    cells = {cell.keys: _cell(cell, stated) for cell in table.cells.values()}
    if not across or len(across) > _MOST_COLUMNS:
        rows = tuple((*keys, text) for keys, text in cells.items())
        return Grid(stated.title, (*stated.axes, stated.title), rows, len(table.axes))
    *others, column, row = stated.axes
    down = dict.fromkeys((*keys[:-2], keys[-1]) for keys in cells)
    rows = tuple(
        (*keys, *(cells.get((*keys[:-1], head, keys[-1]), "no figure") for head in across)) for keys in down
    )
    return Grid(stated.title, (*others, row, *(f"{column} {head}" for head in across)), rows, len(table.axes) - 1)


def _cell(cell: Cell, stated: TableStated) -> str:
    layer = stated.cell_layers.get(cell.keys)
    return f"{cell_text(cell)}{'' if layer is None else f' [{layer}]'}"
