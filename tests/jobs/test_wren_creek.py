"""The job that ships: what ``ready`` says of it in every form, each kept as read by a person."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from pytest_regressions.file_regression import FileRegressionFixture

from jobs.wren_creek import SHIPPED, ready, run
from tautbook.shape.schemas import load_schema

ROOT = Path(__file__).parents[2]
NAME = "rulesets/tern-sound/jobs/wren-creek"


@pytest.fixture(autouse=True)
def from_the_checkout(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)


def valid(text: str) -> Any:
    found = json.loads(text)
    jsonschema.Draft202012Validator(load_schema("ready")).validate(found)  # type: ignore[arg-type]
    return found


@pytest.mark.parametrize("day", [None, "2026-05-01", "2026-10-05"])
def test_as_text(day: str | None, file_regression: FileRegressionFixture) -> None:
    found = run("ready", NAME, *([] if day is None else ["--on", day]))
    assert found.exit_code == 1 and found.stderr == ""
    file_regression.check(found.stdout.encode(), extension=".txt", binary=True)


def test_as_json(file_regression: FileRegressionFixture) -> None:
    found = run("ready", NAME, "--on", "2026-10-05", "--format", "json")
    assert found.exit_code == 1
    whole = valid(found.stdout)
    whole["engine"]["version"] = "any"
    file_regression.check(f"{json.dumps(whole, indent=2)}\n".encode(), extension=".json", binary=True)


def test_as_a_table(file_regression: FileRegressionFixture) -> None:
    found = run("ready", NAME, "--format", "csv")
    rows = list(csv.reader(io.StringIO(found.stdout, newline="")))
    assert len({len(row) for row in rows}) == 1
    file_regression.check(found.stdout.encode(), extension=".csv", binary=True)


def test_each_kind_of_standing_is_there() -> None:
    """It has something to say of each; only figures from memory, which no shipped edition has, are not among them."""
    tests = valid(run("ready", NAME, "--on", "2026-10-05", "--format", "json").stdout)["tests"]
    assert {each["state"] for each in tests} == {
        "passed", "failed", "invalid", "incomplete", "in doubt", "missing", "expired", "left out"
    }  # fmt: skip


def test_the_first_line_counts_what_is_listed_below() -> None:
    found = valid(run("ready", NAME, "--format", "json").stdout)
    assert found["asked"] == sum(each["state"] != "left out" for each in found["tests"]) == 14
    assert found["passed"] == sum(each["state"] == "passed" for each in found["tests"])
    assert found["headline"].startswith(f"not ready: {found['passed']} of 14 tests that tern-sound@wren-creek asks for")


def test_without_a_day_nothing_expires_and_no_clock_is_read() -> None:
    found = valid(run("ready", NAME, "--format", "json").stdout)
    assert not {each["code"] for each in found["in_the_way"]} & {"expired", "out-of-calibration"}
    assert {each["until"] for each in found["tests"]} == {None, "2026-09-30"}
    assert all(rule["on_the_day"] is None for each in found["equipment"] for rule in each["usable"])


@pytest.mark.parametrize(("day", "state"), [("2026-09-30", "passed"), ("2026-10-01", "expired")])
def test_a_test_counts_to_the_last_day_that_the_contract_sets(day: str, state: str) -> None:
    found = valid(run("ready", NAME, "--on", day, "--format", "json").stdout)
    assert found["tests"][0]["record"]["id"] == "WC-01" and found["tests"][0]["state"] == state


@pytest.mark.parametrize(("day", "out"), [("2026-07-20", False), ("2026-07-21", True)])
def test_a_device_is_out_of_calibration_by_the_rule_of_the_edition(day: str, out: bool) -> None:
    found = valid(run("ready", NAME, "--on", day, "--format", "json").stdout)
    texts = [each["text"] for each in found["in_the_way"] if each["code"] == "out-of-calibration"]
    assert any("device TD-3" in text for text in texts) == out


def test_records_are_judged_by_the_edition_of_the_job() -> None:
    found = run("judge", f"{NAME}/records/WC-04-lot-d100.yaml", "--job", NAME, "--format", "json")
    rules = json.loads(found.stdout)["rules"]
    assert (rules["ruleset"], rules["edition"], rules["enacted"]) == ("tern-sound", "wren-creek", True)
    assert [each["name"] for each in rules["layers"]] == ["tern-sound@2021", "tern-sound@2025"]


def test_limits_are_those_of_the_edition_of_the_job() -> None:
    found = run("limits", "--job", NAME, "--procedure", "dti-lot")
    assert found.exit_code == 0 and found.stdout.startswith("limits of dti-lot under tern-sound@wren-creek")


def test_an_edition_and_a_job_are_not_named_together() -> None:
    found = run("judge", f"{NAME}/records", "--job", NAME, "--under", "tern-sound@2025")
    assert found.exit_code == 2 and "an edition is named, and a job as well" in found.stderr


def test_its_file_can_be_named_too() -> None:
    assert ready(SHIPPED / "job.yaml").exit_code == 1
