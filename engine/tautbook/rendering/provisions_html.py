"""Blocks -> one HTML page that needs nothing else: no script, no font, no picture, nothing fetched."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ..explaining.prose_tree import Line, lines
from .page import contents, document, table, text
from .provisions_blocks import Block, Fact, Facts, Grid, Heading

_STYLE = """
dl > div.main dd { font-size: 1.05rem; }
ul.points { list-style: none; margin: .15rem 0; padding-left: 0; }
ul.points ul.points { padding-left: 1.2rem; }
ul.points .n { font-family: system-ui, Arial, sans-serif; font-size: .85rem; color: #555; }
"""
_MAIN = frozenset({"set-up", "acceptance", "advice", "is", "figure"})


def provisions_html(blocks: Iterable[Block], footer: str) -> str:
    """The page. ``footer`` says by what it was made."""
    parts = list(blocks)
    title = next((each.text for each in parts if isinstance(each, Heading)), "")
    heads = [each.text for each in parts if isinstance(each, Heading) and each.level == 2]
    header = [
        f"<h1>{text(title)}</h1>", *contents((f"part-{number}", head) for number, head in enumerate(heads, 1))
    ]  # fmt: skip
    page = document(
        title, header, _sections(parts), [f"<p>{text(footer)}</p>"], style=_STYLE,
        skip=("provisions", "To the provisions"),
    )  # fmt: skip
    return "\n".join(page) + "\n"


def _sections(blocks: Iterable[Block]) -> Iterator[str]:
    number = 0
    for block in blocks:
        match block:
            case Heading(level=1):
                continue
            case Heading(level=2, text=said):
                if number:
                    yield "</section>"
                number += 1
                yield f'<section aria-labelledby="part-{number}">'
                yield f'<h2 id="part-{number}">{text(said)}</h2>'
            case Heading(text=said):
                yield f"<h3>{text(said)}</h3>"
            case Facts(items=items):
                yield "<dl>"
                for item in items:
                    yield from _fact(item)
                yield "</dl>"
            case Grid():
                yield from table(block.caption, block.heads, block.rows, block.keys)
    if number:
        yield "</section>"


def _fact(fact: Fact) -> Iterator[str]:
    first, *points = lines(fact.says)
    says = f"<code>{text(first.text)}</code>" if fact.code else text(first.text)
    main = ' class="main"' if fact.label.split(",")[0] in _MAIN else ""
    yield f"<div{main}><dt>{text(fact.label)}</dt><dd>{says}{''.join(_points(points, 1))}</dd></div>"


def _points(points: Sequence[Line], depth: int) -> Iterator[str]:
    """The points of one depth as a list, each with those below it."""
    if not points:
        return
    yield '<ul class="points">'
    starts = [i for i, line in enumerate(points) if line.depth == depth]
    for start, end in zip(starts, [*starts[1:], len(points)], strict=True):
        line = points[start]
        yield f'<li><span class="n">{text(line.label)}</span> {text(line.text)}'
        yield from _points(points[start + 1 : end], depth + 1)
        yield "</li>"
    yield "</ul>"
