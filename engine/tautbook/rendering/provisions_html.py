"""Blocks -> one HTML page that needs nothing else: no script, no font, no picture, nothing fetched."""

from __future__ import annotations

import html
from collections.abc import Iterable, Iterator, Sequence

from ..explaining.prose_tree import Line, lines
from ..lang.problem import visible
from .provisions_blocks import Block, Fact, Facts, Grid, Heading

_STYLE = """
:root { color-scheme: light; }
body { margin: 0; background: #fff; color: #1a1a1a; font: 1rem/1.5 Georgia, "Times New Roman", serif; }
header, main, footer { max-width: 46rem; margin: 0 auto; padding: 0 1.25rem; }
h1, h2, h3, nav, dt, th, caption { font-family: system-ui, "Helvetica Neue", Arial, sans-serif; }
h1 { font-size: 1.7rem; line-height: 1.2; margin: 2rem 0 1rem; }
h2 { font-size: 1.3rem; line-height: 1.25; margin: 3rem 0 1rem; padding-top: .5rem; border-top: 3px solid #1a1a1a; }
h3 { font-size: 1.02rem; line-height: 1.3; margin: 1.75rem 0 .4rem; }
nav ul { padding-left: 1.2rem; }
a { color: #003f8a; }
a:focus-visible, .wide:focus-visible { outline: 3px solid #003f8a; outline-offset: 2px; }
dl { margin: 0; }
dl > div { display: grid; grid-template-columns: 8.5rem 1fr; gap: 0 .9rem; padding: .12rem 0; }
dt { font-size: .8rem; line-height: 1.9; color: #555; }
dd { margin: 0; overflow-wrap: anywhere; }
dl > div.main dd { font-size: 1.05rem; }
code { font: .82rem/1.5 ui-monospace, Consolas, monospace; color: #444; }
ul.points { list-style: none; margin: .15rem 0; padding-left: 0; }
ul.points ul.points { padding-left: 1.2rem; }
ul.points .n { font-family: system-ui, Arial, sans-serif; font-size: .85rem; color: #555; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; margin: .4rem 0 .8rem; font-variant-numeric: tabular-nums; }
caption { text-align: left; font-size: .85rem; color: #555; padding-bottom: .3rem; }
th, td { text-align: left; padding: .2rem 1.1rem .2rem 0; border-bottom: 1px solid #bbb; vertical-align: top; }
th { font-size: .85rem; font-weight: 600; }
thead th { border-bottom: 2px solid #1a1a1a; vertical-align: bottom; }
footer { font-size: .85rem; color: #555; margin: 3rem auto 2rem; }
.skip { position: absolute; left: -99rem; }
.skip:focus { left: 1rem; top: 1rem; background: #fff; padding: .5rem; }
@media (max-width: 34rem) {
  dl > div { grid-template-columns: 1fr; padding: .3rem 0; }
  dt { line-height: 1.3; }
}
@media print {
  @page { margin: 18mm; }
  html { font-size: 9.5pt; }
  body { line-height: 1.35; }
  dt { line-height: 1.6; }
  dl > div { padding: 0; }
  h2 { margin-top: 1.8rem; }
  h3 { margin-top: 1rem; }
  header, main, footer { max-width: none; padding: 0; }
  nav, .skip { display: none; }
  h2, h3, thead { break-after: avoid; }
  tr, dl > div { break-inside: avoid; }
  dl > div { grid-template-columns: 3.2cm 1fr; }
  .wide { overflow: visible; }
}
"""
_MAIN = frozenset({"set-up", "acceptance", "advice", "is", "figure"})


def provisions_html(blocks: Iterable[Block], footer: str) -> str:
    """The page. ``footer`` says by what it was made."""
    parts = list(blocks)
    title = next((each.text for each in parts if isinstance(each, Heading)), "")
    heads = [each.text for each in parts if isinstance(each, Heading) and each.level == 2]
    return "\n".join([*_top(title, heads), *_sections(parts), *_bottom(footer)]) + "\n"


def _top(title: str, heads: Sequence[str]) -> Iterator[str]:
    yield "<!DOCTYPE html>"
    yield '<html lang="en">'
    yield "<head>"
    yield '<meta charset="utf-8">'
    yield "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
    yield '<meta name="viewport" content="width=device-width, initial-scale=1">'
    yield f"<title>{_text(title)}</title>"
    yield f"<style>{_STYLE}</style>"
    yield "</head>"
    yield "<body>"
    yield '<a class="skip" href="#provisions">To the provisions</a>'
    yield "<header>"
    yield f"<h1>{_text(title)}</h1>"
    yield '<nav aria-label="Contents">'
    yield "<ul>"
    for number, head in enumerate(heads, 1):
        yield f'<li><a href="#part-{number}">{_text(head)}</a></li>'
    yield "</ul>"
    yield "</nav>"
    yield "</header>"
    yield '<main id="provisions">'


def _sections(blocks: Iterable[Block]) -> Iterator[str]:
    number = 0
    for block in blocks:
        match block:
            case Heading(level=1):
                continue
            case Heading(level=2, text=text):
                if number:
                    yield "</section>"
                number += 1
                yield f'<section aria-labelledby="part-{number}">'
                yield f'<h2 id="part-{number}">{_text(text)}</h2>'
            case Heading(text=text):
                yield f"<h3>{_text(text)}</h3>"
            case Facts(items=items):
                yield "<dl>"
                for item in items:
                    yield from _fact(item)
                yield "</dl>"
            case Grid():
                yield from _grid(block)
    if number:
        yield "</section>"


def _bottom(footer: str) -> Iterator[str]:
    yield "</main>"
    yield f"<footer><p>{_text(footer)}</p></footer>"
    yield "</body>"
    yield "</html>"


def _fact(fact: Fact) -> Iterator[str]:
    first, *points = lines(fact.says)
    text = f"<code>{_text(first.text)}</code>" if fact.code else _text(first.text)
    main = ' class="main"' if fact.label.split(",")[0] in _MAIN else ""
    yield f"<div{main}><dt>{_text(fact.label)}</dt><dd>{text}{''.join(_points(points, 1))}</dd></div>"


def _points(points: Sequence[Line], depth: int) -> Iterator[str]:
    """The points of one depth as a list, each with those below it."""
    if not points:
        return
    yield '<ul class="points">'
    starts = [i for i, line in enumerate(points) if line.depth == depth]
    for start, end in zip(starts, [*starts[1:], len(points)], strict=True):
        line = points[start]
        yield f'<li><span class="n">{_text(line.label)}</span> {_text(line.text)}'
        yield from _points(points[start + 1 : end], depth + 1)
        yield "</li>"
    yield "</ul>"


def _grid(grid: Grid) -> Iterator[str]:
    yield f'<div class="wide" role="region" tabindex="0" aria-label="{_text(grid.caption)}">'
    yield "<table>"
    yield f"<caption>{_text(grid.caption)}</caption>"
    heads = "".join(f'<th scope="col">{_text(head)}</th>' for head in grid.heads)
    yield f"<thead><tr>{heads}</tr></thead>"
    yield "<tbody>"
    for row in grid.rows:
        cells = (
            f'<th scope="row">{_text(cell)}</th>' if i < grid.keys else f"<td>{_text(cell)}</td>"
            for i, cell in enumerate(row)
        )
        yield f"<tr>{''.join(cells)}</tr>"
    yield "</tbody>"
    yield "</table>"
    yield "</div>"


def _text(text: str) -> str:
    """Text from a file that stays text."""
    return html.escape(visible(text))
