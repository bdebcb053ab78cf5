"""Blocks -> text for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..explaining.prose_tree import lines
from ..lang.problem import visible
from .layout import WIDTH, labelled, paragraph
from .provisions_blocks import Block, Facts, Grid, Heading

_COLUMN = 20


def provisions_text(blocks: Iterable[Block]) -> str:
    return "".join(f"{line}\n" for block in blocks for line in _lines(block)).removeprefix("\n")


def _lines(block: Block) -> Iterator[str]:
    match block:
        case Heading(level=1, text=text):
            yield from paragraph(text, 0)
            yield "=" * min(WIDTH, len(visible(text)))
        case Heading(level=2, text=text):
            yield ""
            yield ""
            yield from paragraph(text, 0)
            yield "-" * min(WIDTH, len(visible(text)))
        case Heading(text=text):
            yield ""
            yield from paragraph(text, 0)
        case Facts(items=items):
            for item in items:
                for line in lines(item.says):
                    if line.depth == 0:
                        yield from labelled(item.label, line.text, column=_COLUMN)
                    else:
                        indent = _COLUMN + 2 * (line.depth - 1)
                        yield from labelled(line.label, line.text, indent, indent + len(line.label) + 1)
        case Grid():
            yield from _grid(block)


def _grid(grid: Grid) -> Iterator[str]:
    rows = [[visible(cell) for cell in row] for row in (grid.heads, *grid.rows)]
    widths = [max(len(row[i]) for row in rows) for i in range(len(grid.heads))]
    for number, row in enumerate(rows):
        yield "  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        if number == 0:
            yield "  " + "  ".join("-" * width for width in widths)
