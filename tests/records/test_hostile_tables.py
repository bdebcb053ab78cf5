"""Tables that were made to do harm, or that a program left in an odd state: told, never raised, and in short time."""

from __future__ import annotations

import io
import random
import re
import sys
import time
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from records.tables import as_csv, page, saved
from records.test_table_mistakes import HEAD, problems_of, readings
from tautbook.lang.limits import LIMITS
from tautbook.records import table_csv, table_excel, table_file, table_sheet, table_trees
from tautbook.records.read import read_records
from tautbook.records.table_parts import letters
from tautbook.rendering.csv_text import cell, csv_row

GOOD = (Path(__file__).parent / "tables" / "good.csv").read_text(encoding="utf-8")


def codes(data: bytes, name: str = "x.xlsx") -> list[str]:
    return [problem.code for problem in problems_of(data, name)]


def ids(data: bytes, name: str) -> list[str]:
    found = list(read_records(data, name))
    assert all(record is not None for record, _ in found), found
    return [record.id for record, _ in found if record is not None]


def changed(change: Callable[[str], str], part: str = "xl/worksheets/sheet1.xml", **parts: bytes) -> bytes:
    """The good workbook with one part written otherwise, and others added."""
    file = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(saved(readings()[0]))) as before, zipfile.ZipFile(file, "w", 8) as after:
        for name in before.namelist():
            text = before.read(name)
            after.writestr(name, change(text.decode()).encode() if name == part else text)
        for name, data in parts.items():
            after.writestr(name, data)
    return file.getvalue()


def within(seconds: float, data: bytes, name: str) -> list[str]:
    start = time.process_time()
    found = codes(data, name)
    assert time.process_time() - start < seconds
    return found


def test_where_openpyxl_is_not_installed_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    data = saved(readings()[0])
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    (problem,) = problems_of(data, "x.xlsx")
    assert problem.code == "excel-missing" and problem.help is not None and "tautbook[excel]" in problem.help


def test_what_is_no_workbook() -> None:
    assert codes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)) == ["workbook-old"]
    assert codes(b"procedure,id\n") == ["workbook-broken"]
    assert codes(b"PK\x03\x04") == codes(b"") == ["workbook-broken"]
    for name in ("x.xlsm", "x.xls", "x.ods", "x.xlsb", "x.tsv"):
        assert codes(saved(readings()[0]), name) == ["table-form"]


def test_macros_and_entities_are_refused() -> None:
    assert codes(changed(str, **{"xl/vbaProject.bin": b"x"})) == ["workbook-macros"]
    laughs = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
    sheet = lambda text: re.sub("(<worksheet)", f"{laughs}\\1", text)  # noqa: E731
    assert codes(changed(sheet)) == ["workbook-entities"]
    assert codes(changed(str, **{"docProps/custom.xml": f"{laughs}<x>&b;</x>".encode()})) == ["workbook-entities"]
    deep = b"<a>" * 5_000 + b"</a>" * 5_000
    assert codes(changed(str, **{"docProps/custom.xml": deep})) == ["workbook-broken"]


def test_nothing_is_unpacked_beyond_a_limit() -> None:
    bomb = changed(str, **{"xl/media/x.xml": bytes(LIMITS.unpacked + 1)})
    assert len(bomb) < 100_000
    assert within(2, bomb, "x.xlsx") == ["workbook-large"]
    # A directory that states less than there is: no more than that is read.
    whole = changed(lambda text: text.replace("</worksheet>", " " * 20_000_000 + "</worksheet>"))
    at = whole.rindex(b"xl/worksheets/sheet1.xml") - 46
    assert whole[at : at + 4] == b"PK\x01\x02"
    lying = whole[: at + 24] + (1_000).to_bytes(4, "little") + whole[at + 28 :]
    assert within(2, lying, "x.xlsx") == ["workbook-broken"]


def test_cells_far_apart_and_many(monkeypatch: pytest.MonkeyPatch) -> None:
    row = '<row r="1048576"><c r="A1048576" t="inlineStr"><is><t>x</t></is></c></row></sheetData>'
    assert within(20, changed(lambda text: text.replace("</sheetData>", row)), "x.xlsx") == ["row-conflict"]
    wide = '<row r="9"><c r="XFD9"><v>1</v></c></row></sheetData>'
    assert codes(changed(lambda text: text.replace("</sheetData>", wide))) == ["columns-many"]
    beyond = '<row r="9"><c r="XFE9"><v>1</v></c></row></sheetData>'
    assert codes(changed(lambda text: text.replace("</sheetData>", beyond))) == ["workbook-large"]
    rows = "".join(f'<row r="{n}"><c r="ALL{n}"/></row>' for n in range(10, 3_000)) + "</sheetData>"
    assert within(20, changed(lambda text: text.replace("</sheetData>", rows)), "x.xlsx") == ["workbook-large"]
    less = replace(LIMITS, nodes=20)
    monkeypatch.setattr(table_excel, "LIMITS", less)
    monkeypatch.setattr(table_csv, "LIMITS", less)
    assert codes(saved(readings()[0])) == codes(GOOD.encode() * 2, "x.csv") == ["too-large"]


