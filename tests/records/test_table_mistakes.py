"""What people are shown of bad tables: text files in ``tables/``, each with the exact text beside it, and workbooks
made here. ``TAUTBOOK_REWRITE=1`` writes new texts; whoever does so has read the difference."""

from __future__ import annotations

import ast
import datetime
import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

import tautbook
from records.tables import page, saved
from tautbook import Shelf
from tautbook.judging.verdict import judge_record
from tautbook.lang.problem import Problem, show
from tautbook.records.read import read_records

FOLDER = Path(__file__).parent / "tables"
BAD = sorted(path for path in FOLDER.glob("*.csv") if path.stem != "good")

HEAD = ["procedure", "id", "tested", "bolt.grade", "bolt.diameter [in]", "indicator.type", "indicator.spaces",
        "head_held", "specimens.at_verification.tension [kip]", "specimens.at_verification.refusals"]  # fmt: skip
FIRST = ["dti-lot", "T-1", datetime.date(2026, 4, 14), "A325", 0.875, 325, 5, True, 41.5, 0]
SECOND = [None, "T-1", None, None, None, None, None, None, 41.8, 1]


def readings() -> tuple[Workbook, Worksheet]:
    book = Workbook()
    sheet = page(book)
    sheet.title = "Readings"
    for row in (HEAD, FIRST, SECOND):
        sheet.append(row)
    return book, sheet


def problems_of(data: bytes, name: str) -> tuple[Problem, ...]:
    return tuple(problem for _, problems in read_records(data, name) for problem in problems)


def shown_exactly(problems: tuple[Problem, ...], kept: Path) -> None:
    shown = "".join(show(problem) + "\n" for problem in problems).encode()
    if os.environ.get("TAUTBOOK_REWRITE") and (not kept.exists() or kept.read_bytes() != shown):
        kept.write_bytes(shown)
    assert shown == kept.read_bytes()
    for problem in problems:
        assert not problem.message.endswith(".") and not problem.message[0].isupper() and problem.help
        assert problem.span is not None or problem.file is not None


def test_the_good_ones_are_good() -> None:
    for data, name in (((FOLDER / "good.csv").read_bytes(), "x.csv"), (saved(readings()[0]), "x.xlsx")):
        ((record, problems),) = read_records(data, name)
        assert record is not None, problems
        assert record.id == "T-1" and record.file == name


def test_a_row_of_labels_is_not_read_wherever_it_stands() -> None:
    head, *rows = (FOLDER / "good.csv").read_text(encoding="utf-8").splitlines()
    labels = ",".join(["labels: this row is not read", "record number", *["x"] * (head.count(",") - 1)])
    ((wanted, _),) = read_records("\n".join([head, *rows]).encode(), "x.csv")
    assert wanted is not None
    for lines in ([head, labels, *rows], [head, rows[0], labels, *rows[1:]]):
        ((record, problems),) = read_records("\n".join(lines).encode(), "x.csv")
        assert record is not None and record.digest == wanted.digest, problems
    ((_, (problem,)),) = read_records("\n".join([head, labels]).encode(), "x.csv")
    assert problem.code == "table-empty"
    # A row that says something else is a row.
    assert problems_of("\n".join([head, labels.replace("not", ""), *rows]).encode(), "x.csv")


def test_an_authoritys_own_answer_is_yes_where_the_heading_says_so() -> None:
    head, first, second = (FOLDER / "good.csv").read_text(encoding="utf-8").splitlines()
    head += ",local.tern-sound.crew_instructed"
    digests = set()
    for unit, answer in ((" [yes/no]", "yes"), (" [yes/no]", "TRUE"), ("", "true")):
        ((record, problems),) = read_records(f"{head}{unit}\n{first},{answer}\n{second},\n".encode(), "x.csv")
        assert record is not None, problems
        digests.add(record.digest)
    assert len(digests) == 1
    ((record, _),) = read_records(f"{head}\n{first},yes\n{second},\n".encode(), "x.csv")
    assert record is not None
    _, (problem,) = judge_record(record, Shelf.default().edition("tern-sound", "2025"))
    assert problem.code == "yes-no" and problem.help is not None and "[yes/no]" in problem.help


def test_the_table_that_the_readme_shows_is_the_good_one() -> None:
    readme = (FOLDER.parents[2] / "README.md").read_text(encoding="utf-8")
    shown = readme.partition("```csv\n")[2].partition("```")[0]
    assert shown == (FOLDER / "good.csv").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_a_bad_text_file(path: Path) -> None:
    shown_exactly(problems_of(path.read_bytes(), path.name), path.with_suffix(".expected"))


