"""Every worked record of the shipped editions that a table can hold, written as one, read back, and judged the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from records.tables import Row, as_csv, as_excel, holds, rows_of, with_units
from tautbook import Shelf, read_record
from tautbook.editions.edition import Edition
from tautbook.judging.verdict import judge_record
from tautbook.records.evidence import with_evidence
from tautbook.records.folder import Folder
from tautbook.records.read import read_records
from tautbook.records.record import Record, content

WORKED = sorted((Path(__file__).parents[2] / "rulesets" / "tern-sound" / "examples").glob("*.yaml"))
EDITIONS = [Shelf.default().edition("tern-sound", edition) for edition in ("2016", "2021", "2025")]


def named(path: Path) -> str:
    return path.stem


def alone(path: Path) -> Record:
    """The record as it was written, the others that it rests on still named."""
    ((record, problems),) = read_records(path.read_bytes(), str(path))
    assert record is not None, problems
    return record


CAN = [path for path in WORKED if holds(content(alone(path).shaped))]


def test_nearly_all_of_them_fit_a_table() -> None:
    assert len(CAN) > 100
    assert {path.stem.partition("-")[0] for path in WORKED if path not in CAN} == {"0614"}


@pytest.mark.parametrize("path", CAN, ids=named)
def test_read_back_as_the_same_record(path: Path) -> None:
    rows = rows_of(content(alone(path).shaped))
    wanted = read_record(path)
    tables = [(as_csv(rows), ".csv"), (as_csv(with_units(rows)), ".csv"), (as_excel(with_units(rows)), ".xlsx")]
    for data, ending in tables:
        ((record, problems),) = read_records(data, str(path.with_suffix(ending)))
        assert record is not None, problems
        record, problems = with_evidence(record, Folder(path.parent))
        assert record is not None, problems
        assert record.digest == wanted.digest


def outcomes(record: Record, edition: Edition) -> tuple[str, list[tuple[str, str | None, str]]] | list[str]:
    """The verdict and every finding, or why there is none."""
    verdict, problems = judge_record(record, edition)
    if verdict is None:
        return [problem.code for problem in problems]
    return verdict.verdict, [(each.id, each.item, each.outcome) for each in verdict.findings]


def test_all_in_one_table_judged_the_same_by_every_edition() -> None:
    folder = CAN[0].parent
    rows: list[Row] = [row for path in CAN for row in rows_of(content(alone(path).shaped))]
    in_text = list(read_records(as_csv(rows), str(folder / "all.csv")))
    in_book = list(read_records(as_excel(rows), str(folder / "all.xlsx")))
    for (one, told), (other, also), path in zip(in_text, in_book, CAN, strict=True):
        assert one is not None and other is not None, (told, also)
        assert one.digest == other.digest and one.file.rpartition(" row ")[0].endswith("all.csv")
        whole, told = with_evidence(one, Folder(folder))
        assert whole is not None, told
        wanted = read_record(path)
        for edition in EDITIONS:
            assert outcomes(whole, edition) == outcomes(wanted, edition)
