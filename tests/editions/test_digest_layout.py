"""The same edition in another form has the same digest, and is the same edition."""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Callable

import pytest
from editing import RULESETS, Digests, as_json, in_blocks, in_braces, shipped_tree, tree_of

from tautbook import Shelf
from tautbook.editions.edition import Edition
from tautbook.editions.read import read_edition
from tautbook.lang.problem import show
from tautbook.lang.tree import Mapping
from tautbook.lang.unreduce import print_kernel
from tautbook.shape.convert import shape
from tautbook.shape.schemas import load_schema, procedures
from tautbook.shape.vocabulary import vocabulary

FORMS: dict[str, Callable[[bytes, Mapping], tuple[str, bytes]]] = {
    "remarks at the end of it": lambda data, tree: ("a.yaml", data + b"\n\n# the end\n"),
    "lines that end with CR LF": lambda data, tree: ("a.yaml", data.replace(b"\n", b"\r\n")),
    "a byte-order mark": lambda data, tree: ("a.yaml", b"\xef\xbb\xbf" + data),
    "letters with marks in two characters": lambda data, tree: (
        "a.yaml", unicodedata.normalize("NFD", data.decode()).encode()
    ),
    "a line for each key, the last first, remarks, texts folded, rules in blocks": lambda data, tree: (
        "a.yaml", in_blocks(tree).encode()
    ),
    "all on one line": lambda data, tree: ("a.yaml", in_braces(tree).encode()),
    "all on one line, in single quotes": lambda data, tree: ("a.yaml", in_braces(tree, "'").encode()),
    "all on one line, in double quotes": lambda data, tree: ("a.yaml", in_braces(tree, '"').encode()),
    "JSON": lambda data, tree: ("a.json", json.dumps(as_json(tree), ensure_ascii=False).encode()),
    "JSON with escapes, keys sorted": lambda data, tree: (
        "a.json", json.dumps(as_json(tree), indent=3, sort_keys=True).encode()
    ),
}  # fmt: skip


@pytest.fixture(scope="module")
def marked() -> bytes:
    """A shipped edition with letters with marks in texts, keys, words of rules and covered values."""
    text = (RULESETS / "tern-sound" / "2016.yaml").read_text(encoding="utf-8")
    text = text.replace("A325", "Å325").replace("Crossings", "Überführungen, café").replace("Hold the", "Hålla the")
    assert text.count("Å325") > 8 and "Hålla" in text
    return text.encode()


@pytest.mark.parametrize("form", FORMS)
def test_the_digest_is_that_of_the_meaning(form: str, marked: bytes) -> None:
    digests = Digests()
    for data in (marked, (RULESETS / "tern-sound" / "2021.yaml").read_bytes()):
        tree = tree_of(data)
        name, written = FORMS[form](data, tree)
        again = tree_of(written, name)
        shaped, problems = shape(again, load_schema("edition"))
        assert shaped is not None, "\n".join(map(show, problems))
        assert digests.of_shaped(shaped) == digests.of(tree) is not None


@pytest.mark.parametrize("form", [each for each in FORMS if "one line" not in each])
def test_a_shipped_edition_in_another_form_is_read_as_that_edition(form: str) -> None:
    name, written = FORMS[form]((RULESETS / "tern-sound" / "2016.yaml").read_bytes(), shipped_tree("2016"))
    edition, problems = read_edition(written, name)
    assert edition is not None, "\n".join(map(show, problems))
    assert _rules(edition) == _rules(shipped := Shelf.default().edition("tern-sound", "2016"))
    assert edition.digest == shipped.digest


def _rules(edition: Edition) -> object:
    """What is judged by, without places."""
    return {
        id: ({each.id: (each.kind, each.voids, *(rule and print_kernel(rule) for rule in (each.require, each.applies)))
              for each in procedure.requirements if not each.covers},
             {name: {key: cell.value for key, cell in table.cells.items()}
              for name, table in procedure.rules.tables.items()})
        for id, procedure in edition.procedures.items()
    }  # fmt: skip


# What is one for a digest is one for a rule: an edition of which the digest is the same must judge the same.

WORDS = """\
ruleset: a
edition: "1"
language: 1
title: Words
effective: {{from: 2020-01-01}}
months: clamp
sources: {{s: {{title: Source, standing: invented}}}}
covers: {{bolt.maker: [{maker}, Northfield]}}
tables:
  most: {{title: most, by: [{{key: bolt.maker}}], source: {{of: s}}, rows: {{{row}: 2, Northfield: 1}}}}
procedures:
  dti-lot:
    asks: {{specimens: 1}}
    requirements:
      of-them:
        title: of them
        kind: acceptance
        require: 'bolt.maker = "{rule}" and most[bolt.maker] = 2'
"""


def words(maker: str, row: str, rule: str) -> Edition:
    edition, problems = read_edition(WORDS.format(maker=maker, row=row, rule=rule).encode(), "words.yaml")
    assert edition is not None, "\n".join(map(show, problems))
    return edition


def test_words_that_a_digest_takes_for_one_are_one_for_rules() -> None:
    same = words("Zoë Bolts", "Zoë Bolts", "Zoë Bolts")
    for other in ("Zoe\u0308 Bolts", "Zoë  Bolts"):
        for each in (words(f"'{other}'", "Zoë Bolts", other), words("Zoë Bolts", f"' {other} '", other)):
            assert each.digest == same.digest and _rules(each) == _rules(same)


@pytest.mark.parametrize("form", ["8.80", "8.8000", "44/5", "'8.80'"])
def test_a_word_that_reads_as_a_figure_has_one_form(form: str) -> None:
    """A digest tells figures by value: in a table of grades 8.80 would be another word for it than 8.8 unnoticed."""
    assert words("8.8", "8.8", "8.8").digest
    for maker, row in ((form, "8.8"), ("8.8", form)):
        edition, problems = read_edition(WORDS.format(maker=maker, row=row, rule="8.8").encode(), "words.yaml")
        assert edition is None and {each.code for each in problems} == {"word-figure"}


def test_no_word_of_a_record_needs_another_form() -> None:
    """Then no edition could speak of it."""
    for procedure in procedures():
        found = vocabulary(procedure)
        assert found is not None
        options = [option for info in found.fields.values() for option in getattr(info.kind, "options", None) or ()]
        assert options
        for option in options:
            if not option.isidentifier():
                assert words(f"'{option}'", f"'{option}'", option)


def test_a_place_in_a_rule_with_escapes_is_exact_in_json() -> None:
    text = WORDS.format(maker="a", row="a", rule="a").replace("most[bolt.maker]", "most[bolt.makre]")
    data = json.dumps(as_json(tree_of(text.encode()))).encode()
    _, (problem,) = read_edition(data, "words.json")
    assert problem.code == "unknown-name" and problem.span is not None and problem.span.text == "bolt.makre"
