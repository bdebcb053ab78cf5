"""``tautbook sheet --format csv|xlsx``: what comes out is filled in with worked records, and judged like them."""

from __future__ import annotations

import csv
import datetime
import io
import re
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from click.testing import CliRunner, Result
from openpyxl import Workbook, load_workbook

from records.tables import rows_of, saved, typed
from tautbook import Shelf, read_record
from tautbook.cli.group import tautbook
from tautbook.records.read import read_records
from tautbook.records.record import content

EXAMPLES = Path(__file__).parents[2] / "rulesets" / "tern-sound" / "examples"
KNOWN = ["--given", "bolt.diameter=7/8 in", "--given", "bolt.grade=A325", "--given", "indicator.spaces=5",
         "--given", "tested=2026-04-14", "--given", "bolt.lot==1+1"]  # fmt: skip


def run(*arguments: str) -> Result:
    return CliRunner().invoke(tautbook, arguments)


def table(procedure: str, *more: str, under: str = "tern-sound@2025") -> Result:
    return run("sheet", "--under", under, "--procedure", procedure, *more)


def workbook(tmp_path: Path, procedure: str, *more: str) -> Path:
    file = tmp_path / "empty.xlsx"
    found = table(procedure, "--format", "xlsx", "--output", str(file), *more)
    assert found.exit_code == 0, found.output
    return file


def filled(heads: list[str], path: Path) -> list[list[str]]:
    """The readings of a worked record under these headings; every one of them has its place."""
    ((record, problems),) = read_records(path.read_bytes(), path.name)
    assert record is not None, problems
    rows = []
    for row in rows_of(content(record.shaped)):
        cells = [row.pop(head.partition(" [")[0], "") for head in heads]
        assert not row, row
        rows.append(cells)
    return rows


WORKED = ["0401-pass-seven-eighths", "0404-pass-one-inch-a490-in-kn", "0411-fail-closed-early",
          "0434-pass-one-set-aside", "0467-pass-own-observation", "0601-pass-short-bolt",
          "0701-pass-rotational-capacity", "0801-pass-in-the-work"]  # fmt: skip


@pytest.mark.parametrize("name", WORKED)
def test_filled_in_it_is_the_worked_record(name: str, tmp_path: Path) -> None:
    path = EXAMPLES / f"{name}.yaml"
    wanted = read_record(path)
    out = table(wanted.procedure, "--format", "csv")
    assert out.exit_code == 0, out.output
    heads = next(csv.reader(io.StringIO(out.stdout)))
    if name.endswith("in-kn"):
        # Who reads in other units strikes those of the headings, and writes them into the cells.
        heads = [head.partition(" [")[0] for head in heads]
    rows = filled(heads, path)

    text = io.StringIO(newline="")
    csv.writer(text).writerows([heads, *rows])
    ((record, problems),) = read_records(text.getvalue().encode(), "x.csv")
    assert record is not None, problems

    book = load_workbook(workbook(tmp_path, wanted.procedure))
    for column, head in enumerate(heads, 1):
        book["readings"].cell(1, column).value = head
    for number, cells in enumerate(rows, 3):
        for column, (head, cell) in enumerate(zip(heads, cells, strict=True), 1):
            book["readings"].cell(number, column).value = typed(head, cell) if cell else None
    ((again, problems),) = read_records(saved(book), "x.xlsx")
    assert again is not None, problems
    ((plain, _),) = read_records(path.read_bytes(), path.name)
    assert plain is not None and record.digest == again.digest == plain.digest


@pytest.mark.parametrize("edition", ["2016", "2021", "2025"])
def test_every_column_of_every_procedure_can_be_read(edition: str, tmp_path: Path) -> None:
    for procedure in Shelf.default().edition("tern-sound", edition).procedures:
        out = table(procedure, "--format", "csv", under=f"tern-sound@{edition}").stdout
        heads, labels, first, *_ = csv.reader(io.StringIO(out))
        assert len(heads) == len(labels) > 30 and first[0] == procedure
        data = "\n".join([",".join(heads), ",".join("x" if each == "id" else each for each in first)])
        problems = [problem for _, told in read_records(data.encode(), "x.csv") for problem in told]
        assert {problem.code for problem in problems} <= {"missing-key"}, problems


