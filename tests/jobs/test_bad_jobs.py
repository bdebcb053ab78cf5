"""Jobs that cannot be used: each problem with its place, nothing on standard output, exit status 2."""

from __future__ import annotations

import datetime
import json
import shutil
import time
from pathlib import Path
from typing import Any

import pytest

from jobs.wren_creek import SHIPPED, change, good, read, ready, run, write


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return good(tmp_path / "job")


def refused(folder: Path, *told: str) -> str:
    found = ready(folder)
    assert found.exit_code == 2 and found.stdout == "", found.output
    for each in told:
        assert each in found.stderr, found.stderr
    return found.stderr


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "nothing"),
        ("[]\n", "fields"),
        ("a job\n", "fields"),
        ("job: [\n", "job.yaml:"),
        ("\x00\x01", "job.yaml"),
        ("job: x\njob: y\n", "job.yaml:2:1"),
        ("job: x\nlots: 3\nrecords: r\nassemblies: []\nedition: {ruleset: t}\n", "`lots` holds fields of its own"),
        ("job: x\nlots: {}\nrecords: .\nassemblies: []\nletting: 2026-01-01\nedition: {ruleset: t}\n", "is empty"),
        ("procedure: dti-lot\nid: 3\n", "this file has no `job`"),
    ],
)
def test_nonsense(tmp_path: Path, text: str, told: str) -> None:
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    refused(tmp_path, told)


def test_what_is_no_job_at_all(tmp_path: Path) -> None:
    refused(tmp_path, "there is no such file")
    refused(tmp_path / "nowhere.yaml", "there is no such file")
    assert run("ready", "a\0b").exit_code == 2


def test_all_problems_come_at_once_each_with_its_place(job: Path) -> None:
    whole = read(job)
    whole["assemblies"][0]["bolt"]["lot"] = "B-109"
    whole["assemblies"][0]["nut"]["maker"] = "Alder Works"
    whole["lots"]["nut"].append({"lot": "N-11", "maker": "Northfield"})
    whole["dispositions"] = [{"of": "bolt", "lot": "B-0", "decision": "held", "by": "x", "role": "y",
                              "on": datetime.date(2026, 1, 1)}]  # fmt: skip
    write(job, whole)
    told = refused(
        job, "lot-unknown: no bolt lot `B-109` came to this job", "did you mean `B-102`?", "lot-twice", "lot-maker",
        "no bolt lot `B-0`",
    )  # fmt: skip
    assert told.count("job.yaml:") == 4


def test_a_lot_without_its_maker(job: Path) -> None:
    whole = read(job)
    del whole["lots"]["bolt"][0]["maker"]
    write(job, whole)
    refused(job, "missing-key: `bolt[1]` has no `maker`")


def test_a_lot_number_of_two_makers_needs_the_maker(job: Path) -> None:
    whole = read(job)
    whole["lots"]["bolt"].append({**whole["lots"]["bolt"][0], "maker": "Alder Works"})
    write(job, whole)
    refused(job, "two makers gave bolt lot `B-101`", "add `maker`: Northfield, Alder Works")


def test_a_length_that_is_not_that_of_the_lot(job: Path) -> None:
    whole = read(job)
    whole["assemblies"][0]["bolt"]["length"] = "3 in"
    write(job, whole)
    refused(job, "disagrees: bolt lot B-101 (Northfield) came as 4 in, and this says 3 in")


@pytest.mark.parametrize("where", ["../outside", "/tmp", "..", "records/../../outside"])
def test_records_outside_of_the_folder_of_the_job(job: Path, where: str) -> None:
    shutil.copytree(job / "records", job.parent / "outside")
    change(job, records=where)
    refused(job, "job-outside: `records` lies outside of the folder of the job")


@pytest.mark.parametrize("part", ["records", "verdicts", "layer"])
def test_a_link_out_of_the_folder_of_the_job(job: Path, part: str) -> None:
    out = job.parent / "outside"
    out.mkdir()
    (out / "x.yaml").write_text("a", encoding="utf-8")
    name = "link.yaml" if part == "layer" else "link"
    (job / name).symlink_to(out / "x.yaml" if part == "layer" else out)
    change(job, **{part: name})
    refused(job, f"job-outside: `{part}` lies outside")


def test_a_link_to_itself_and_a_name_that_is_not_there(job: Path) -> None:
    (job / "ring").symlink_to("ring")
    change(job, records="ring")
    refused(job, "records")
    change(job, records="elsewhere")
    refused(job, "job-missing: there is no folder `elsewhere`")


def test_a_record_that_is_a_link_out_of_the_folder_is_told_and_the_rest_is_shown(job: Path) -> None:
    path = next((job / "records").glob("WC-03-*"))
    shutil.move(path, job.parent / "WC-03.yaml")
    path.symlink_to(job.parent / "WC-03.yaml")
    found = ready(job)
    assert found.exit_code == 2
    assert "this link leads out of the folder of the job, and is not followed" in found.stderr
    assert "1 file or record could not be used" in found.stdout and "2 of 3 tests" in found.stdout


def test_a_record_of_nonsense_is_told_and_the_rest_is_shown(job: Path) -> None:
    (job / "records" / "x.yaml").write_text("nonsense", encoding="utf-8")
    (job / "records" / "y.json").write_text("{", encoding="utf-8")
    found = ready(job)
    assert found.exit_code == 2 and "x.yaml" in found.stderr and "y.json" in found.stderr
    assert found.stdout.startswith("not ready: 3 of 3 tests")


