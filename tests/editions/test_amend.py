"""Editions that state only what changes: put together with what they amend, or refused with both places."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from tautbook import Shelf
from tautbook.editions import amend
from tautbook.editions.amend import Lookup
from tautbook.editions.edition import Edition
from tautbook.editions.read import read_edition
from tautbook.editions.reasons import Reason
from tautbook.lang.limits import LIMITS
from tautbook.lang.problem import Problem, show
from tautbook.shape.shaped import as_map

WHOLE = Path(__file__).with_name("tern-sound-2025-whole.yaml")
BASE = """\
ruleset: national
edition: one
language: 1
title: National standard
effective: {from: 2020-01-01}
months: clamp
sources:
  s: {title: Standard, standing: invented}
covers:
  bolt.grade: [A325]
tables:
  load:
    title: load
    by: [{key: bolt.grade}, {key: indicator.spaces}]
    source: {of: s}
    rows: {A325: {4: 28 kip, 5: 39 kip}}
terms:
  needed: {title: load needed, is: 'load[bolt.grade, indicator.spaces]'}
procedures:
  dti-lot:
    asks: {specimens: 3}
    requirements:
      reached:
        title: load reached
        kind: acceptance
        each: specimens
        require: specimen.at_verification.tension >= needed
      held: {title: head held, kind: setup, require: head_held}
"""


def lookup(files: Mapping[str, str]) -> Lookup:
    def found(name: str) -> tuple[bytes | None, str, tuple[Problem, ...]]:
        text = files.get(name)
        return (None, name, ()) if text is None else (text.encode(), f"{name}.yaml", ())

    return found


def digest_of(text: str, files: Mapping[str, str]) -> str:
    edition, problems = read_edition(text.encode(), "x.yaml", lookup(files))
    assert edition is not None, [show(problem) for problem in problems]
    return edition.digest


def amended(changes: str, base: str = BASE, ruleset: str = "agency", edition: str = "two") -> str:
    head = f"ruleset: {ruleset}\nedition: {edition}\nlanguage: 1\n"
    return f"{head}amends: {{ruleset: national, edition: one, digest: {digest_of(base, {})}}}\n{changes}"


def read(text: str, **more: str) -> Edition:
    edition, problems = read_edition(text.encode(), "two.yaml", lookup({"national@one": BASE, **more}))
    assert edition is not None, [show(problem) for problem in problems]
    return edition


def problems_of(text: str, **more: str) -> list[str]:
    edition, problems = read_edition(text.encode(), "two.yaml", lookup({"national@one": BASE, **more}))
    assert edition is None
    return [show(problem) for problem in problems]


def test_what_is_not_named_stays() -> None:
    edition = read(amended("title: Agency\n"))
    assert (edition.name, edition.title) == ("agency@two", "Agency")
    assert [each.id for each in edition.procedures["dti-lot"].requirements] == ["covered", "reached", "held"]
    assert [layer.name for layer in edition.layers] == ["national@one"]


WAYS = {
    "a title": ("title: New title\n", ("title: National standard", "title: New title")),
    "a term": (
        "terms:\n  needed: {title: load needed, is: 'load[bolt.grade, indicator.spaces] + 1 kip', why: safer}\n",
        ("indicator.spaces]'}", "indicator.spaces] + 1 kip'}"),
    ),
    "a cell, and one more": (
        "tables:\n  load: {cells: {A325: {5: 40 kip, 6: 51 kip}}, why: misprint}\n",
        ("{4: 28 kip, 5: 39 kip}", "{4: 28 kip, 5: 40 kip, 6: 51 kip}"),
    ),
    "a requirement struck": (
        "strike: {procedures.dti-lot.requirements.held: nobody holds it any more}\n",
        ("      held: {title: head held, kind: setup, require: head_held}\n", ""),
    ),
    "a requirement changed": (
        "procedures:\n  dti-lot:\n    requirements:\n      held: {title: held, kind: advice, require: head_held}\n",
        ("title: head held, kind: setup", "title: held, kind: advice"),
    ),
    "a covered field": ("covers: {bolt.grade: [A325, A490]}\n", ("[A325]", "[A325, A490]")),
    "a covered field struck": ("strike: {covers.bolt.grade: all grades}\ncovers: {indicator.spaces: [4, 5]}\n",
                               ("bolt.grade: [A325]", "indicator.spaces: [4, 5]")),
    "how many": ("procedures: {dti-lot: {asks: {specimens: 5}}}\n", ("specimens: 3", "specimens: 5")),
    "what is new": (
        "left_to_people:\n  - {what: certificates}\n",
        ("procedures:\n", "left_to_people:\n  - {what: certificates}\nprocedures:\n"),
    ),
    "a figure where there was none": (
        "procedures: {dti-lot: {figures: {n: {title: needed, is: needed}}}}\n",
        ("    requirements:\n", "    figures: {n: {title: needed, is: needed}}\n    requirements:\n"),
    ),
}  # fmt: skip


def test_why_an_item_was_amended_is_kept_with_the_edition_that_says_so() -> None:
    held = ("procedures", "dti-lot", "requirements", "held")
    rule = "procedures: {dti-lot: {requirements: {held: {title: held, kind: advice, require: head_held, why: soft}}}}\n"
    cells = "tables:\n  load: {cells: {A325: {5: 40 kip}}, why: misprint}\n"
    agency = amended(rule + cells)
    assert read(amended(rule)).reasons == {held: (Reason("agency@two", "soft"),)}
    head = (
        "ruleset: contract\nedition: three\nlanguage: 1\n"
        f"amends: {{ruleset: agency, edition: two, digest: {digest_of(agency, {'national@one': BASE})}}}\n"
    )  # fmt: skip
    misprint, later = Reason("agency@two", "misprint"), Reason("contract@three", "later")

    def reasons(changes: str) -> object:
        return read(head + changes, **{"agency@two": agency}).reasons

    # More cells stand beside those; a whole item has its own reason or none; of a struck one it is told why.
    more = "tables:\n  load: {cells: {A325: {4: 29 kip}}, why: later}\n"
    assert reasons(more) == {held: (Reason("agency@two", "soft"),), ("tables", "load"): (misprint, later)}
    assert reasons(rule.replace(", why: soft", "")) == {("tables", "load"): (misprint,)}
    struck = "strike: {procedures.dti-lot.requirements.held: later}\n"
    assert reasons(struck) == {("tables", "load"): (misprint,), held: (later,)}
    assert read(BASE).reasons == {}


@pytest.mark.parametrize("way", WAYS)
def test_an_amendment_has_the_digest_of_the_same_rules_written_whole(way: str) -> None:
    changes, (before, after) = WAYS[way]
    assert BASE.count(before) == 1
    same = BASE.replace(before, after).replace("ruleset: national\nedition: one", "ruleset: agency\nedition: two")
    assert read(amended(changes)).digest == digest_of(same, {})


def test_layers_stand_on_each_other_and_each_part_knows_its_own() -> None:
    agency = amended("tables:\n  load: {cells: {A325: {5: 40 kip}}}\n")
    digest = digest_of(agency, {"national@one": BASE})
    contract = (
        "ruleset: contract\nedition: three\nlanguage: 1\n"
        f"amends: {{ruleset: agency, edition: two, digest: {digest}}}\n"
        "procedures: {dti-lot: {requirements: {held: {title: held, kind: advice, require: head_held}}}}\n"
    )
    edition = read(contract, **{"agency@two": agency})
    assert [layer.name for layer in edition.layers] == ["national@one", "agency@two"]
    layers = {each.id: each.origin.layer for each in edition.procedures["dti-lot"].requirements}
    assert layers == {"covered": "national@one", "reached": "national@one", "held": None}
    cells = edition.procedures["dti-lot"].rules.tables["load"].cells.values()
    assert [edition.layer_of(cell.span) for cell in cells if cell.span] == ["national@one", "agency@two"]


MISTAKES = {
    "amends-unknown": ("ruleset: a\nedition: b\nlanguage: 1\namends: {ruleset: national, edition: nine}\n", """\
