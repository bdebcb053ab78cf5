"""Editions with one fault each, one slip away from the good one, and what proofreading says of them.

``broken/<code>[-more].yaml`` beside ``.expected``. ``TAUTBOOK_REWRITE=1`` writes new texts, to be read.
"""

from __future__ import annotations

import ast
import os
import re
from pathlib import Path

import pytest

import tautbook
from tautbook.editions.read import read_edition
from tautbook.lang.problem import show
from tautbook.proofreading.proofread import proofread, unreadable
from tautbook.proofreading.report import Finding, Report

HERE = Path(__file__).parent
BROKEN = sorted((HERE / "broken").glob("*.yaml"))
ELSEWHERE = {
    **dict.fromkeys(
        ("worked-none", "worked-differs", "worked-unstated", "worked-missing", "worked-form", "worked-twice",
         "worked-unconfirmed"),
        "of worked records, in test_proofread_command.py",
    ),
    "boundary-uncovered": "of worked records, in test_write_examples.py",
    "sampled": "made below, of many covered values",
}


def report(data: bytes, name: str) -> Report:
    edition, problems = read_edition(data, name)
    assert edition is not None, "\n".join(map(show, problems))
    return proofread(edition, data, None, name)


def findings_of(path: Path) -> list[Finding]:
    """What is told of an edition; of one that cannot be read why not."""
    data = path.read_bytes()
    edition, problems = read_edition(data, path.name)
    if edition is None:
        return [Finding("reading", "error", each) for each in unreadable(path.name, path, problems).unread]
    return list(proofread(edition, data, None, path.name).findings)


def told(path: Path) -> str:
    return "".join(f"{each.kind}, {each.severity}: {show(each.problem)}\n" for each in findings_of(path))


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_each_fault_is_told_with_its_place(path: Path) -> None:
    shown, expected = told(path).encode(), path.with_suffix(".expected")
    if os.environ.get("TAUTBOOK_REWRITE") and (not expected.exists() or expected.read_bytes() != shown):
        expected.write_bytes(shown)
    assert shown == expected.read_bytes()


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_findings_keep_to_the_conventions(path: Path) -> None:
    findings = findings_of(path)
    assert any(re.fullmatch(rf"{each.problem.code}(-.+)?", path.stem) for each in findings)
    for each in findings:
        problem = each.problem
        assert problem.span is not None and problem.span.source.name == path.name and problem.span.text
        assert not problem.message.endswith(".") and not problem.message[0].isupper()
        # Of what cannot be read the way out is not always to be known.
        assert problem.help or each.kind == "reading"


def test_the_good_edition_has_nothing_wrong_with_it() -> None:
    assert report((HERE / "good" / "edition.yaml").read_bytes(), "edition.yaml").findings == ()


def test_every_code_is_shown() -> None:
    """Every code that stands in the source of the proofreader has a file here, or is held elsewhere."""
    codes = set()
    for source in (Path(tautbook.__file__).parent / "proofreading").glob("*.py"):
        for node in ast.walk(ast.parse(source.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("error", "remark"):
                code = node.args[1]
                codes |= {code.value} if isinstance(code, ast.Constant) else {"unused-term", "unused-table"}
    stems = [path.stem for path in BROKEN]
    for code in codes - set(ELSEWHERE):
        assert any(re.fullmatch(rf"{code}(-.+)?", stem) for stem in stems), code


def many_sizes(rule: str) -> Report:
    """An edition that covers more combinations than are tried, with one requirement."""
    sizes = ", ".join(f"{n} mm" for n in range(10, 80))
    text = f"""
ruleset: sound
edition: "1"
language: 1
title: Invented rules
effective: {{from: 2020-01-01}}
months: clamp
sources:
  book: {{title: Invented book, standing: invented}}
covers:
  bolt.diameter: [{sizes}]
  bolt.length: [{sizes}]
procedures:
  dti-lot:
    requirements:
      one: {{title: one, clause: "1", kind: acceptance, require: {rule}}}
"""
    return report(text.encode(), "many.yaml")


def test_of_a_sample_it_is_said_that_it_is_one_and_nothing_is_concluded_of_all() -> None:
    (finding,) = (found := many_sizes("bolt.length / bolt.diameter > 0")).findings
    assert (finding.problem.code, finding.severity) == ("sampled", "remark")
    assert finding.problem.message == "`one` was tried on 1726 of 4900 combinations, which are too many to try all"
    assert (found.counts.combinations, found.counts.left_out) == (1726, 3174)


def test_each_value_is_in_the_sample() -> None:
    # One combination of 4900 divides by zero: the shortest diameter with the last length but one.
    found = many_sizes("10 mm / (bolt.length - 78 mm + 1000 * (bolt.diameter - 10 mm)) > 0").findings
    assert {each.problem.code for each in found} == {"no-rule", "sampled"}
