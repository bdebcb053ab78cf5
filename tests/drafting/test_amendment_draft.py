"""An amendment as it is drafted: nothing changed yet but name and day, and all that there is to change at hand."""

from __future__ import annotations

from pathlib import Path

import pytest
from pytest_regressions.file_regression import FileRegressionFixture

from tautbook import Shelf
from tautbook.drafting.amendment import amendment
from tautbook.drafting.base import base_of
from tautbook.drafting.lines import entry
from tautbook.editions.edition import Edition
from tautbook.editions.read import read_edition
from tautbook.lang.problem import show
from tautbook.lang.tree import Mapping
from tautbook.proofreading.proofread import proofread

from .samples import blocks, taken_in

SHIPPED = ["tern-sound@2016", "tern-sound@2021", "tern-sound@2025"]


def base(name: str) -> tuple[Edition, Mapping]:
    found, _, problems = base_of(name, "wren-bay@2030", Shelf.default())
    assert found is not None, problems
    return found


def drafted(name: str) -> str:
    return amendment("wren-bay", "2030", *base(name), None)


def read(text: str) -> Edition:
    edition, problems = read_edition(text.encode(), "wren-bay/2030.yaml", Shelf.default().bytes_of)
    assert edition is not None, "\n".join(map(show, problems))
    return edition


@pytest.mark.parametrize("name", ["tern-sound@2021", "tern-sound@2025"])
def test_an_amendment(name: str, file_regression: FileRegressionFixture) -> None:
    file_regression.check(drafted(name).encode(), extension=".yaml", binary=True)


@pytest.mark.parametrize("name", SHIPPED)
def test_it_says_what_its_base_says_but_for_name_title_and_day(name: str) -> None:
    text, (edition, _) = drafted(name), base(name)
    found = read(text)
    assert [layer.name for layer in found.layers][-1] == name and found.layers[-1].digest == edition.digest
    assert [{(of.id, of.says) for of in each.requirements} for each in found.procedures.values()] == [
        {(of.id, of.says) for of in each.requirements} for each in edition.procedures.values()
    ]
    lookup = Shelf.default().bytes_of
    here = proofread(found, text.encode(), None, "2030.yaml", lookup).findings
    there = proofread(edition, edition.span.source.text.encode(), None, edition.file, lookup).findings
    more = {each.problem.message for each in here} - {each.problem.message for each in there}
    assert more == {"`title` is still to be filled in", "`effective.from` is still to be filled in"}


@pytest.mark.parametrize("name", SHIPPED)
def test_samples_are_items_of_the_base_as_they_stand(name: str) -> None:
    text = drafted(name)
    before = read(text).digest
    changing = []
    for sample in blocks(text):
        lines = taken_in(text, sample).splitlines()[slice(*sample)]
        if read(taken_in(text, sample)).digest != before:
            changing.append(lines[0])
    assert changing == ["  until: 2199-12-31", "note: TO FILL IN", "strike:"]
    assert read(taken_in(text, *blocks(text))).digest != before


@pytest.mark.parametrize("name", SHIPPED)
def test_every_item_of_an_edition_is_written_with_its_meaning(name: str) -> None:
    edition, whole = base(name)
    text = "".join(f"{line}\n" for each in whole for line in entry(each.key.text, each.value, 0))
    assert read(text).digest == edition.digest


@pytest.mark.parametrize("name", SHIPPED)
def test_everything_that_can_be_struck_is_listed(name: str) -> None:
    edition, listed = base(name)[0], drafted(name).partition("# What there is in ")[2]
    for each in edition.procedures.values():
        below = listed.partition(f"\n# procedures.{each.id}.requirements\n")[2].partition("\n\n")[0]
        ids = [line.split()[1] for line in below.splitlines() if line.startswith("#   ") and line[4] != " "]
        assert ids == [of.id for of in each.requirements if not of.covers]
    for item in (*edition.tables, *edition.terms, *edition.sources):
        assert f"\n#   {item} " in listed, item


AWKWARD = """
ruleset: wren-bay
edition: "2029"
language: 1
title: "Wren Bay: \\"Bolts\\", it's 5 # and\\tmore"
effective: {from: 2029-01-01}
months: clamp
sources: {s: {title: 'true', standing: invented}}
covers: {}
tables:
  on_time:
    title: "- a list?"
    by: [{key: ratio, kind: number, bands: true}]
    source: {of: s, clause: "7: b"}
    rows: {"up to 1": 2, "over 1": 3}
  words:
    title: "words, with [brackets]"
    by: [{key: bolt.grade}]
    source: {of: s, clause: 1}
    rows: {"A, B": "10.9", 'it''s': "8.8"}
procedures:
  dti-lot:
    title: >
      folded
      text
    requirements:
      one: {title: "{1}", clause: 1, kind: acceptance, require: 'bolt.grade = "A, B"', note: "two\\nlines"}
left_to_people:
  - what: "a, b"
  - what: |
      first line

      and more: "quoted" # no remark
"""


def test_texts_that_are_awkward_in_yaml_stay_what_they_were(tmp_path: Path) -> None:
    folder = tmp_path / "wren-bay"
    folder.mkdir()
    (folder / "2029.yaml").write_text(AWKWARD)
    shelf = Shelf.default(tmp_path)
    found, other, problems = base_of("wren-bay@2029", "wren-bay@2030", shelf)
    assert found is not None and not other, "\n".join(map(show, problems))
    edition, whole = found
    again = "".join(f"{line}\n" for each in whole for line in entry(each.key.text, each.value, 0))
    assert read(again).digest == edition.digest
    text = amendment("wren-bay", "2030", edition, whole, None)
    before, problems = read_edition(text.encode(), "2030.yaml", shelf.bytes_of)
    assert before is not None, "\n".join(map(show, problems))
    for sample in blocks(text):
        taken, problems = read_edition(taken_in(text, sample).encode(), "2030.yaml", shelf.bytes_of)
        assert taken is not None, "\n".join(map(show, problems))
    # Of one requirement there is none to strike.
    assert "#>strike" not in text