def test_cells_merged_over_a_whole_page() -> None:
    merged = '</sheetData><mergeCells count="1"><mergeCell ref="A2:XFD1048576"/></mergeCells>'
    assert within(20, changed(lambda text: text.replace("</sheetData>", merged)), "x.xlsx") == ["cells-merged"]
    aside = merged.replace("A2:XFD1048576", "M9:N9")
    assert ids(changed(lambda text: text.replace("</sheetData>", aside)), "x.xlsx") == ["T-1"]


def test_ten_thousand_empty_rows() -> None:
    book, sheet = readings()
    for number in range(4, 10_004):
        sheet.cell(number, 1).number_format = "0.00"
    sheet.append([None] * 8 + [42.5, 1])
    ((record, problems),) = read_records(saved(book), "x.xlsx")
    assert record is not None, problems
    rows = GOOD + ",,,,,,,,,\n" * 10_000 + ",,,,,,,,42.5,1\n"
    ((again, problems),) = read_records(rows.encode(), "x.csv")
    assert again is not None and again.digest == record.digest


def test_formulas_count_by_the_value_that_was_stored() -> None:
    def formula(text: str, stored: str) -> bytes:
        return changed(lambda sheet: sheet.replace("<v>41.5</v>", f"<f>{text}</f>{stored}"))

    ((record, problems),) = read_records(formula("40+1.5", "<v>41.5</v>"), "x.xlsx")
    ((plain, _),) = read_records(saved(readings()[0]), "x.xlsx")
    assert record is not None and plain is not None and record.digest == plain.digest, problems
    assert codes(formula("40+1.5", "")) == codes(formula("40+1.5", "<v/>")) == ["formula-unsaved"]
    assert codes(formula("40+NOW()-TODAY()", "<v>41.5</v>")) == ["formula-changing"]
    assert codes(formula("40.3+1", "<v>41.300000000000004</v>")) == ["digits-many"]


def test_numbers_are_the_shortest_decimals_that_were_typed() -> None:
    """As programs store 41.8, with 17 digits, and read it back as the same binary number."""
    data = changed(lambda sheet: sheet.replace("<v>41.5</v>", "<v>41.799999999999997</v>"))
    ((record, problems),) = read_records(data, "x.xlsx")
    assert record is not None, problems
    assert b"41.8" in repr(record.shaped).encode() and b"41.79" not in repr(record.shaped).encode()


def test_rows_and_columns_without_size_are_hidden() -> None:
    cols = '<cols><col min="4" max="5" width="0" customWidth="1"/></cols><sheetData>'
    assert codes(changed(lambda text: text.replace("<sheetData>", cols))) == ["column-hidden", "column-hidden"]
    assert codes(changed(lambda text: text.replace('<row r="3"', '<row ht="0" r="3"'))) == ["row-hidden"]


def test_so_many_columns_items_and_characters_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    wide = ",".join(f"x{n}" for n in range(LIMITS.columns + 1)) + "\n" + "1," * LIMITS.columns + "1\n"
    assert "columns-many" in within(5, wide.encode(), "x.csv")
    nonsense = ",".join(["procedure", *(f"specimens.tensoin{n}" for n in range(900))])
    assert within(30, f"{nonsense}\ndti-lot{',1' * 900}\n".encode(), "x.csv").count("unknown-column") == 100
    long = GOOD.replace("A325", "A" * (LIMITS.scalar + 1))
    assert codes(long.encode(), "x.csv") == ["text-long"]
    monkeypatch.setattr(table_trees, "LIMITS", replace(LIMITS, items=1))
    assert codes(GOOD.encode(), "x.csv") == ["list-long"]


@pytest.mark.parametrize("text", [",", '"', "\n", '""', "a", "a,", '"\n', "\x00", ";", "=", " ", "\t", "'", "é"])
def test_megabytes_of_one_thing(text: str) -> None:
    within(20, (text * 1_000_000).encode(), "x.csv")
    within(20, (GOOD + text * 1_000_000).encode(), "x.csv")
    assert codes(b"," * (LIMITS.bytes + 1), "x.csv") == ["file-large"]


def test_bytes_changed_and_cut_off_anywhere() -> None:
    """Power lost in the middle, a disk gone bad: something is told, or the records come out; nothing is raised."""
    chance = random.Random(1)
    for data, name in ((saved(readings()[0]), "x.xlsx"), (GOOD.encode(), "x.csv")):
        for _ in range(150):
            at = chance.randrange(len(data))
            for bad in (data[:at], data[:at] + bytes([chance.randrange(256)]) + data[at + 1 :]):
                for record, problems in read_records(bad, name):
                    assert (record is None) == bool(problems)