two.yaml:4:1: amends-unknown: national@nine, which this amends, is not at hand
  4 | amends: {ruleset: national, edition: nine}
    | ^^^^^^
  help: name the folder of its rulesets with --rulesets
"""),
    "amends-digest": ("ruleset: a\nedition: b\nlanguage: 1\namends: {ruleset: national, edition: one}\n", """\
two.yaml:4:9: amends-digest: the digest of national@one is not stated, so that it could change under this
  4 | amends: {ruleset: national, edition: one}
    |         ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^
  help: write `digest: DIGEST`
"""),
    "amends-digest-other": (
        "ruleset: a\nedition: b\nlanguage: 1\namends: {ruleset: national, edition: one, digest: m1:0}\n", """\
two.yaml:4:51: amends-digest: national@one is not what it was when this was written: its digest is another one
  4 | amends: {ruleset: national, edition: one, digest: m1:0}
    |                                                   ^^^^
  help: compare what changed in it; if this still amends it, write `digest: DIGEST`
"""),
    "amends-ring": ("ruleset: national\nedition: one\nlanguage: 1\namends: {ruleset: national, edition: one}\n", """\
two.yaml:4:1: amends-ring: editions cannot amend each other: national@one -> national@one
  4 | amends: {ruleset: national, edition: one}
    | ^^^^^^
  help: let one of them state its rules whole
"""),
    "amends-struck-stated": (amended("""\
strike: {procedures.dti-lot.requirements.held: gone}
procedures:
  dti-lot:
    requirements:
      held: {title: head held, kind: setup, require: head_held}
"""), """\
two.yaml:5:10: amends-struck-stated: `procedures.dti-lot.requirements.held` is struck here, and stated as well
  5 | strike: {procedures.dti-lot.requirements.held: gone}
    |          ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^
  help: strike it, or state it; `procedures.dti-lot.requirements.held` as stated here replaces what was there
