"""Whole reports: many faults at once, amendments, the shipped editions."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner, Result

from tautbook.cli.group import tautbook
from tautbook.shape.schemas import load_schema

HERE = Path(__file__).parent
GOOD = (HERE / "good" / "edition.yaml").read_text(encoding="utf-8")


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(tautbook, ["proofread", *map(str, arguments)], prog_name="tautbook")


def reports(text: str) -> Any:
    found = json.loads(text)
    jsonschema.Draft202012Validator(load_schema("proofread")).validate(found)  # type: ignore[arg-type]
    return found


def with_faults(text: str, *changes: tuple[str, str]) -> str:
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


@pytest.fixture
def faulty(tmp_path: Path) -> Path:
    """Four faults in one edition, and no worked records."""
    path = tmp_path / "edition.yaml"
    path.write_text(with_faults(
        GOOD,
        ("7/8 in: 66 kip, 1 in: 85 kip", "7/8 in: 66 kip"),
        ("wanted + 1 kip", "wanted + 0.1 kip - 0.2 kip"),
        ('        clause: "7"\n', ""),
        ("procedures:\n", "  spare: {title: not used, is: 1.1 * wanted, clause: '3'}\nprocedures:\n"),
    ), encoding="utf-8")  # fmt: skip
    return path


REPORT = """\
sound@1: 2 errors, 3 remarks

tables
  FILE:31:7: error, row-missing
    table `highest` has no row for A490, 1 in, which is covered and asked for by `full`
      31 |       A490: {1/2 in: 20 kip, 5/8 in: 32 kip, 3/4 in: 47 kip, 7/8 in: 66 kip}
         |       ^^^^
    help: add the row, or take the value out of `covers`

windows
  FILE:59:18: error, window-empty
    `loaded` and `not-passed` cannot hold together: the least is above the most, 12.6 kip to 12.5
    kip for bolt.grade A325, bolt.diameter 1/2 in; 19.95 kip to 19.85 kip for bolt.grade A325,
    bolt.diameter 5/8 in; 29.4 kip to 29.3 kip for bolt.grade A325, bolt.diameter 3/4 in; and 7 more
      59 |         require: specimen.at_verification.tension <= wanted + 0.1 kip - 0.2 kip
         |                  ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^
    help: compare both limits with the printed page

unused
  FILE:42:3: remark, unused-term
    no requirement, figure or crosscheck reaches the term `spare`
      42 |   spare: {title: not used, is: 1.1 * wanted, clause: '3'}
         |   ^^^^^
    help: use it in a requirement or a figure, or strike it

worked records
  FILE:1:1: remark, worked-none
    no record was worked by it
    help: put records into the folder `examples` beside this file, and what they must give into
    verdicts.yaml

provenance
  FILE:71:7: remark, clause-missing
    requirement `full` names no clause
      71 |       full:
         |       ^^^^
    help: give the `clause`, as the source numbers itself

counts
  combinations      31 of covered values tried
  boundaries        0 % of 140 shown by worked records
                    8 more that no such record can show: the requirement does not apply there (8)
  standings         of tables, terms and requirements: 9 invented
  findings          2 errors, 3 remarks
"""


def test_all_faults_are_told_at_once_grouped_and_counted(faulty: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(faulty.parent)
    result = run("edition.yaml")
    assert result.exit_code == 1
    head, edition, *parts = result.stdout.split("\n\n")
    assert edition.splitlines()[0] == "  edition         Invented rules,"
    assert "\n\n".join([head, *parts]).replace("edition.yaml:", "FILE:") == REPORT
    assert max(map(len, result.stdout.splitlines())) <= 100


def test_the_forms_tell_the_same(faulty: Path) -> None:
    (report,) = reports(run(faulty, "--format", "json").stdout)
    lines = run(faulty, "--format", "github").stdout.splitlines()
    words = {"error": "error", "remark": "warning"}
    assert [
        f"::{words[each['severity']]} file={faulty},line={each['from']['line']},col={each['from']['column']}"
        for each in report["findings"]
    ] == [line.partition(",endLine")[0] for line in lines]
    assert (report["errors"], report["remarks"]) == (2, 3)


def test_an_amendment_is_proofread_whole_and_each_fault_told_where_it_was_written(tmp_path: Path) -> None:
    folder = tmp_path / "sound"
    folder.mkdir()
    base = folder / "1.yaml"
    base.write_text(with_faults(GOOD, (', checked: {by: J. Orr, on: 2020-01-05, against: page 9}', "")))
    digest = reports(run(base, "--format", "json").stdout)[0]["edition"]["digest"]
    (folder / "2.yaml").write_text(f"""\
ruleset: sound
edition: "2"
language: 1
amends: {{ruleset: sound, edition: "1", digest: {digest}}}
title: Invented rules, amended
effective: {{from: 2021-01-01}}
tables:
  highest:
    title: highest tension
    by: [{{key: bolt.grade}}, {{key: bolt.diameter}}]
    source: {{of: book, clause: Table 2, checked: {{by: J. Orr, on: 2020-01-05, against: page 8}}}}
    rows:
      A325: {{1/2 in: 16 kip, 5/8 in: 25 kip, 3/4 in: 37 kip, 7/8 in: 52 kip, 1 in: 68 kip}}
      A490: {{1/2 in: 20 kip, 5/8 in: 32 kip, 3/4 in: 47 kip, 7/8 in: 66 kip}}
""")
    result = run("sound@2", "--rulesets", tmp_path, "--format", "json")
    assert result.stderr == ""
    found = [(each["code"], Path(each["file"]).name, each["text"]) for each in reports(result.stdout)[0]["findings"]]
    assert found == [
        ("row-missing", "2.yaml", "A490"),
        ("worked-none", "2.yaml", ""),
        ("unchecked", "1.yaml", "most_refused"),
    ]


@pytest.mark.parametrize("edition", ["2016", "2021", "2025"])
def test_the_shipped_editions_hold_no_error_and_their_records_come_out_as_stated(edition: str) -> None:
    result = run(f"tern-sound@{edition}", "--format", "json")
    (report,) = reports(result.stdout)
    assert (result.exit_code, result.stderr, report["errors"]) == (0, "", 0)
    assert {each["code"] for each in report["findings"]} <= {"unchecked"}
    assert report["counts"]["records"] == report["counts"]["as_stated"] > 100
    assert report["counts"]["combinations_left_out"] == 0
    assert report["boundaries"]["share"] == "1" and report["boundaries"]["uncovered"] == []