Change = Callable[[Workbook, Worksheet], object]


def cell(place: str, value: Any, form: str | None = None) -> Change:
    def change(book: Workbook, sheet: Worksheet) -> None:
        sheet[place] = value
        if form is not None:
            sheet[place].number_format = form

    return change


def hide(book: Workbook, sheet: Worksheet) -> None:
    sheet.row_dimensions[3].hidden = True
    sheet.column_dimensions["D"].hidden = True


def hidden_page(book: Workbook, sheet: Worksheet) -> None:
    other = book.create_sheet("Old readings")
    other.append(HEAD)
    other.sheet_state = "veryHidden"


def notes(book: Workbook, sheet: Worksheet) -> None:
    other = book.create_sheet("Notes")
    other.append(["The first lot came late."])


BOOKS: dict[str, Change] = {
    "row-hidden": hide,
    "page-hidden": hidden_page,
    "heading-form-other-page": notes,
    "cells-merged": lambda book, sheet: sheet.merge_cells("D2:D3"),
    "formula-unsaved": cell("I2", "=40+1.5"),
    "cell-error": cell("J2", "#REF!"),
    "cell-kind-time": cell("J2", datetime.time(12, 30)),
    "cell-kind": cell("D2", True),
    "date-made": cell("E2", datetime.date(2026, 7, 8)),
    "date-made-of-a-number": cell("J2", 1, "yyyy-mm-dd"),
    "date-number": cell("C2", 46126, "General"),
    "date-time": cell("C2", datetime.datetime(2026, 4, 14, 9, 30)),
    "date-form": cell("C2", "4/14/2026"),
    "digits-many": cell("I2", 41.30000000000001),
    "digits-many-number": cell("F2", 2026041400000017),
    "number-shown": cell("D2", 217, "0000"),
    "number-shown-scaled": cell("I2", 41500, "0.0,"),
    "number-shown-hundredfold": cell("I2", 0.41, "0%"),
    "unit-shown": cell("I2", 184.6, '0.0 "kN"'),
    "unit-shown-in-brackets": cell("I2", 184.6, "0.0 [$kN]"),
    "unit-shown-below-zero": cell("I2", 184.6, '0.0 "kip";-0.0 "kN"'),
    "number-form-decimal-comma": cell("I2", "41,5"),
    "yes-no": cell("H2", 1),
    "heading-missing": cell("L3", "look here"),
}


@pytest.mark.parametrize("name", BOOKS)
def test_a_bad_workbook(name: str) -> None:
    book, sheet = readings()
    BOOKS[name](book, sheet)
    problems = problems_of(saved(book), "readings.xlsx")
    shown_exactly(problems, FOLDER / f"{name}.xlsx.expected")
    assert any(name.startswith(problem.code) for problem in problems)


@pytest.mark.parametrize(
    "form",
    [
        '0.0 "kip"', "0.0 [$kip]", "0.0 [$kip-409]", "[$-409]0.0", "[Red][<50]0.0;0.0", "0.0_%", '0.0;-0.0;0.0;"kN "@',
        '_-* #,##0.00_-;-* #,##0.00_-;_-* "-"??_-;_-@_-', '0.0 \\k\\i\\p',
    ],
)  # fmt: skip
def test_a_format_that_shows_no_other_unit_is_no_matter(form: str) -> None:
    book, sheet = readings()
    cell("I2", 41.5, form)(book, sheet)
    assert not problems_of(saved(book), "readings.xlsx")


ELSEWHERE = {
    "excel-missing", "workbook-old", "workbook-broken", "workbook-large", "workbook-macros", "workbook-entities",
    "table-form", "columns-many", "list-long", "text-long", "too-large", "formula-changing",
}  # fmt: skip
"""Held in test_hostile_tables.py."""


def test_every_code_has_a_bad_table() -> None:
    found: set[str] = set()
    for source in (Path(tautbook.__file__).parent / "records").glob("table*.py"):
        for node in ast.walk(ast.parse(source.read_text(encoding="utf-8"))):
            match node:
                case ast.Call(func=ast.Name(id="Problem" | "Fault"), args=[ast.Constant(value=str(code)), *_]):
                    found.add(code)
                case ast.Return(value=ast.Tuple(elts=[ast.Constant(value=str(code)), *_])) if "-" in code:
                    found.add(code)
    shown = {match[1] for kept in FOLDER.glob("*.expected") for match in
             re.finditer(r"^[^ ].*?: ([a-z0-9]+(?:-[a-z0-9]+)+): ", kept.read_text(encoding="utf-8"), re.MULTILINE)}
    assert len(found) > 35
    assert found - shown == ELSEWHERE
