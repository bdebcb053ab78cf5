"""``tautbook replay`` as people type it: the lists they read, in every form, however many records there are."""

from __future__ import annotations

import csv
import io
import json
import os
import pty
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st
from pytest_regressions.file_regression import FileRegressionFixture

from tautbook.cli.group import tautbook
from tautbook.rendering.csv_text import cell, csv_row
from tautbook.shape.schemas import load_schema

RULESET = Path(__file__).parents[2] / "rulesets" / "tern-sound"
EXAMPLES = RULESET / "examples"
SAME = EXAMPLES / "0401-pass-seven-eighths.yaml"
OTHER = EXAMPLES / "0407-tie-twelve-months.yaml"
PAIR = ("tern-sound@2016", "tern-sound@2021")


def run(*arguments: str | Path, input: bytes | None = None) -> Result:
    return CliRunner().invoke(tautbook, ["replay", *map(str, arguments)], input=input, prog_name="tautbook")


def valid(text: str) -> Any:
    found = json.loads(text)
    jsonschema.Draft202012Validator(load_schema("replay")).validate(found)  # type: ignore[arg-type]
    return found


@cache
def content(file: Path) -> dict[str, Any]:
    judged = CliRunner().invoke(tautbook, ["judge", str(file), "--under", "tern-sound@2016", "--format", "json"])
    found: dict[str, Any] = json.loads(judged.stdout)["record"]["content"]
    return found


def lines(number: int, *files: Path) -> bytes:
    """That many records in JSON lines, the files taken in turn, each with a number of its own."""
    kinds = [content(file) for file in files]
    texts = [json.dumps({**kinds[i % len(kinds)], "id": f"R-{i}"}) + "\n" for i in range(number)]
    return "".join(texts).encode()


NUMBERS = [*range(401, 477), *range(601, 622), *range(701, 706), *range(801, 812)]
"""Worked records that the kept lists show. All of them are held to their stated verdicts in tests/comparing."""


