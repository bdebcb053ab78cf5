"""Scales -> tables whose rows have a line drawn in SVG, with the figure beside it.

Places are percentages, so that a line fits any width and no mark is ever stretched. What a line shows is in its shape:
a dot holds, a ring is exactly at the limit, a cross does not hold. What is not allowed is shaded. The words beside say
the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ..lang.number import about, exact
from .page import text
from .verdict_html_scales import Limit, Mark, Scale, day_at

STYLE = """
.scales { display: grid; grid-template-columns: 1fr; gap: 0 2rem; }
table.scale { width: 100%; table-layout: fixed; margin: .6rem 0 1rem; break-inside: avoid; }
table.scale caption { color: #1a1a1a; padding-bottom: .15rem; }
table.scale caption span { display: block; font-weight: 400; color: #444; }
table.scale th, table.scale td { border: 0; padding: 0 .5rem 0 0; vertical-align: middle; line-height: 1.25;
  overflow-wrap: anywhere; }
table.scale th { font-weight: 400; }
table.scale thead th { font-size: .75rem; color: #555; border-bottom: 1px solid #bbb; }
table.scale tfoot td { font-size: .75rem; color: #555; }
table.scale .item { width: 17%; }
table.scale .line { width: 40%; }
table.scale td.line { padding: 0 .6rem 0 0; }
table.scale td.read { font-size: .85rem; padding: .1rem 0; }
table.scale td.read b { font-family: system-ui, "Helvetica Neue", Arial, sans-serif; }
svg { display: block; overflow: visible; }
svg text { font: .72rem system-ui, "Helvetica Neue", Arial, sans-serif; fill: #333; }
svg text.limit { font-weight: 700; fill: #000; }
@media (max-width: 34rem) {
  table.scale .item { width: 24%; }
  table.scale .line { width: 36%; }
}
@media print { .scales { grid-template-columns: 1fr; } }
"""
_HEIGHT = 24
_EDGES = Fraction(6, 100)
"""Free at both ends of a line, so that no figure below it is cut."""
_NEAR = Fraction(1, 4)
"""A figure of the scale that is nearer than this to one of a limit would run into it."""


def scale_table(scale: Scale, title: str) -> Iterator[str]:
    """One scale under ``title``: a row for each reading, below them the figures of the scale."""
    limits = dict.fromkeys(limit.asks for limit in scale.common)
    named = any(mark.label != scale.what for mark in scale.marks)
    said = f"{scale.what}: {'; '.join(limits)}" if limits else f"{scale.what}; the limits differ from row to row"
    yield '<table class="scale">'
    yield f"<caption><b>{text(title)}</b><span>{text(said)}</span></caption>"
    head = next((mark.label.rpartition(" ")[0] for mark in scale.marks), "") if named else "reading"
    yield "<thead><tr>"
    yield f'<th scope="col" class="item">{text(head)}</th>'
    unit = f"scale in {scale.unit}" if scale.unit else "scale"
    yield f'<th scope="col" class="line">{text(unit)}</th>'
    yield '<th scope="col" class="read">read, outcome</th>'
    yield "</tr></thead>"
    yield "<tbody>"
    for mark in scale.marks:
        yield f'<tr><th scope="row" class="item">{text(mark.label)}</th>'
        yield f'<td class="line">{"".join(_line(mark, scale))}</td>'
        strong = text(mark.said) if mark.held == "met" and not mark.tie else f"<b>{text(mark.said)}</b>"
        beside = "" if scale.common else f" ({mark.telling.asks})"
        yield f'<td class="read">{text(mark.read)}: {strong}{text(beside)}</td></tr>'
    yield "</tbody>"
    yield f'<tfoot><tr><td></td><td class="line">{"".join(_figures(scale))}</td><td></td></tr></tfoot>'
    yield "</table>"


def _line(mark: Mark, scale: Scale) -> Iterator[str]:
    yield f'<svg role="img" width="100%" height="{_HEIGHT}">'
    yield f"<title>{text(f'{mark.label}: {mark.told}')}</title>"
    yield f"<desc>{text(_described(mark, scale))}</desc>"
    for limit in mark.limits:
        start, end = (Fraction(0), _x(limit.at, scale)) if limit.least else (_x(limit.at, scale), Fraction(1))
        yield f'<rect x="{_at(start)}" y="0" width="{_at(end - start)}" height="{_HEIGHT}" fill="#e2e2e2"/>'
    middle = _HEIGHT // 2
    yield f'<line x1="0%" x2="100%" y1="{middle}" y2="{middle}" stroke="#777" stroke-width="1"/>'
    for limit in mark.limits:
        x = _at(_x(limit.at, scale))
        yield f'<line x1="{x}" x2="{x}" y1="0" y2="{_HEIGHT}" stroke="#000" stroke-width="2"/>'
    if mark.at is not None:
        yield from _sign(mark, scale, middle)
    yield "</svg>"


def _sign(mark: Mark, scale: Scale, middle: int) -> Iterator[str]:
    """The margin as a bar from the limit, and the mark of the reading."""
    assert mark.at is not None
    x = _x(mark.at, scale)
    if not mark.tie:
        dashed = "" if mark.held == "met" else ' stroke-dasharray="3 3"'
        yield (f'<line x1="{_at(_x(mark.telling.at, scale))}" x2="{_at(x)}" y1="{middle}" y2="{middle}" stroke="#000"'
               f' stroke-width="3"{dashed}/>')  # fmt: skip
    if mark.held == "met" and not mark.tie:
        yield f'<circle cx="{_at(x)}" cy="{middle}" r="5" fill="#000"/>'
    elif mark.held == "met":
        yield f'<circle cx="{_at(x)}" cy="{middle}" r="6" fill="#fff" stroke="#000" stroke-width="3"/>'
    else:
        # A nested picture has its own origin: the strokes of a cross need places in pixels around the reading.
        yield f'<svg x="{_at(x)}" y="{middle}" width="1" height="1" aria-hidden="true">'
        for colour, width in (("#fff", 7), ("#000", 3)):
            yield f'<path d="M-6 -6 L6 6 M-6 6 L6 -6" stroke="{colour}" stroke-width="{width}" fill="none"/>'
        yield "</svg>"


def _described(mark: Mark, scale: Scale) -> str:
    where = f"a scale from {_figure(scale.low)} to {_figure(scale.high)} {scale.unit}".rstrip()
    if scale.days:
        where = f"a scale of days from {day_at(scale.low)} to {day_at(scale.high)}"
    shaded = " and ".join(f"{'below' if limit.least else 'above'} {limit.said}" for limit in mark.limits)
    return f"{where}, shaded {shaded}; {f'the reading is {mark.said}' if mark.at is not None else 'no reading'}"


def _figures(scale: Scale) -> Iterator[str]:
    """The figures of the scale, the limits in bold. A reader who does not see them has them in every row."""
    yield '<svg width="100%" height="18" aria-hidden="true">'
    taken: list[Fraction] = []
    for limit in _apart(scale.common):
        x = _x(limit.at, scale)
        if all(abs(x - other) >= _NEAR for other in taken):
            yield _text_at(x, _number(limit.said, scale.unit), ' class="limit"')
        taken.append(x)
    for tick in scale.ticks:
        x = _x(tick, scale)
        yield f'<line x1="{_at(x)}" x2="{_at(x)}" y1="0" y2="4" stroke="#777"/>'
        if all(abs(x - other) >= _NEAR for other in taken):
            yield _text_at(x, _figure(tick), "")
    yield "</svg>"


def _apart(limits: tuple[Limit, ...]) -> list[Limit]:
    return list({limit.at: limit for limit in limits}.values())


def _text_at(x: Fraction, said: str, attributes: str) -> str:
    return f'<text x="{_at(x)}" y="15" text-anchor="middle"{attributes}>{text(said)}</text>'


def _number(said: str, unit: str) -> str:
    return said.removesuffix(f" {unit}") if unit else said


def _figure(value: Fraction) -> str:
    found = exact(value)
    return found if len(found) <= 6 else about(value, 3)


def _x(at: Fraction, scale: Scale) -> Fraction:
    return _EDGES + scale.place(at) * (1 - 2 * _EDGES)


def _at(x: Fraction) -> str:
    hundredths = round(x * 10_000)
    return f"{hundredths // 100}.{hundredths % 100:02d}%"