two.yaml:9:7: amends-struck-stated: `procedures.dti-lot.requirements.held` is stated here, and struck as well
  9 |       held: {title: head held, kind: setup, require: head_held}
    |       ^^^^
  help: strike it, or state it; `procedures.dti-lot.requirements.held` as stated here replaces what was there
"""),
    "amends-strike": (amended("strike: {terms.neded: gone}\n"), """\
two.yaml:5:10: amends-strike: there is nothing called `terms.neded` that could be struck
  5 | strike: {terms.neded: gone}
    |          ^^^^^^^^^^^
  help: did you mean `terms.needed`?
"""),
    "amends-cells": (amended("tables: {laod: {cells: {A325: {5: 40 kip}}}}\n"), """\
two.yaml:5:10: amends-cells: there is no table `laod` whose cells could change
  5 | tables: {laod: {cells: {A325: {5: 40 kip}}}}
    |          ^^^^
  help: check its name, or state it whole
"""),
    "amends-cells-more": (amended("tables: {load: {title: t, cells: {A325: {5: 40 kip}}}}\n"), """\
two.yaml:5:17: amends-cells: beside `cells` nothing of the table changes
  5 | tables: {load: {title: t, cells: {A325: {5: 40 kip}}}}
    |                 ^^^^^
  help: state the table whole instead, with `rows`
"""),
    "a strike that leaves a rule without its term": (amended("strike: {terms.needed: gone}\n"), """\
national@one.yaml:27:54: unknown-name: there is no name `needed`
  27 |         require: specimen.at_verification.tension >= needed
     |                                                      ^^^^^^
two.yaml:5:1: amends-leaves: with these changes national@one does not fit together any more
  5 | strike: {terms.needed: gone}
    | ^^^^^^
  help: amend the places that are told as well
"""),
}  # fmt: skip


@pytest.mark.parametrize("name", MISTAKES)
def test_a_mistake_is_told_with_its_place(name: str) -> None:
    text, shown = MISTAKES[name]
    found = "".join(f"{each}\n" for each in problems_of(text))
    assert found.replace(digest_of(BASE, {}), "DIGEST") == shown


def test_changed_cells_are_told_neither_as_checked_nor_as_published() -> None:
    """Who compared the table with the printed page did not see them, and the source does not print them."""
    checked = BASE.replace("source: {of: s}", "source: {of: s, checked: {by: A, on: 2020-01-02, against: page 1}}")
    cells = "tables: {load: {cells: {A325: {5: 40 kip}}}}\n"
    source = read(amended(cells, checked), **{"national@one": checked}).written.shaped
    assert "checked" not in as_map(as_map(as_map(source.entries["tables"]).entries["load"]).entries["source"]).entries
    published = BASE.replace("standing: invented", "standing: published")
    (found,) = problems_of(amended(cells, published), **{"national@one": published})
    assert found.startswith("two.yaml:5:17: amends-published: the figures of `load` are published")
    whole = "tables: {load: {title: load, by: [{key: bolt.grade}, {key: indicator.spaces}], source: {of: a}, " \
        "rows: {A325: {4: 28 kip, 5: 40 kip}}}}\nsources: {a: {title: Agency, standing: invented}}\n"
    assert read(amended(whole, published), **{"national@one": published}).tables["load"].origin.standing == "invented"


def test_without_a_shelf_nothing_can_be_amended() -> None:
    _, (problem,) = read_edition(amended("title: t\n").encode(), "two.yaml")
    assert problem.code == "amends-unknown" and "RULESET@EDITION" in (problem.help or "")


def test_a_base_that_cannot_be_used_is_told_with_its_own_problems() -> None:
    broken = {"national@one": BASE.replace("months: clamp", "months: clam")}
    _, problems = read_edition(amended("title: t\n").encode(), "two.yaml", lookup(broken))
    assert [problem.code for problem in problems] == ["amends-unusable", "unknown-word"]


def test_so_many_layers_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(amend, "LIMITS", replace(LIMITS, layers=1))
    agency = amended("title: Agency\n")
    contract = (
        "ruleset: contract\nedition: three\nlanguage: 1\n"
        f"amends: {{ruleset: agency, edition: two, digest: {digest_of(agency, {'national@one': BASE})}}}\n"
    )
    found = problems_of(contract, **{"agency@two": agency})
    assert any("amends-deep: more than 1 editions amend each other" in each for each in found)


def test_the_amendment_of_2025_is_the_edition_that_was_written_whole() -> None:
    whole, problems = read_edition(WHOLE.read_bytes(), "2025.yaml")
    assert whole is not None, [show(problem) for problem in problems]
    assert Shelf.default().edition("tern-sound", "2025").digest == whole.digest


def test_every_code_has_a_mistake() -> None:
    source = Path(amend.__file__).read_text(encoding="utf-8")
    codes = set(re.findall(r'Problem\("([a-z-]+)"', source))
    shown = set(re.findall(r":\d+:\d+: ([a-z-]+): ", "".join(text for _, text in MISTAKES.values())))
    assert codes - shown == {"amends-unusable", "amends-deep", "amends-published"}  # with tests of their own
