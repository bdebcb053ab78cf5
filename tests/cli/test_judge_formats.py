"""`judge` for the job file and for many records: one page, rows of a spreadsheet, lines as they are judged."""

from __future__ import annotations

import csv
import io
import json
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from cli.test_commands import EXAMPLES, FAIL, INVALID, OPEN, PASS, UNDER, run, valid
from rendering.pages import held_to

MANY = (PASS, FAIL, INVALID, OPEN)


def content(file: Path) -> dict[str, Any]:
    """A record as a line of JSON holds it."""
    found: dict[str, Any] = json.loads(run("judge", file, *UNDER, "--format", "json").stdout)
    of_record: dict[str, Any] = found["record"]["content"]
    return of_record


# html


def test_one_record_is_a_page_whose_heading_is_the_first_line_of_the_text() -> None:
    for record in MANY:
        page = run("judge", record, *UNDER, "--format", "html")
        told = run("judge", record, *UNDER)
        assert held_to(page.stdout).said("h1") == [told.stdout.splitlines()[0]]
        assert (page.exit_code, page.stderr) == (told.exit_code, "")


def test_many_records_are_one_page_with_a_list_at_the_top_and_a_part_for_each() -> None:
    page = held_to(run("judge", *MANY, *UNDER, "--format", "html").stdout)
    assert page.said("h1") == ["4 records judged: 1 pass, 1 fail, 1 invalid, 1 incomplete"]
    assert [each["class"] for each in page.all("article")] == [f"record-{number}" for number in (1, 2, 3, 4)]
    assert [said for said in page.said("a") if said.startswith("TS-")] == ["TS-0401", "TS-0411", "TS-0416", "TS-0435"]


def test_a_folder_with_one_record_is_a_list_of_one(tmp_path: Path) -> None:
    shutil.copy(PASS, tmp_path)
    assert held_to(run("judge", tmp_path, *UNDER, "--format", "html").stdout).said("h1") == ["1 record judged: 1 pass"]


# csv


def rows(text: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text.decode(), newline=""), strict=True))


def test_rows_are_read_back_by_any_reader_and_hold_what_the_json_holds() -> None:
    result = run("judge", *MANY, *UNDER, "--format", "csv")
    assert result.exit_code == 1 and result.stdout_bytes.count(b"\r\n") == 5
    found = [json.loads(line) for line in run("judge", *MANY, *UNDER, "--format", "jsonl").stdout.splitlines()]
    for row, verdict in zip(rows(result.stdout_bytes), found, strict=True):
        assert row["record"] == verdict["record"]["id"] and row["file"] == verdict["record"]["file"]
        assert (row["verdict"], row["headline"]) == (verdict["verdict"], verdict["headline"])
        assert row["could be"].split("\n") == verdict["could_be"]
        assert (row["edition"], row["edition digest"]) == ("tern-sound@2016", verdict["rules"]["digest"])
        assert row["record digest"] == verdict["record"]["digest"]
        assert (row["advisory"], row["demonstration"]) == ("no", "yes")
        decide = [each for each in verdict["findings"] if each["decides"]]
        assert row["decided by"].split("\n") == list(dict.fromkeys(each["requirement"] for each in decide))
        told = [] if verdict["verdict"] == "pass" else decide
        assert row["found"] == "\n".join(f"{each['requirement']}: {each['sentence']}" for each in told)
    fail = rows(result.stdout_bytes)[1]
    assert fail["decided by"] == "not-closed-early" and fail["next"].startswith("Hold the indicator lot.")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "＝", "'", " ="])
def test_a_record_cannot_bring_a_formula_into_a_spreadsheet(start: str, tmp_path: Path) -> None:
    formula = f'{start}HYPERLINK("x")'
    file = tmp_path / "r.jsonl"
    file.write_text(json.dumps({**content(FAIL), "id": formula, "job": formula}) + "\n", encoding="utf-8")
    (row,) = rows(run("judge", file, *UNDER, "--format", "csv").stdout_bytes)
    for cell in (row["record"], row["job"]):
        assert cell.startswith("'") and cell[1:].strip() == formula.strip()


# Lines as they are judged


@pytest.mark.parametrize("form", ["jsonl", "csv"])
def test_lines_come_out_while_records_still_come_in(form: str) -> None:
    line = json.dumps(content(PASS))
    command = [sys.executable, "-m", "tautbook", "judge", "-", *UNDER, "--format", form]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as at_work:
        assert at_work.stdin is not None and at_work.stdout is not None
        for _ in range(2):
            at_work.stdin.write(f"{line}\n")
            at_work.stdin.flush()
        said = [at_work.stdout.readline() for _ in range({"jsonl": 1, "csv": 2}[form])]
        # Standard input is still open: nobody has said yet that there are no more records.
        at_work.stdin.close()
        rest = at_work.stdout.read()
    assert "TS-0401" in said[-1] and "TS-0401" in rest
    if form == "jsonl":
        assert [valid(each, "verdict")["verdict"] for each in (*said, *rest.splitlines())] == ["pass", "pass"]
    else:
        assert [row["verdict"] for row in csv.DictReader([*said, *rest.splitlines(keepends=True)])] == ["pass", "pass"]
    assert at_work.returncode == 0


def test_bad_records_between_good_ones_are_told_and_leave_no_line(tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("procedure: dti-lots\nid: 1\n")
    for form, number in (("jsonl", 2), ("csv", 3)):
        result = run("judge", PASS, bad, FAIL, *UNDER, "--format", form)
        assert len(result.stdout_bytes.strip().split(b"\r\n" if form == "csv" else b"\n")) == number
        assert "unknown-procedure" in result.stderr and result.exit_code == 2


@pytest.mark.parametrize("form", ["html", "csv", "jsonl"])
def test_where_nothing_can_be_judged_nothing_is_printed_nor_written(form: str, tmp_path: Path) -> None:
    bad, output = tmp_path / "bad.yaml", tmp_path / "out"
    bad.write_text("- nonsense\n")
    assert run("judge", bad, *UNDER, "--format", form).stdout == ""
    assert run("judge", bad, *UNDER, "--format", form, "--output", output).exit_code == 2
    assert not output.exists()


@pytest.mark.parametrize("form", ["html", "csv", "jsonl"])
def test_output_is_what_would_be_printed_and_replaces_nothing_unasked(form: str, tmp_path: Path) -> None:
    output = tmp_path / "out"
    arguments = ["judge", PASS, FAIL, *UNDER, "--format", form]
    assert run(*arguments, "--output", output).stdout == ""
    assert output.read_bytes() == run(*arguments).stdout_bytes
    refused = run("judge", tmp_path / "none.yaml", *UNDER, "--format", form, "--output", output)
    # It is told before any record is read.
    assert "file-there" in refused.stderr and "none.yaml" not in refused.stderr
    assert run(*arguments, "--output", output, "--replace").exit_code == 1


def test_a_folder_of_records_is_rows_with_those_that_cannot_be_judged_left_out() -> None:
    result = run("judge", EXAMPLES, *UNDER, "--format", "csv")
    assert len(rows(result.stdout_bytes)) == len(list(EXAMPLES.iterdir())) - len(list(EXAMPLES.glob("07*")))
    assert result.exit_code == 2 and "procedure-not-in-edition" in result.stderr
