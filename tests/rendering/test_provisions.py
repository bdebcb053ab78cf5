"""The readable edition: whole ones byte for byte, nothing of an edition left out, each part with its layer."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml
from pytest_regressions.file_regression import FileRegressionFixture

from judging.small import COUNT, LOADED, edition
from rendering.test_markdown import HOSTILE, PLAIN, more_than_text, texts
from tautbook import Shelf
from tautbook.editions.edition import Edition
from tautbook.explaining.prose import sentence, term_sentence
from tautbook.explaining.prose_tree import flat
from tautbook.lang.problem import visible
from tautbook.rendering.shelf import shown, shown_json

ROOT = Path(__file__).parents[2]
RULES = ROOT / "rulesets" / "tern-sound"
SHIPPED = ["2016", "2021", "2025"]


def shipped(year: str) -> Edition:
    return Shelf.default().edition("tern-sound", year)


# Golden files


@pytest.mark.parametrize("year", SHIPPED)
@pytest.mark.parametrize("form", ["text", "markdown", "html"])
def test_an_edition(year: str, form: Any, file_regression: FileRegressionFixture) -> None:
    extension = {"text": ".txt", "markdown": ".md", "html": ".html"}[form]
    file_regression.check(shown(shipped(year), form).encode(), extension=extension, binary=True)


@pytest.mark.parametrize("year", SHIPPED)
def test_the_sentences(year: str, file_regression: FileRegressionFixture) -> None:
    """Only the sentences, to be read against the rules: each has been, by a person."""
    file_regression.check("".join(sentences(shipped(year))).encode(), extension=".txt", binary=True)


def sentences(by: Edition) -> Iterator[str]:
    for procedure in by.procedures.values():
        for each in procedure.requirements:
            yield f"{procedure.id} {each.id}\n  {sentence(each, procedure, by)}\n"
        for name, term in procedure.rules.terms.items():
            if name in by.terms:
                yield f"{procedure.id} term {name}\n  {flat(term_sentence(term.body, procedure.id, by))}\n"


# Nothing is left out


WORDS = {"title", "clause", "note", "why", "otherwise", "watch", "what", "description", "publisher", "year", "standing",
         "within", "also", "rows", "edition"}  # fmt: skip


def said_in(tree: Any, key: str = "") -> Iterator[str]:
    """All that an edition says in words: titles, notes, clauses, figures, names."""
    if isinstance(tree, dict):
        for below, value in tree.items():
            if below in ("amends", "language"):
                continue
            if below == "strike":
                yield from (text for pair in value.items() for text in pair)
                continue
            yield from [str(below)] if key in ("rows", "unless", "requirements", "terms", "tables", "covers") else []
            yield from said_in(value, "rows" if key == "rows" else below)
    elif isinstance(tree, list):
        for value in tree:
            yield from said_in(value, key)
    elif key in WORDS:
        yield str(tree)


@pytest.mark.parametrize("form", ["text", "html"])
@pytest.mark.parametrize("year", SHIPPED)
def test_all_that_an_edition_says_is_shown(year: str, form: Any) -> None:
    page = shown(shipped(year), form)
    seen = " ".join((Page.read(page).text if form == "html" else page).split())
    wanted = set(said_in(yaml.load((RULES / f"{year}.yaml").read_text(), yaml.BaseLoader)))
    assert len(wanted) > 150
    missing = [each for each in wanted if " ".join(each.split()) not in seen]
    assert missing == []


@pytest.mark.parametrize("form", ["text", "markdown", "html", "json"])
def test_each_part_tells_the_layer_it_came_from(form: Any) -> None:
    """By the files: what stands in the amendment is from 2025, all else from 2021."""
    own = yaml.load((RULES / "2025.yaml").read_text(), yaml.BaseLoader)["procedures"]
    by = shipped("2025")
    if form == "json":
        (whole,) = shown_json(by)
        found = {(procedure["id"], each["id"]): each["layer"].removeprefix("tern-sound@")
                 for procedure in whole["provisions"]["procedures"] for each in procedure["requirements"]}  # fmt: skip
    else:
        page = shown(by, form)
        if form == "html":
            page = Page.read(page).text
        seen = " ".join(page.replace("\\", "").replace("`", "").replace("*", "").replace("- ", "").split())
        order = [(procedure.id, each.id) for procedure in by.procedures.values()
                 for each in (*procedure.requirements, *procedure.figures)]  # fmt: skip
        parts = re.findall(r"invented \[tern-sound@(\d+)[^\]]*\] .*?name:? ([a-z0-9-]+)(?: |$)", seen)
        layers = [(name, layer) for layer, name in parts if any(name == id for _, id in order)]
        assert [name for name, _ in layers] == [id for _, id in order]
        # Of a figure and a requirement of one name the requirement stands first.
        found = {key: layer for key, (_, layer) in reversed(list(zip(order, layers, strict=True)))}
    wanted = {
        (procedure.id, each.id): "2025" if each.covers or each.id in own[procedure.id]["requirements"] else "2021"
        for procedure in by.procedures.values() for each in procedure.requirements
    }  # fmt: skip
    found = {key: layer for key, layer in found.items() if key in wanted}
    assert found == wanted and set(wanted.values()) == {"2021", "2025"}


def amended(tmp_path: Path, changes: str) -> Edition:
    """The edition of 2016, amended."""
    base = (RULES / "2016.yaml").read_text().replace("ruleset: tern-sound", "ruleset: small")
    folder = tmp_path / "small"
    folder.mkdir()
    (folder / "2016.yaml").write_text(base)
    digest = Shelf.default(tmp_path).edition("small", "2016").digest
    (folder / "2017.yaml").write_text(
        f'ruleset: small\nedition: "2017"\nlanguage: 1\ntitle: One cell\neffective: {{from: 2017-01-01}}\n'
        f'amends: {{ruleset: small, edition: "2016", digest: {digest}}}\n{changes}'
    )
    return Shelf.default(tmp_path).edition("small", "2017")


def test_a_cell_that_an_amendment_changed_says_so(tmp_path: Path) -> None:
    page = shown(amended(tmp_path, "tables:\n  highest_tension: {cells: {A325: {7/8 in: 52.5 kip}}}\n"), "text")
    assert re.search(r"7/8 in +52\.5 kip \[small@2017\] +66 kip\n", page)
    assert "Table 7-3, ts, invented [small@2016]" in page


EACH_AMENDED = """
strike: {procedures.dti-lot.requirements.head-held: because of a}
sources: {x: {title: X, standing: invented, why: because of b}}
fields: {wind: {title: wind, description: How strong, kind: number, why: because of c}}
tables: {highest_tension: {cells: {A325: {7/8 in: 52.5 kip}}, why: because of d}}
terms: {device_interval: {title: one, is: 1 + 1, why: because of e}}
procedures:
  dti-lot:
    requirements: {gauge: {title: gauge, kind: advice, require: head_held, why: because of f}}
    figures: {of-the-lot: {title: two, is: 1 + 1, why: because of g}}