def test_records_that_rest_on_each_other_in_a_ring(job: Path) -> None:
    path = next((job / "records").glob("WC-03-*"))
    path.write_text(path.read_text("utf-8") + "retest_of: WC-03\nevidence: {earlier: WC-03}\n", encoding="utf-8")
    found = ready(job)
    assert found.exit_code == 2 and "evidence-circle" in found.stderr and "2 of 3 tests" in found.stdout


# The edition


@pytest.mark.parametrize(
    ("edition", "told"),
    [
        ({"ruleset": "tern-sound", "edition": "2025"}, "`edition` needs `digest` beside it"),
        ({"ruleset": "tern-sound", "edition": "2025", "digest": "m1:0"}, "job-digest: tern-sound@2025 is not the one"),
        ({"ruleset": "tern-sound", "edition": "2031", "digest": "m1:0"}, "unknown-edition"),
        ({"ruleset": "x"}, "there is no ruleset `x`"),
    ],
)
def test_an_edition_that_cannot_be_used(job: Path, edition: dict[str, Any], told: str) -> None:
    change(job, edition=edition)
    refused(job, told)


@pytest.mark.parametrize(
    ("day", "edition"),
    [("2016-03-01", "2016"), ("2021-06-30", "2016"), ("2021-07-01", "2021"), ("2026-01-15", "2025")],
)
def test_the_edition_in_force_on_the_letting_date(job: Path, day: str, edition: str) -> None:
    whole = read(job)
    del whole["layer"]
    letting = datetime.date.fromisoformat(day)
    write(job, {**whole, "edition": {"ruleset": "tern-sound"}, "letting": letting})
    found = json.loads(ready(job, "--format", "json").stdout)
    assert found["rules"]["edition"] == edition


def test_no_edition_was_in_force_or_no_day_is_known(job: Path) -> None:
    whole = read(job)
    write(job, {**whole, "edition": {"ruleset": "tern-sound"}, "letting": datetime.date(2016, 2, 29)})
    refused(job, "no enacted edition of tern-sound was in force on 2016-02-29")
    del whole["letting"]
    write(job, {**whole, "edition": {"ruleset": "tern-sound"}})
    refused(job, "nothing says which edition governs")


def test_a_layer_of_another_edition(job: Path) -> None:
    change(job, edition={"ruleset": "tern-sound"}, letting=datetime.date(2022, 1, 1))
    refused(job, "job-layer: the layer of this contract amends tern-sound@2025, and the contract names tern-sound@2021")


def test_a_layer_that_was_changed_after_it_was_enacted_or_never_was(job: Path) -> None:
    text = (job / "contract.yaml").read_text("utf-8")
    (job / "contract.yaml").write_text(text.replace("6 months", "9 months"), encoding="utf-8")
    refused(job, "enacted-changed")
    (job / "enacted.yaml").unlink()
    refused(job, "draft: tern-sound@wren-creek is a draft")
    assert ready(job, "--draft").exit_code == 0
    assert "draft rules, not enacted" in ready(job, "--draft").stdout.splitlines()[0]


@pytest.mark.parametrize("day", ["2026-13-01", "4 May", "2026-02-30", ""])
def test_a_day_that_is_none(job: Path, day: str) -> None:
    assert ready(job, "--on", day).exit_code == 2


# Text that could do harm, and much of it

def test_hostile_text_is_shown_as_text(job: Path) -> None:
    whole = read(job)
    for part in ("title", "contract", "owner"):
        whole[part] = "=1+1\u202e<script>"
    whole["assemblies"][0]["connection"]["mark"] = "=1+1\u202e"
    write(job, whole)
    for form in ("text", "csv"):
        found = ready(job, "--format", form)
        assert found.exit_code == 1 and "\u202e" not in found.stdout
    assert "\"'mark of" not in found.stdout and "mark of the connection: =1+1\\u202e" in found.stdout
    found = ready(job, "--sample", "=1+1\u202e", "--seed", "\u202e\x1b[2J")
    assert "\u202e" not in found.stdout and "\x1b" not in found.stdout


def test_many_lots(job: Path) -> None:
    """2,500 lots and as many assemblies; the time grows with their number, not with its square."""

    def seconds(number: int) -> float:
        whole = json.loads(json.dumps(read(job), default=str))
        lot, assembly = whole["lots"]["bolt"][0], whole["assemblies"][0]
        whole["lots"]["bolt"] += [{**lot, "lot": f"X-{n}"} for n in range(number)]
        whole["assemblies"] += [{**assembly, "bolt": {"lot": f"X-{n}"}} for n in range(number)]
        (job / "job.json").write_text(json.dumps(whole), encoding="utf-8")
        start = time.perf_counter()
        assert ready(job / "job.json").exit_code == 1
        return time.perf_counter() - start

    few = seconds(250)
    assert seconds(2_500) < 40 * few


def test_the_shipped_job_is_read_from_a_folder_of_any_name(tmp_path: Path) -> None:
    shutil.copytree(SHIPPED, tmp_path / "a b'c")
    assert ready(tmp_path / "a b'c").exit_code == 1
