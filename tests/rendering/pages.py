"""HTML pages as they are read: elements with what they hold, held to what every page of ours must be."""

from __future__ import annotations

import base64
import hashlib
import re
from functools import cached_property
from html.parser import HTMLParser
from itertools import pairwise

VOID = frozenset({"meta", "link", "br", "img", "input"})
ELEMENTS = {
    "html", "head", "meta", "title", "style", "body", "a", "header", "nav", "main", "footer", "section", "article",
    "h1", "h2", "h3", "h4", "p", "b", "br", "ul", "ol", "li", "dl", "div", "dt", "dd", "code", "pre", "span", "table",
    "caption", "thead", "tbody", "tfoot", "tr", "th", "td",
    "svg", "desc", "line", "rect", "circle", "path", "text",
}  # fmt: skip
"""Nothing that runs, loads or sends."""
ATTRIBUTES = {
    "lang", "charset", "http-equiv", "content", "name", "class", "href", "id", "aria-label", "aria-labelledby",
    "aria-hidden", "role", "tabindex", "scope",
    "width", "height", "x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r", "d", "fill", "stroke", "stroke-width",
    "stroke-dasharray", "text-anchor",
}  # fmt: skip


class Page(HTMLParser):
    """A page read strictly: what is opened is closed in its order."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None], tuple[str, ...]]] = []
        """Each element with its attributes and those that it stands in."""
        self._texts: list[str] = []
        self._held: list[tuple[int, int]] = []
        """Of each element, in the order of ``elements``, where the text in it and below begins and ends."""
        self._at: list[int] = []

    @classmethod
    def read(cls, page: str) -> Page:
        found = cls()
        found.feed(page)
        found.close()
        assert found.open == []
        return found

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len({name for name, _ in attrs}) == len(attrs), tag
        self.elements.append((tag, dict(attrs), tuple(self.open)))
        self._held.append((len(self._texts), len(self._texts)))
        if tag not in VOID:
            self.open.append(tag)
            self._at.append(len(self.elements) - 1)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag, tag
        at = self._at.pop()
        self._held[at] = self._held[at][0], len(self._texts)

    def handle_data(self, data: str) -> None:
        self._texts.append(data)

    def handle_comment(self, data: str) -> None:
        raise AssertionError(data)

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for name, attrs, _ in self.elements if name == tag]

    def said(self, tag: str) -> list[str]:
        """The text of each such element, with what is below it."""
        held = [at for (name, _, _), at in zip(self.elements, self._held, strict=True) if name == tag]
        return ["".join(self._texts[start:end]) for start, end in held]

    @cached_property
    def text(self) -> str:
        """All that is to be read on it, white space taken together."""
        return " ".join(" ".join(self.said("body")).split())


def held_to(text: str) -> Page:
    """The page, which is one for everybody and needs nothing else: well-formed, landmarks, headings in order, tables
    with captions and heads, drawings with titles, no script, nothing fetched, its style allowed by digest."""
    page = Page.read(text)
    tags = [tag for tag, _, _ in page.elements]
    assert set(tags) <= ELEMENTS, set(tags) - ELEMENTS
    names = {name for _, attrs, _ in page.elements for name in attrs}
    assert names <= ATTRIBUTES, names - ATTRIBUTES
    assert page.all("html") == [{"lang": "en"}]
    assert all(tags.count(once) == 1 for once in ("main", "header", "footer", "h1", "style", "head", "body"))
    levels = [int(tag[1]) for tag in tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1 and all(below - above <= 1 for above, below in pairwise(levels))
    assert tags.count("table") == tags.count("caption") == tags.count("thead")
    assert all(attrs.get("scope") in ("col", "row") for attrs in page.all("th"))
    assert all(said.strip() for tag in ("th", "h1", "h2", "h3", "h4", "caption", "title") for said in page.said(tag))
    ids = [attrs["id"] for _, attrs, _ in page.elements if "id" in attrs]
    assert len(set(ids)) == len(ids)
    named = {attrs["aria-labelledby"] for _, attrs, _ in page.elements if "aria-labelledby" in attrs}
    assert {f"#{id}" for id in ids} >= {attrs["href"] for attrs in page.all("a")} and named <= set(ids)
    drawings = [i for i, (tag, attrs, _) in enumerate(page.elements) if tag == "svg" and attrs.get("role") == "img"]
    assert all([tag for tag, _, _ in page.elements[i + 1 : i + 3]] == ["title", "desc"] for i in drawings)
    style = text.partition("<style>")[2].partition("</style>")[0]
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policies = [attrs["content"] for attrs in page.all("meta") if attrs.get("http-equiv") == "Content-Security-Policy"]
    assert policies == [f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"]
    assert not re.search(r"url\(|@import|expression\(|<", style)
    return page


def contrast(colour: str) -> float:
    """How far a colour such as ``#555`` stands out on white, as WCAG 2 reckons."""
    digits = colour.removeprefix("#")
    full = digits if len(digits) == 6 else "".join(2 * digit for digit in digits)
    parts = [int(full[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 1.05 / (0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2] + 0.05)