@pytest.mark.parametrize(
    ("old", "new", "form"),
    [("2016", "2021", "text"), ("2021", "2025", "text"), ("2016", "2025", "text"), ("2021", "2025", "csv")],
)
def test_worked_records_by_two_editions(
    old: str, new: str, form: str, file_regression: FileRegressionFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(EXAMPLES)
    files = [next(Path().glob(f"{number:04}-*.yaml")) for number in NUMBERS]
    result = run(f"tern-sound@{old}", f"tern-sound@{new}", *files, "--format", form)
    assert result.exit_code == (2 if new == "2021" else 1)  # two editions know no rotational-capacity test
    assert form == "csv" or max(map(len, result.stdout.splitlines())) <= 100
    extension = ".txt" if form == "text" else ".csv"
    file_regression.check(result.stdout_bytes, extension=extension, binary=True)


def test_json_is_of_its_schema_and_its_counts_add_up() -> None:
    result = run(*PAIR, SAME, OTHER, OTHER, "--format", "json")
    found = valid(result.stdout)
    assert found["counts"] | {"pairs": 0} == {
        "judged": 3, "different": 2, "same": 1, "same_for_other_reasons": 0, "not_used": 0, "pairs": 0,
    }  # fmt: skip
    assert found["counts"]["pairs"] == [
        {"from": "pass", "to": "invalid", "records": 2}, {"from": "pass", "to": "pass", "records": 1},
    ]  # fmt: skip
    assert [each["id"] for each in found["records"]] == ["TS-0407", "TS-0407"]
    (decides,) = found["records"][0]["deciding"]
    assert (decides["from"]["outcome"], decides["to"]["outcome"]) == ("met", "not met")
    assert result.exit_code == 1


def test_json_without_a_difference_is_of_its_schema_too() -> None:
    result = run(*PAIR, SAME, "--format", "json")
    assert valid(result.stdout)["records"] == [] and result.exit_code == 0


def test_json_lines_are_the_records_of_the_json() -> None:
    whole = json.loads(run(*PAIR, SAME, OTHER, "--format", "json").stdout)
    result = run(*PAIR, SAME, OTHER, "--format", "jsonl")
    assert [json.loads(line) for line in result.stdout.splitlines()] == whole["records"]
    assert "1 of 2 records comes out differently" in result.stderr


def test_the_status_is_that_of_the_comparison_not_of_the_verdicts() -> None:
    fails = EXAMPLES / "0411-fail-closed-early.yaml"
    assert [run(*PAIR, file).exit_code for file in (SAME, fails, OTHER)] == [0, 0, 1]


def test_a_bad_record_is_one_problem_and_not_the_end(tmp_path: Path) -> None:
    file = tmp_path / "r.jsonl"
    file.write_bytes(lines(2, SAME, OTHER) + b'{"procedure": "dti-lot"\n' + b"[[]]\n" + lines(2, SAME, OTHER))
    result = run(*PAIR, file)
    assert "2 of 4 records come out differently" in result.stdout and "2  could not be used" in result.stdout
    assert "r.jsonl line 3:1:1: unclosed-bracket" in result.stderr and "r.jsonl line 4:1:1: not-a-re" in result.stderr
    assert result.exit_code == 2


def test_a_kind_of_test_that_neither_edition_knows_is_one_problem() -> None:
    result = run(*PAIR, SAME, EXAMPLES / "0701-pass-rotational-capacity.yaml")
    assert result.stderr.count("procedure-not-in-edition") == 1
    assert "neither tern-sound@2016 nor tern-sound@2021 has rules" in result.stderr
    assert result.exit_code == 2


def test_a_kind_of_test_that_one_edition_knows_comes_out_differently() -> None:
    result = run("tern-sound@2021", "tern-sound@2025", EXAMPLES / "0703-fail-too-much-torque.yaml")
    assert "no rules -> fail" in result.stdout and result.exit_code == 1


def test_nothing_that_can_be_used_prints_nothing(tmp_path: Path) -> None:
    for form in ("text", "json", "jsonl", "csv"):
        result = run(*PAIR, tmp_path, "--format", form)
        assert (result.stdout, result.exit_code) == ("", 2) and "folder-empty" in result.stderr


@pytest.mark.parametrize(
    ("arguments", "told"),
    [([], "edition-needed"), (["tern-sound@2016"], "edition-needed"), (PAIR, "record-needed"),
     ([PAIR[0], "tern-sound@2022", SAME], "unknown-edition")],
)  # fmt: skip
def test_what_is_missing_is_told(arguments: list[str], told: str) -> None:
    result = run(*arguments)
    assert (result.stdout, result.exit_code) == ("", 2) and told in result.stderr


def test_records_come_through_a_pipe_as_well() -> None:
    whole = run(*PAIR, "-", input=lines(1, OTHER))
    assert "1 of 1 record comes out differently" in whole.stdout
    many = run(*PAIR, "-", input=b"\n" + lines(6, SAME, OTHER))
    assert "3 of 6 records come out differently" in many.stdout
    assert "R-1  pass -> invalid  - line 3" in many.stdout


def test_what_a_record_rests_on_is_found_in_its_folder_as_when_it_is_judged() -> None:
    file = EXAMPLES / "0613-fail-evidence-fails-under-the-next-edition.yaml"
    result = run(*PAIR, file)
    stated = "evidence" in result.stdout or "the same: 1" in result.stdout
    assert stated and result.stderr == ""


# Drafts


def draft(folder: Path) -> Path:
    """The edition of 2016 as a draft: nobody has enacted what stands in this folder."""
    file = folder / "draft.yaml"
    text = (RULESET / "2016.yaml").read_text(encoding="utf-8")
    file.write_text(text.replace('edition: "2016"', 'edition: "2030"'), encoding="utf-8")
    return file


def test_a_draft_is_replayed_on_purpose_and_the_first_line_says_so(tmp_path: Path) -> None:
    file = draft(tmp_path)
    refused = run(PAIR[1], file, OTHER)
    assert (refused.stdout, refused.exit_code) == ("", 2) and "add --draft" in refused.stderr
    told = "tern-sound@2030 is a draft: nobody has enacted it, and it can still change"
    assert run(PAIR[1], file, OTHER, "--draft").stdout.splitlines()[0] == told
    rows = run(PAIR[1], file, OTHER, "--draft", "--format", "csv")
    assert '"tern-sound@2030 (draft)"' in rows.stdout and rows.stderr.splitlines()[0] == told
    assert valid(run(PAIR[1], file, OTHER, "--draft", "--format", "json").stdout)["to"]["enacted"] is False


# Spreadsheets


def test_rows_are_read_back_by_any_reader_and_hold_what_the_json_holds() -> None:
    result = run(*PAIR, SAME, OTHER, "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(result.stdout_bytes.decode(), newline=""), strict=True))
    found = json.loads(run(*PAIR, SAME, OTHER, "--format", "jsonl").stdout)
    assert [row["record"] for row in rows] == [found["id"]]
    assert (rows[0]["old verdict"], rows[0]["new verdict"]) == ("pass", "invalid")
    assert rows[0]["requirements"] == "calibration-in-date"
    assert found["deciding"][0]["to"]["sentence"] in rows[0]["new says"]
    assert result.stdout_bytes.count(b"\r\n") == 2


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", " =", "＝", "'"])
def test_a_record_cannot_bring_a_formula_into_a_spreadsheet(start: str, tmp_path: Path) -> None:
    if start in ("\t", "\r"):  # no record can hold them, and no name of a file need be trusted for it
        assert cell(f"{start}1+1").startswith("'")
        return
    file = tmp_path / "r.jsonl"
    file.write_text(json.dumps({**content(OTHER), "id": f'{start}HYPERLINK("x")'}) + "\n", encoding="utf-8")
    result = run(*PAIR, file, "--format", "csv")
    row = next(csv.DictReader(io.StringIO(result.stdout, newline="")))
    assert row["record"].startswith("'") and row["record"][1:].strip() == f'{start}HYPERLINK("x")'.strip()


@given(st.lists(st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"])), min_size=1))
def test_a_row_gives_its_texts_back(texts: list[str]) -> None:
    (row,) = csv.reader(io.StringIO(csv_row(map(cell, texts)), newline=""), strict=True)
    assert [text.removeprefix("'") if text != "" else "" for text in row] == texts
    assert not any(text[:1] and text[0] in "=+-@\t\r" for text in row)


# Output


def test_output_is_written_whole_and_only_where_nothing_is_in_the_way(tmp_path: Path) -> None:
    output = tmp_path / "out.csv"
    assert run(*PAIR, OTHER, "--format", "csv", "--output", output).stdout == ""
    kept = output.read_bytes()
    assert kept == run(*PAIR, OTHER, "--format", "csv").stdout_bytes
    refused = run(*PAIR, tmp_path / "none.yaml", "--output", output)
    # It is told before any record is read.
    assert "file-there" in refused.stderr and "none.yaml" not in refused.stderr and output.read_bytes() == kept
    assert run(*PAIR, SAME, "--output", output, "--replace").exit_code == 0
    assert output.read_text().startswith("0 of 1 record") and list(tmp_path.iterdir()) == [output]


def command(*arguments: str | Path) -> list[str]:
    return [sys.executable, "-m", "tautbook", "replay", *map(str, arguments)]


def test_progress_is_shown_on_a_terminal_only_and_leaves_nothing_behind(tmp_path: Path) -> None:
    file = tmp_path / "r.jsonl"
    file.write_bytes(lines(45, SAME))
    piped = subprocess.run(command(*PAIR, file), capture_output=True, check=True)
    assert piped.stderr == b""
    ours, theirs = pty.openpty()
    shown = subprocess.run(command(*PAIR, file), stdout=subprocess.PIPE, stderr=theirs, check=True)
    os.close(theirs)
    seen = os.read(ours, 10_000)
    os.close(ours)
    assert shown.stdout == piped.stdout
    assert seen.startswith(b"\r20 records\r40 records") and seen.endswith(b"\r          \r")


MEASURED = """
import sys
from tautbook.cli import main
try:
    main()
finally:
    # Its own: the most that getrusage knows of begins with what the process that started this one held.
    print(next(line for line in open("/proc/self/status") if line.startswith("VmHWM")).split()[1], file=sys.stderr)
"""


def peak(folder: Path, number: int) -> int:
    """The most memory of a replay of that many records, in kB; every second one is listed."""
    file = folder / f"{number}.jsonl"
    short = EXAMPLES / "0809-pass-two-bolts.yaml", EXAMPLES / "0803-invalid-sample-too-small.yaml"
    file.write_bytes(lines(number, *short))
    arguments = ["replay", *PAIR, str(file), "--format", "csv", "--output", str(folder / f"{number}.csv")]
    done = subprocess.run([sys.executable, "-c", MEASURED, *arguments], capture_output=True, text=True, check=False)
    assert done.returncode == 1, done.stderr
    assert f"{number // 2} of {number} records come out differently" in done.stderr
    return int(done.stderr.splitlines()[-1])


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="memory is told in other ways elsewhere")
def test_memory_is_that_of_one_record_however_many_there_are(tmp_path: Path) -> None:
    few, many = peak(tmp_path, 300), peak(tmp_path, 3_000)
    assert many < few + 8_000, (few, many)
