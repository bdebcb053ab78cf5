"""The command as people type it: exit status, forms of the output, worked records beside the ruleset."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner, Result

from tautbook.cli.group import tautbook
from tautbook.shape.schemas import load_schema

HERE = Path(__file__).parent
GOOD = HERE / "good"
"""A folder with an edition that has nothing wrong with it, two worked records and their verdicts, and more records made
for its boundaries."""


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(tautbook, ["proofread", *map(str, arguments)], prog_name="tautbook")


def reports(text: str) -> Any:
    found = json.loads(text)
    jsonschema.Draft202012Validator(load_schema("proofread")).validate(found)  # type: ignore[arg-type]
    return found


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(GOOD, tmp_path / "good"))


def changed(path: Path, old: str, new: str) -> Path:
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, old
    path.write_text(text.replace(old, new), encoding="utf-8")
    return path


def test_an_edition_with_nothing_wrong() -> None:
    result = run(GOOD / "edition.yaml")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.startswith("sound@1: 0 errors, 0 remarks\n")
    assert "worked records    64, of which 64 come out as stated\n" in result.stdout
    assert "boundaries        100 % of 122 shown by worked records\n" in result.stdout


def test_a_worked_record_that_comes_out_otherwise_is_an_error_where_its_verdict_is_stated(folder: Path) -> None:
    changed(folder / "verdicts.yaml", "verdict: fail", "verdict: pass")
    result = run(folder / "edition.yaml", "--format", "json")
    (finding,) = reports(result.stdout)[0]["findings"]
    assert finding["code"] == "worked-differs" and finding["severity"] == "error"
    assert finding["message"] == "`02-fail.yaml` is stated to give pass under 1, and gives fail"
    assert finding["file"] == str(folder / "verdicts.yaml") and finding["text"] == "pass"
    assert finding["from"] == {"line": 5, "column": 29}
    assert result.exit_code == 1


def test_a_record_without_a_verdict_is_a_remark_and_a_verdict_without_a_record_an_error(folder: Path) -> None:
    changed(folder / "verdicts.yaml", "02-fail.yaml:", "02-fial.yaml:")
    result = run(folder / "edition.yaml", "--format", "json")
    findings = reports(result.stdout)[0]["findings"]
    assert [(each["code"], each["severity"], Path(each["file"]).name) for each in findings] == [
        ("worked-unstated", "remark", "02-fail.yaml"),
        ("worked-missing", "error", "verdicts.yaml"),
    ]


def test_remarks_alone_are_no_failure(folder: Path) -> None:
    changed(folder / "verdicts.yaml", '02-fail.yaml:\n  - {under: ["1"], verdict: fail, why: one too many}\n', "")
    result = run(folder / "edition.yaml")
    assert result.exit_code == 0
    assert "nothing is stated of `02-fail.yaml` under 1; it is now: fail" in result.stdout


def test_verdicts_that_nobody_has_confirmed_are_counted_in_one_remark(folder: Path) -> None:
    why = "given now, to be confirmed, to show held outside"
    changed(folder / "verdicts.yaml", "why: one too many", f'why: "{why}"')
    result = run(folder / "edition.yaml", "--format", "json")
    (finding,) = reports(result.stdout)[0]["findings"]
    assert (finding["code"], finding["severity"], finding["text"]) == ("worked-unconfirmed", "remark", "fail")
    assert finding["message"] == "1 worked record has a verdict that 1 gave itself, and that nobody has confirmed"


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("verdict: fail", "verdict: failed", "worked-form"),
        ('02-fail.yaml:\n  - {under: ["1"]', '02-fail.yaml:\n  - {under: 1', "worked-form"),
        ("why: one too many}", 'why: one}\n  - {under: ["1"], verdict: pass, why: again}', "worked-twice"),
    ],
)
def test_what_is_wrong_with_the_stated_verdicts(folder: Path, old: str, new: str, code: str) -> None:
    changed(folder / "verdicts.yaml", old, new)
    result = run(folder / "edition.yaml", "--format", "json")
    assert code in {each["code"] for each in reports(result.stdout)[0]["findings"]}
    assert result.exit_code == 1


def test_what_cannot_be_read_is_told_as_ever_and_all_else_as_well(folder: Path) -> None:
    changed(folder / "examples" / "01-pass.yaml", "tested: 2026-04-14", "tested: yesterday")
    result = run(folder / "edition.yaml")
    assert result.exit_code == 2
    assert f"{folder / 'examples' / '01-pass.yaml'}:3:9: date-form" in result.stderr
    assert result.stdout.startswith("sound@1: 0 errors, 0 remarks\n")


def test_an_edition_that_cannot_be_read(folder: Path) -> None:
    path = changed(folder / "edition.yaml", "specimen.at_verification.refusals <= most", "specimen.refusals <= most")
    result = run(path, GOOD / "edition.yaml", "--format", "json")
    broken, good = reports(result.stdout)
    assert broken["edition"] is None and broken["unread"][0]["text"] == "specimen.refusals"
    assert good["edition"]["edition"] == "1"
    assert result.exit_code == 2 and "unknown-name" in result.stderr
    shown = run(path, "--format", "github").stdout
    assert shown.startswith(f"::error file={path},line=")


def test_annotations_are_escaped(tmp_path: Path) -> None:
    odd = Path(shutil.copytree(GOOD, tmp_path / "a,b:c 5%"))
    changed(odd / "verdicts.yaml", "verdict: fail", "verdict: pass")
    (line,) = run(odd / "edition.yaml", "--format", "github").stdout.splitlines()
    place = f"{tmp_path}/a%2Cb%3Ac 5%25/verdicts.yaml"
    assert line == (
        f"::error file={place},line=5,col=29,endLine=5,endColumn=33,title=worked-differs::"
        "`02-fail.yaml` is stated to give pass under 1, and gives fail%0A"
        f"help: judge it to see why: tautbook judge {tmp_path}/a,b:c 5%25/examples/02-fail.yaml --under sound@1"
    )


def test_an_output_file_is_written_once(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "report.txt"
    assert run(folder / "edition.yaml", "--output", out).exit_code == 0
    assert out.read_text(encoding="utf-8").startswith("sound@1: ")
    assert run(folder / "edition.yaml", "--output", out).exit_code == 2
    assert run(folder / "edition.yaml", "--output", out, "--replace").exit_code == 0
    assert run(folder / "edition.yaml", "--output", folder / "edition.yaml", "--replace").exit_code == 2


def test_no_name_is_a_mistake() -> None:
    result = run()
    assert result.exit_code == 2 and "edition-needed" in result.stderr