"""


@pytest.mark.parametrize("form", ["text", "markdown", "html", "json"])
def test_why_an_item_was_amended_stands_where_it_is_printed(form: Any, tmp_path: Path) -> None:
    by = amended(tmp_path, EACH_AMENDED)
    if form == "json":
        (whole,) = shown_json(by)
        schema = json.loads((ROOT / "schemas" / "shelf.schema.json").read_text())
        jsonschema.validate([whole], schema, cls=jsonschema.Draft202012Validator)
        reasons = whole["provisions"]["reasons"]
        assert [each["why"][-1] for each in reasons] == list("bcdefga") and reasons[0]["part"] == ["sources", "x"]
        assert {each["edition"] for each in reasons} == {"small@2017"}
        return
    page = shown(by, form)
    seen = " ".join((Page.read(page).text if form == "html" else page.replace("\\", "").replace("`", "")).split())
    for letter in "abcdefg":
        assert seen.count(f"because of {letter} [small@2017") == 1
    assert "procedures.dti-lot.requirements.head-held: because of a" in seen


@pytest.mark.parametrize("year", SHIPPED)
def test_the_json_is_what_its_schema_describes(year: str) -> None:
    schema = json.loads((ROOT / "schemas" / "shelf.schema.json").read_text())
    jsonschema.validate(shown_json(shipped(year)), schema, cls=jsonschema.Draft202012Validator)


# Pages that stay pages


class Page(HTMLParser):
    """A page as it is read: its elements with what they hold, and its text."""

    VOID = frozenset({"meta", "link", "br", "img", "input"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""

    @classmethod
    def read(cls, page: str) -> Page:
        found = cls()
        found.feed(page)
        found.close()
        assert found.open == []
        return found

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.text += f" {data}"

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for name, attrs in self.elements if name == tag]


ELEMENTS = {"html", "head", "meta", "title", "style", "body", "a", "header", "nav", "main", "footer", "section", "h1",
            "h2", "h3", "p", "ul", "li", "dl", "div", "dt", "dd", "code", "span", "table", "caption", "thead", "tbody",
            "tr", "th", "td"}  # fmt: skip
ATTRIBUTES = {"lang", "charset", "http-equiv", "content", "name", "class", "href", "id", "aria-label",
              "aria-labelledby", "role", "tabindex", "scope"}  # fmt: skip


def hostile() -> Edition:
    """An edition with a text that wants to be more than text wherever it may hold one."""
    required = {
        "load": {**LOADED, "title": HOSTILE, "note": HOSTILE, "otherwise": HOSTILE, "clause": HOSTILE, "watch": HOSTILE,
                 "reading": {"printed": HOSTILE, "read_as": HOSTILE, "why": HOSTILE}, "waivable_by": [HOSTILE],
                 "checked": {"by": HOSTILE, "on": "2020-01-01", "against": HOSTILE},
                 "unless": {"x": {"title": HOSTILE, "clause": HOSTILE, "when": 'specimen.mark = "<b>|*x*"'}}},
        "count": {**COUNT, "require": "specimen.at_verification.refusals <= most[bolt.lot] + odd", "title": HOSTILE},
        "later": {"kind": "advice", "title": HOSTILE, "absent": HOSTILE},
    }  # fmt: skip
    return edition(
        required, title=HOSTILE, note=HOSTILE,
        sources={"s": {"title": HOSTILE, "publisher": HOSTILE, "note": HOSTILE, "standing": "invented"}},
        covers={"bolt.grade": {"A325": {"also": [HOSTILE], "clause": HOSTILE, "note": HOSTILE}}},
        tables={"most": {"title": HOSTILE, "by": [{"key": "bolt.lot"}], "note": HOSTILE,
                         "source": {"of": "s", "clause": HOSTILE, "note": HOSTILE}, "rows": {HOSTILE: 2, "other": 3}}},
        terms={"odd": {"title": HOSTILE, "is": "0", "clause": HOSTILE, "note": HOSTILE}},
        fields={"own": {"kind": "choice", "options": [HOSTILE], "title": HOSTILE, "description": HOSTILE}},
        left_to_people=[{"clause": HOSTILE, "what": HOSTILE}],
        programme=[{"procedure": "dti-lot", "for_each": ["bolt.lot"], "clause": HOSTILE, "note": HOSTILE}],
    )  # fmt: skip


def test_a_file_cannot_act_in_a_page() -> None:
    page = Page.read(shown(hostile(), "html"))
    assert {tag for tag, _ in page.elements} <= ELEMENTS
    assert {name for _, attrs in page.elements for name in attrs} <= ATTRIBUTES
    assert all(str(attrs["href"]).startswith("#") for attrs in page.all("a"))
    seen = " ".join(page.text.split())
    assert seen.count(" ".join(visible(HOSTILE).split())) > 30


def test_a_file_cannot_act_in_markdown_nor_break_its_tables() -> None:
    report = shown(hostile(), "markdown")
    assert more_than_text(report) == set() and PLAIN
    assert sum(" ".join(visible(HOSTILE).split()) in " ".join(text.split()) for text in texts(report)) > 30


def test_a_file_cannot_act_in_text() -> None:
    page = shown(hostile(), "text")
    assert all(char.isprintable() or char == "\n" for char in page)


@pytest.mark.parametrize("year", SHIPPED)
def test_markdown_of_an_edition_is_well_formed(year: str) -> None:
    assert more_than_text(shown(shipped(year), "markdown")) == set()


@pytest.mark.parametrize("year", SHIPPED)
def test_a_page_can_be_read_by_everybody(year: str) -> None:
    """One page for itself: landmarks, headings in order, tables with captions and heads, no script, nothing fetched."""
    text = shown(shipped(year), "html")
    page = Page.read(text)
    assert [tag for tag, _ in page.elements].count("main") == 1 and page.all("html") == [{"lang": "en"}]
    assert len(page.all("nav")) == len(page.all("header")) == len(page.all("footer")) == len(page.all("h1")) == 1
    levels = [int(tag[1]) for tag, _ in page.elements if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1 and all(below - above <= 1 for above, below in pairwise(levels))
    assert len(page.all("table")) == len(page.all("caption")) > 0
    assert all(attrs.get("scope") in ("col", "row") for attrs in page.all("th"))
    ids = [attrs["id"] for _, attrs in page.elements if "id" in attrs]
    assert len(set(ids)) == len(ids)
    assert {str(attrs["href"])[1:] for attrs in page.all("a")} <= set(ids)
    assert not re.search(r"<script|<link|<img|src=|url\(|@import|https?:", text)


def test_colours_of_a_page_have_contrast() -> None:
    """At least 4.5 to 1 on white, as WCAG 2 asks of text; lines of tables are no text."""
    style = shown(shipped("2016"), "html").partition("<style>")[2].partition("</style>")[0]
    colours = set(re.findall(r"[^-]color: #([0-9a-f]{3,6})", style))
    assert len(colours) >= 3
    for colour in colours:
        full = colour if len(colour) == 6 else "".join(2 * digit for digit in colour)
        parts = [int(full[i : i + 2], 16) / 255 for i in (0, 2, 4)]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        light = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
        assert 1.05 / (light + 0.05) >= 4.5, colour