def test_columns_stand_as_their_boxes_do_on_the_form_and_under_the_same_names(tmp_path: Path) -> None:
    out = table("dti-lot", "--format", "csv", *KNOWN).stdout
    heads, labels, *_ = csv.reader(io.StringIO(out))
    paths = [head.partition(" [")[0] for head in heads]
    file = tmp_path / "sheet.html"
    assert table("dti-lot", "--output", str(file), *KNOWN).exit_code == 0
    names = re.findall(r'<(?:input|select)[^>]* name="([^" ]+)"', file.read_text(encoding="utf-8"))
    once = [re.sub(r"^specimens\[1\]", "specimens", name) for name in names]
    once = [name for name in once if not name.startswith("specimens[")]
    assert paths == once
    named = dict(zip(paths, labels, strict=True))
    assert named["tested"] == "date of test" and named["gauge.id"] == "gauge mark"
    assert named["specimens.at_verification.refusals"] == "refusals (at the verification tension)"
    assert named["device.corrections.points[2].dial"] == "dial (point 2)"
    assert named["notes"] == "notes" and named["specimens.notes"] == "notes (specimen)"
    book = load_workbook(workbook(tmp_path, "dti-lot", *KNOWN))
    assert [cell.value for cell in book["readings"][2]] == labels
    second = {row[0].value: row[1].value for row in book["figures"].iter_rows() if row[0].value in heads}
    assert second == dict(zip(heads, ["procedure", *labels[1:]], strict=True))


def test_an_empty_one_asks_for_what_is_missing(tmp_path: Path) -> None:
    file = workbook(tmp_path, "dti-lot", *KNOWN)
    found = run("judge", str(file), "--under", "tern-sound@2025")
    assert found.exit_code == 2 and "has no `id`" in found.stderr and "page readings, row 3" in found.stderr


def test_what_is_given_is_filled_in_and_none_of_it_runs(tmp_path: Path) -> None:
    out = table("dti-lot", "--format", "csv", *KNOWN).stdout
    assert '"\'=1+1"' in out and '"7/8"' in out and '"2026-04-14"' in out
    page = load_workbook(workbook(tmp_path, "dti-lot", *KNOWN))["readings"]
    there: dict[str, Any] = {str(cell.value): page.cell(3, cell.column) for cell in page[1]}
    assert there["bolt.lot"].value == "=1+1" and there["bolt.lot"].data_type != "f" and there["bolt.lot"].quotePrefix
    assert there["tested"].value == datetime.datetime(2026, 4, 14) and there["indicator.spaces"].value == 5
    assert there["bolt.diameter [in]"].value == "7/8" and there["bolt.diameter [in]"].number_format == "@"
    rows = [row for row in page.iter_rows(min_row=3) if any(cell.number_format == "@" for cell in row)]
    assert len(rows) == 3


def test_the_second_page_has_the_figures_and_the_words(tmp_path: Path) -> None:
    book = load_workbook(workbook(tmp_path, "dti-lot", *KNOWN))
    lines = [[cell for cell in row if cell is not None] for row in book["figures"].iter_rows(values_only=True)]
    said = {line[0]: line[1] for line in lines if len(line) > 1}
    assert said["load to stop at and count"].endswith("at least 40.95 kip is asked for")
    assert any("stand clear of both ends" in str(line[0]) for line in lines if line)
    listed = {line[0]: line[3:] for line in lines if len(line) > 3 and line[2] in ("allowed", "likely")}
    assert listed["head_held"] == ["yes", "no"] and listed["wrench"][0] == "hand"
    assert "7/8" in listed["bolt.diameter [in]"] and "0.40 mm" not in listed["gauge.thickness [in]"]
    page = book["readings"]
    checks = {str(each.sqref).partition("3:")[0]: each for each in page.data_validations.dataValidation}
    (column,) = (cell.column_letter for cell in page[1] if cell.value == "wrench")
    place = checks[column].formula1
    cells = book["figures"][place.partition("!")[2].replace("$", "")]
    assert [cell.value for cell in cells[0]] == listed["wrench"] and checks[column].showErrorMessage


class OnAnotherDay(datetime.datetime):
    @classmethod
    def now(cls, tz: datetime.tzinfo | None = None) -> datetime.datetime:  # type: ignore[override]
        return datetime.datetime(2031, 1, 1, tzinfo=tz)


def test_the_same_bytes_on_any_day(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = workbook(tmp_path, "dti-lot").read_bytes()
    (tmp_path / "empty.xlsx").unlink()
    monkeypatch.setattr("time.localtime", lambda *_: (2031, 1, 1, 0, 0, 0, 0, 1, 0))
    for part in ("packaging.core", "writer.excel"):
        clock = SimpleNamespace(datetime=OnAnotherDay, timezone=datetime.timezone)
        monkeypatch.setattr(f"openpyxl.{part}.datetime", clock)
    assert Workbook().properties.created == datetime.datetime(2031, 1, 1), "the clock is the one that openpyxl reads"
    assert workbook(tmp_path, "dti-lot").read_bytes() == first
    out = table("dti-lot", "--format", "xlsx")
    assert out.stdout_bytes == first


def test_where_openpyxl_is_not_installed_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    found = table("dti-lot", "--format", "xlsx")
    assert found.exit_code == 2 and "tautbook[excel]" in found.stderr and not found.stdout
    assert table("dti-lot", "--format", "csv").exit_code == 0
