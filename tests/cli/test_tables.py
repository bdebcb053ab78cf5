"""Commands that are given tables: what they print, where they find records, and their exit status."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from jobs.wren_creek import GOOD as IN_THE_JOB
from jobs.wren_creek import good, ready
from records.tables import Row, as_csv, as_excel, rows_of
from tautbook import read_record
from tautbook.cli.group import tautbook
from tautbook.records.read import read_records
from tautbook.records.record import content

EXAMPLES = Path(__file__).parents[2] / "rulesets" / "tern-sound" / "examples"
UNDER = ("--under", "tern-sound@2025")


def rows(*paths: Path) -> list[Row]:
    found: list[Row] = []
    for path in paths:
        ((record, problems),) = read_records(path.read_bytes(), path.name)
        assert record is not None, problems
        found += rows_of(content(record.shaped))
    return found


def worked(*numbers: str) -> list[Row]:
    return rows(*(next(EXAMPLES.glob(f"{number}-*")) for number in numbers))


def run(*arguments: str | Path, input: bytes | None = None) -> Result:
    return CliRunner().invoke(tautbook, list(map(str, arguments)), prog_name="tautbook", input=input)


def test_a_table_is_judged_record_by_record(tmp_path: Path) -> None:
    (tmp_path / "april.csv").write_bytes(as_csv(worked("0401", "0411", "0435")))
    found = run("judge", tmp_path / "april.csv", *UNDER)
    assert found.exit_code == 1 and "3 records judged: 1 pass, 1 fail, 1 incomplete" in found.stdout
    assert "april.csv row 5" in found.stdout and found.stderr == ""
    (tmp_path / "april.xlsx").write_bytes(as_excel(worked("0401")))
    found = run("judge", tmp_path / "april.xlsx", *UNDER, "--format", "json")
    assert found.exit_code == 0 and json.loads(found.stdout)["record"]["id"] == "TS-0401"
    assert json.loads(found.stdout)["record"]["digest"] == read_record(next(EXAMPLES.glob("0401-*"))).digest
    assert read_record(tmp_path / "april.xlsx").id == "TS-0401"


@pytest.mark.parametrize("form", [as_csv, as_excel], ids=["csv", "xlsx"])
def test_one_bad_record_does_not_stop_the_others(form: object, tmp_path: Path) -> None:
    table = worked("0401", "0411")
    table[0]["gauge.thickness"] = "0,005 in"
    data = as_csv(table) if form is as_csv else as_excel(table)
    found = run("judge", "-", *UNDER, input=data)
    assert found.exit_code == 2 and "TS-0411" in found.stdout and "TS-0401" not in found.stdout
    assert "row 2, column" in found.stderr and "help: write `0.005 in`" in found.stderr


def test_a_bad_table_alone_prints_nothing(tmp_path: Path) -> None:
    (tmp_path / "x.csv").write_bytes(as_csv(worked("0401")).replace(b"wrench", b"wrenhc"))
    found = run("judge", tmp_path / "x.csv", *UNDER)
    assert found.exit_code == 2 and found.stdout == "" and "did you mean `wrench`?" in found.stderr


def test_replay_takes_tables_as_well(tmp_path: Path) -> None:
    (tmp_path / "all.csv").write_bytes(as_csv(worked("0409", "0401")))
    found = run("replay", "tern-sound@2021", "tern-sound@2025", tmp_path / "all.csv")
    assert found.exit_code == 1 and "1 of 2 records comes out differently" in found.stdout


def test_records_rest_on_rows_of_a_table_and_the_other_way_round(tmp_path: Path) -> None:
    (tmp_path / "lots.csv").write_bytes(as_csv(worked("0411", "0401")))
    short = worked("0601")
    short[0]["evidence.long_bolt"] = "TS-0401"
    (tmp_path / "short.xlsx").write_bytes(as_excel(short))
    (tmp_path / "~$short.xlsx").write_bytes(b"what a program keeps beside an open workbook")
    found = run("judge", tmp_path, *UNDER)
    assert "3 records judged: 2 pass, 1 fail" in found.stdout, found.output
    (tmp_path / "one.csv").write_bytes(as_csv(worked("0401")))
    (tmp_path / "lots.csv").unlink()
    short[0]["evidence.long_bolt"] = "one.csv"
    (tmp_path / "short.xlsx").write_bytes(as_excel(short))
    assert run("judge", tmp_path / "short.xlsx", *UNDER).exit_code == 0


def test_a_job_is_ready_with_its_records_in_a_table(tmp_path: Path) -> None:
    job = good(tmp_path / "job")
    wanted = ready(job)
    paths = sorted((job / "records").glob("*.yaml"))
    assert len(paths) == len(IN_THE_JOB)
    (job / "records" / "all.xlsx").write_bytes(as_excel(rows(*paths)))
    twice = ready(job)
    assert twice.exit_code == 1 and "2 records have the number WC-01" in twice.stdout
    assert "records/all.xlsx row 2" in twice.stdout
    for path in paths:
        path.unlink()
    found = ready(job)
    assert found.exit_code == wanted.exit_code == 0, found.output
    assert found.stdout.partition("\n")[0] == wanted.stdout.partition("\n")[0]
    (job / "records" / "all.xlsx").write_bytes(b"PK")
    assert ready(job).exit_code == 2