def test_parts_of_a_workbook_changed_anywhere() -> None:
    chance = random.Random(2)
    for part in ("xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/styles.xml", "xl/sharedStrings.xml"):
        for _ in range(20):

            def change(text: str) -> str:
                at = chance.randrange(len(text))
                return text[:at] + chance.choice(["", "9", "<", "x", '"', "-", "<c/>", "&#65;"]) + text[at + 1 :]

            for record, problems in read_records(changed(change, part), "x.xlsx"):
                assert (record is None) == bool(problems)


@pytest.mark.parametrize("text", ["=1+1", "-3", "+x", "@a", "'=x", "'", "''", "'a", " =x", "＝1", "' =", "plain"])
def test_what_a_guarded_cell_held_is_read_back(text: str) -> None:
    data = csv_row(["procedure", "id", "notes"]) + csv_row(map(cell, ["dti-lot", "T-1", text]))
    source = table_file.open_table(data.encode(), "x.csv")[0]
    assert source is not None
    assert source.source.cells[-1][1].text == text.strip() and not source.problems


def test_what_programs_write_into_text_files_all_the_same() -> None:
    assert ids(b"\xef\xbb\xbf" + GOOD.encode(), "x.csv") == ["T-1"]
    assert ids(GOOD.replace("\n", "\r\n").replace("yes", "TRUE").encode(), "x.csv") == ["T-1"]
    quoted = csv_row(HEAD) + csv_row(["dti-lot", "T-1", "2026-04-14", "A325", "7/8", "325", "5", "FALSE", "41.5", "0"])
    assert ids(quoted.encode(), "x.csv") == ids(quoted.encode(), "-") == ["T-1"]
    assert ids(saved(readings()[0]), "-") == ids(saved(readings()[0]), "x.csv") == ["T-1"]
    lines = as_csv([{"procedure": "dti-lot", "id": "T-1", "tested": "2026-04-14", "notes": 'two\nlines, "so"',
                     "bolt.grade": "A325", "bolt.diameter": "7/8 in", "indicator.type": "325",
                     "indicator.spaces": "5"}])  # fmt: skip
    assert ids(lines, "x.csv") == ["T-1"]


def test_pages_are_read_one_after_the_other_and_told_apart() -> None:
    book, sheet = readings()
    book.copy_worksheet(sheet).title = "May"
    page_two = book["May"]
    for number in (2, 3):
        page_two.cell(number, 2).value = "T-2"
    book.create_sheet("figures").append(["anything at all"])
    found = list(read_records(saved(book), "x.xlsx"))
    assert [record.file for record, _ in found if record] == ["x.xlsx page Readings row 2", "x.xlsx page May row 2"]
    page_two["I3"] = "41 kips"
    found = list(read_records(saved(book), "x.xlsx"))
    assert [record is not None for record, _ in found] == [True, False]
    (problem,) = found[1][1]
    assert problem.span is not None and problem.span.source.where(problem.span.start).startswith(": page May, row 3,")


def test_an_empty_item_between_others_keeps_its_number() -> None:
    rows = GOOD.splitlines()
    empty = ",T-1,,,,,,,,"
    data = "\n".join([*rows[:2], empty, rows[2], empty]).encode()
    ((record, problems),) = read_records(data, "x.csv")
    assert record is not None, problems
    items = record.shaped.entries["specimens"]
    assert [bool(item.entries) for item in items.items] == [True, False, True]  # type: ignore[union-attr]


def test_days_counted_from_1904_are_the_same_days() -> None:
    book, _ = readings()
    book.epoch = CALENDAR_MAC_1904
    ((record, problems),) = read_records(saved(book), "x.xlsx")
    ((plain, _),) = read_records(saved(readings()[0]), "x.xlsx")
    assert record is not None and plain is not None and record.digest == plain.digest, problems


def test_cells_without_anything_in_them_count_for_nothing() -> None:
    """As a program writes a row that is formatted from end to end."""
    empty = '<row r="4" hidden="1">' + "".join(f'<c r="{letters(n)}4" s="0"/>' for n in range(1, 1_025)) + "</row>"
    assert ids(changed(lambda text: text.replace("</sheetData>", f"{empty}</sheetData>")), "x.xlsx") == ["T-1"]


def test_a_book_of_another_program_reads_the_same() -> None:
    """``formulas.xlsx`` was saved by LibreOffice 7.4: two tensions are formulas, with their values stored, and
    so is each yes and no, as it writes them."""
    path = Path(__file__).parent / "tables" / "formulas.xlsx"
    ((record, problems),) = read_records(path.read_bytes(), path.name)
    worked = Path(__file__).parents[2] / "rulesets" / "tern-sound" / "examples" / "0401-pass-seven-eighths.yaml"
    ((wanted, _),) = read_records(worked.read_bytes(), worked.name)
    assert record is not None and wanted is not None and record.digest == wanted.digest, problems
    formulas = {str(cell.value) for row in page(load_workbook(path)) for cell in row if cell.data_type == "f"}
    assert formulas == {"=40+1.5", "=40.3+1.5", "=TRUE()", "=FALSE()"}


def test_corners_of_a_range() -> None:
    assert table_sheet.corners("A1:B2") == (1, 1, 2, 2) and table_sheet.corners("nonsense") is None
