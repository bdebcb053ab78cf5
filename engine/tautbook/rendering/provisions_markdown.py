"""Blocks -> Markdown with GitHub's tables."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..explaining.prose_tree import lines
from .provisions_blocks import Block, Fact, Facts, Grid, Heading
from .verdict_markdown import code, inert


def provisions_markdown(blocks: Iterable[Block]) -> str:
    return "\n\n".join(_block(block) for block in blocks) + "\n"


def _block(block: Block) -> str:
    match block:
        case Heading(level=level, text=text):
            return f"{'#' * level} {inert(text)}"
        case Facts(items=items):
            return "\n".join(line for item in items for line in _fact(item))
        case Grid():
            heads = ["---"] * len(block.heads)
            return "\n".join(_row(row) for row in ([*map(inert, block.heads)], heads, *_rows(block)))


def _rows(grid: Grid) -> Iterator[list[str]]:
    for row in grid.rows:
        yield [f"**{inert(cell)}**" if i < grid.keys else inert(cell) for i, cell in enumerate(row)]


def _row(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"


def _fact(fact: Fact) -> Iterator[str]:
    """An item of a list, its points below it."""
    for line in lines(fact.says):
        text = code(line.text) if fact.code else inert(line.text)
        lead = f"**{inert(fact.label)}**:" if line.depth == 0 else inert(line.label)
        yield f"{'  ' * line.depth}- {lead} {text}"
