"""The frame of every HTML page: one file that needs nothing else. No font, no picture, nothing fetched; no script but
those of our own that a page is given.

The policy names the page's own style and scripts by their digests and allows nothing besides, so that text which came
to act after all would have nothing to act with.
"""

from __future__ import annotations

import base64
import hashlib
import html
import re
from collections.abc import Iterable, Iterator, Sequence

from ..lang.problem import visible

STYLE = """
:root { color-scheme: light; }
body { margin: 0; background: #fff; color: #1a1a1a; font: 1rem/1.5 Georgia, "Times New Roman", serif; }
header, main, footer { max-width: 46rem; margin: 0 auto; padding: 0 1.25rem; }
h1, h2, h3, h4, nav, dt, th, caption { font-family: system-ui, "Helvetica Neue", Arial, sans-serif; }
h1 { font-size: 1.7rem; line-height: 1.2; margin: 2rem 0 1rem; overflow-wrap: anywhere; }
h2 { font-size: 1.3rem; line-height: 1.25; margin: 3rem 0 1rem; padding-top: .5rem; border-top: 3px solid #1a1a1a;
  overflow-wrap: anywhere; }
h3 { font-size: 1.02rem; line-height: 1.3; margin: 1.75rem 0 .4rem; overflow-wrap: anywhere; }
nav ul { padding-left: 1.2rem; }
a { color: #003f8a; }
a:focus-visible, .wide:focus-visible { outline: 3px solid #003f8a; outline-offset: 2px; }
dl { margin: 0; }
dl > div { display: grid; grid-template-columns: 8.5rem 1fr; gap: 0 .9rem; padding: .12rem 0; }
dt { font-size: .8rem; line-height: 1.9; color: #555; overflow-wrap: anywhere; }
dd { margin: 0; overflow-wrap: anywhere; }
code { font: .82rem/1.5 ui-monospace, Consolas, monospace; color: #444; }
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
  h2, h3, h4, caption, thead { break-after: avoid; }
  tr, dl > div { break-inside: avoid; }
  dl > div { grid-template-columns: 3.2cm 1fr; }
  .wide { overflow: visible; }
}
"""
"""What all pages look like. Text on white has a contrast of at least 4.5 to 1."""


def document(
    title: str, header: Iterable[str], main: Iterable[str], footer: Iterable[str], *, style: str = "",
    skip: tuple[str, str] = ("main", "To the content"), scripts: Sequence[str] = (),
    data: Sequence[tuple[str, str]] = (),
) -> Iterator[str]:  # fmt: skip
    """The page, line by line: ``header``, ``main`` and ``footer`` are lines of HTML, ``title`` is text, and ``style``
    follows the common one. ``skip`` has the id of the main part, and what the link to it says. ``scripts`` are our own
    and run at the end of the page; ``data`` has JSON for them, each by the id of the element that holds it."""
    whole = STYLE + style
    at, said = skip
    yield "<!DOCTYPE html>"
    yield '<html lang="en">'
    yield "<head>"
    yield '<meta charset="utf-8">'
    yield f'<meta http-equiv="Content-Security-Policy" content="{policy(whole, scripts)}">'
    yield '<meta name="viewport" content="width=device-width, initial-scale=1">'
    yield f"<title>{text(title)}</title>"
    yield f"<style>{whole}</style>"
    yield "</head>"
    yield "<body>"
    yield f'<a class="skip" href="#{at}">{text(said)}</a>'
    yield "<header>"
    yield from header
    yield "</header>"
    yield f'<main id="{at}">'
    yield from main
    yield "</main>"
    yield "<footer>"
    yield from footer
    yield "</footer>"
    for id, value in data:
        yield f'<script type="application/json" id="{id}">{json_text(value)}</script>'
    for script in scripts:
        assert "</script" not in script.lower() and "<!--" not in script, "a script would end where it should not"
        yield f"<script>{script}</script>"
    yield "</body>"
    yield "</html>"


def policy(style: str, scripts: Sequence[str] = ()) -> str:
    """A content security policy that lets in this style, these scripts and nothing else, and nowhere to go."""
    run = f" script-src {' '.join(map(_digest, scripts))};" if scripts else ""
    return f"default-src 'none';{run} style-src {_digest(style)}; base-uri 'none'; form-action 'none'"


def _digest(part: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(part.encode()).digest()).decode()}'"


def json_text(value: str) -> str:
    """JSON that stays text inside of a script element: nothing in it can open or end one."""
    return value.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


def text(said: str) -> str:
    """Text from a file that stays text, in an element or in an attribute with quotes."""
    return html.escape(visible(said))


def css_text(said: str) -> str:
    """Text from a file as a string of CSS with its quotes: what is neither letter nor digit is written by number."""
    return '"{}"'.format(re.sub(r"[^A-Za-z0-9]", lambda found: f"\\{ord(found.group()):x} ", visible(said)))


def running(top: str, foot: str, name: str | None = None) -> str:
    """Style: what stands at the top and the foot of each page in print, where the reader of the page knows how. With a
    ``name`` it is so for the part of that class only."""
    page = "@page" if name is None else f"@page {name}"
    font = "font: 7pt system-ui, Arial, sans-serif; color: #444"
    named = "" if name is None else f"@media print {{ .{name} {{ page: {name}; }} }}\n"
    return (
        f"{page} {{\n"
        f"  @top-left {{ content: {css_text(top)}; {font}; }}\n"
        f'  @top-right {{ content: "page " counter(page) " of " counter(pages); {font}; }}\n'
        f"  @bottom-left {{ content: {css_text(foot)}; {font}; }}\n"
        f"}}\n{named}"
    )


def contents(links: Iterable[tuple[str, str]], label: str = "Contents") -> Iterator[str]:
    """A list of places on the page: of each its id and its text."""
    yield f'<nav aria-label="{text(label)}">'
    yield "<ul>"
    for at, said in links:
        yield f'<li><a href="#{at}">{text(said)}</a></li>'
    yield "</ul>"
    yield "</nav>"


def facts(said: Iterable[tuple[str, str]]) -> Iterator[str]:
    """Labels, each with what it says, HTML already."""
    yield "<dl>"
    for label, says in said:
        yield f"<div><dt>{text(label)}</dt><dd>{says}</dd></div>"
    yield "</dl>"


def table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]], keys: int = 1) -> Iterator[str]:
    """A table that scrolls where it is too wide. The first ``keys`` cells of a row are heads of it; all is text."""
    yield f'<div class="wide" role="group" tabindex="0" aria-label="{text(caption)}">'
    yield "<table>"
    yield f"<caption>{text(caption)}</caption>"
    above = "".join(f'<th scope="col">{text(head)}</th>' for head in heads)
    yield f"<thead><tr>{above}</tr></thead>"
    yield "<tbody>"
    for row in rows:
        cells = (
            f'<th scope="row">{text(cell)}</th>' if i < keys else f"<td>{text(cell)}</td>"
            for i, cell in enumerate(row)
        )
        yield f"<tr>{''.join(cells)}</tr>"
    yield "</tbody>"
    yield "</table>"
    yield "</div>"
