"""Verdicts stored with a job: what its contract makes of an edition stands on no shelf, and is found in the job."""

from __future__ import annotations

from pathlib import Path

import pytest

from jobs.wren_creek import SHIPPED, change, good, run


def test_the_verdicts_of_the_shipped_job_hold() -> None:
    found = run("recheck", "--job", SHIPPED)
    assert found.exit_code == 0 and found.stdout.startswith("3 of 3 stored verdicts hold\n"), found.output


def test_without_the_job_the_edition_is_not_at_hand_and_the_way_out_is_told() -> None:
    found = run("recheck", SHIPPED / "verdicts" / "WC-01.json")
    assert found.exit_code == 2 and found.stdout == ""
    assert "edition-not-at-hand" in found.stderr and "--job JOB" in found.stderr
    assert run("recheck", SHIPPED / "verdicts" / "WC-01.json", "--job", SHIPPED).exit_code == 0


def test_a_verdict_that_was_altered_does_not_hold(tmp_path: Path) -> None:
    folder = good(tmp_path / "job")
    path = tmp_path / "WC-03.json"
    record = next((folder / "records").glob("WC-03-*"))
    assert run("judge", record, "--job", folder, "--format", "json", "--output", path).exit_code == 0
    assert run("recheck", path, "--job", folder).exit_code == 0
    path.write_text(path.read_text(encoding="utf-8").replace('"verdict": "pass"', '"verdict": "fail"', 1), "utf-8")
    found = run("recheck", path, "--job", folder)
    assert found.exit_code == 1 and found.stdout.startswith("0 of 1 stored verdict hold\n"), found.output


@pytest.mark.parametrize("change_of", [{"layer": "nowhere.yaml"}, {"edition": {"ruleset": "x"}}])
def test_a_job_that_cannot_be_used_is_told(tmp_path: Path, change_of: dict[str, object]) -> None:
    folder = good(tmp_path / "job")
    change(folder, **change_of)
    found = run("recheck", SHIPPED / "verdicts" / "WC-01.json", "--job", folder)
    assert found.exit_code == 2 and found.stdout == "" and "job.yaml" in found.stderr


def test_a_job_without_stored_verdicts_needs_one_named(tmp_path: Path) -> None:
    found = run("recheck", "--job", good(tmp_path / "job"))
    assert found.exit_code == 2 and "verdict-needed" in found.stderr
