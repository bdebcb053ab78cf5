"""What ``judge`` and ``sheet`` say of the job that a record is of, and that it never touches the verdict."""

from __future__ import annotations

import csv
import io
import json
import shutil
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from jobs.wren_creek import SHIPPED, edit, good, run
from tautbook.shape.schemas import load_schema


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return good(tmp_path / "job")


def judged(record: Path, *arguments: str | Path) -> dict[str, Any]:
    found = json.loads(run("judge", record, *arguments, "--format", "json").stdout)
    jsonschema.Draft202012Validator(load_schema("verdict")).validate(found)  # type: ignore[arg-type]
    return dict(found)


def of(job: Path, id: str) -> Path:
    return next((job / "records").glob(f"{id}-*"))


def test_the_edition_of_a_contract_is_never_taken_for_another_of_its_ruleset() -> None:
    """That would drop what the contract changes."""
    found = run("judge", of(SHIPPED, "WC-03"), "--under", "tern-sound@wren-creek")
    assert found.exit_code == 2 and "did you mean" not in found.stderr
    assert "if it is the edition of a job's contract, name the job: --job FOLDER; at hand:" in found.stderr


def test_a_slip_in_the_name_of_a_ruleset_is_still_guessed() -> None:
    found = run("judge", of(SHIPPED, "WC-03"), "--under", "tern-sond@2025")
    assert "did you mean `tern-sound@2025`?" in found.stderr


def test_a_record_that_names_a_job_is_judged_by_another_edition_with_a_caution() -> None:
    record = of(SHIPPED, "WC-03")
    found = run("judge", record, "--under", "tern-sound@2025")
    assert found.exit_code == 0
    words = " ".join(found.stdout.split())
    assert "caution the record names the job wren-creek: `--job` judges it by the edition that governs there" in words
    assert judged(record, "--under", "tern-sound@2025")["remarks"] == [
        "the record names the job wren-creek: `--job` judges it by the edition that governs there; "
        "this is by tern-sound@2025"
    ]


@pytest.mark.parametrize("by", [["--job", SHIPPED], ["--under", SHIPPED / "contract.yaml"]])
def test_by_the_edition_of_its_job_there_is_no_caution(by: list[str | Path]) -> None:
    assert "remarks" not in judged(of(SHIPPED, "WC-01"), *by)


def test_judge_tells_what_ready_would_find_about_the_record(job: Path, tmp_path: Path) -> None:
    """A record from elsewhere: lots, gauge and quantity are held to the papers, and the lot has a record already."""
    record = Path(shutil.copy(of(job, "WC-03"), job / "records" / "WC-90-new.yaml"))
    for old, new in (("id: WC-03", "id: WC-90"), ("id: G-2", "id: FG-7"), ("one_lot: true", "quantity: 1200"),
                     ("wrench: hand\n", "wrench: hand\nwasher: {lot: W-19, maker: Northfield}\n")):  # fmt: skip
        edit(job, "WC-90", old, new)
    new_record = Path(shutil.move(record, tmp_path / "new.yaml"))
    with_job, without = judged(new_record, "--job", job), judged(new_record, "--under", job / "contract.yaml")
    assert with_job["remarks"] == [
        "record WC-90 is of washer lot W-19, which did not come to this job. Check the number on the containers.",
        "record WC-90 was made with gauge FG-7, of which the job has no certificate. "
        "File its certificate, or repeat the test.",
        "record WC-90 has 1200 of indicator lot D-78 (Northfield), and 110 came. Compare both with the delivery note.",
        "of indicator lot D-78 (Northfield), bolt diameter 7/8 in, bolt grade A325 there is on record: "
        "WC-03 of 2026-04-01 (pass); this record names none that it repeats",
    ]
    assert {**with_job, "remarks": None} == {**without, "remarks": None}


def test_judge_tells_that_a_number_was_given_already(job: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.yaml"
    text = of(job, "WC-03").read_text(encoding="utf-8").replace("46.5 kip", "46 kip")
    other.write_text(text, encoding="utf-8")
    assert any("2 records have the number WC-03" in each for each in judged(other, "--job", job)["remarks"])
    same = Path(shutil.copy(of(job, "WC-03"), tmp_path / "same.yaml"))
    assert "remarks" not in judged(same, "--job", job)


def test_a_sheet_of_a_job_has_how_many_came(job: Path) -> None:
    by = ("--job", job, "--procedure", "dti-lot", "--given", "indicator.lot=D-78", "--given", "bolt.lot=B-101")
    head, _, first, *_ = csv.reader(io.StringIO(run("sheet", *by, "--format", "csv").stdout))
    cells = dict(zip(head, first, strict=False))
    assert (cells["indicator.quantity"], cells["bolt.quantity"]) == ("110", "120")
