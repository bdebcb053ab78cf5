"""What is known of a test keeps its value on the form, whatever unit it was given in."""

from __future__ import annotations

import csv
import io
import random
import re
from fractions import Fraction
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner
from openpyxl import load_workbook

from reference.at_random import small_edition
from reference.both import write
from reference.changes import RECORDS, written_out
from reference.shapes import schema
from rendering.pages import Page
from sheet.cases import filed
from tautbook import Shelf
from tautbook.cli.group import tautbook
from tautbook.judging.verdict import observe
from tautbook.lang.quantity import Quantity, dimension_named, read_quantity
from tautbook.records.read import read_records
from tautbook.shape.vocabulary import vocabulary
from tautbook.sheet.columns import columns_of
from tautbook.sheet.plan import form_of

LOT = ("--under", "tern-sound@2025", "--procedure", "dti-lot")
GIVEN = [("bolt.length", length) for length in ("1 ft", "1/3 ft", "4-1/2 in", "100 mm", "10 cm")]


def sheet(*arguments: str) -> str:
    found = CliRunner().invoke(tautbook, ["sheet", *arguments])
    assert found.exit_code == 0, found.output
    return found.stdout


def in_the_box(page: str, path: str) -> str:
    """The amount and the unit that the box shows."""
    read = Page.read(page)
    (amount,) = (attrs.get("value", "") for attrs in read.all("input") if attrs.get("name") == path)
    (options,) = (part.partition("</select>")[0] for part in page.split(f'<select name="{path} unit"')[1:])
    chosen = [each.partition("<")[0] for each in options.split("<option selected>")[1:]]
    return f"{amount} {''.join(chosen)}"


def in_the_cell(table: str, path: str) -> str:
    head, _, first, *_ = csv.reader(io.StringIO(table))
    ((heading, cell),) = ((h, c) for h, c in zip(head, first, strict=True) if h.partition(" [")[0] == path)
    return f"{cell} {heading.partition(' [')[2].rstrip(']')}"


def size(text: str) -> Fraction:
    found = read_quantity(text, dimension_named("length"))
    assert isinstance(found, Quantity)
    return found.value


@pytest.mark.parametrize(("path", "given"), GIVEN)
def test_what_is_given_in_any_unit_is_the_same_length_in_the_box_and_in_the_table(
    path: str, given: str, tmp_path: Path
) -> None:
    assert in_the_box(sheet(*LOT, "--given", f"{path}={given}"), path) == given
    assert in_the_cell(sheet(*LOT, "--given", f"{path}={given}", "--format", "csv"), path) == given
    file = tmp_path / "sheet.xlsx"
    sheet(*LOT, "--given", f"{path}={given}", "--format", "xlsx", "--output", str(file))
    head, _, first, *_ = load_workbook(file)["readings"].iter_rows(values_only=True)
    ((heading, cell),) = ((str(h), c) for h, c in zip(head, first, strict=True) if str(h).partition(" [")[0] == path)
    assert size(f"{cell} {heading.partition(' [')[2].rstrip(']')}") == size(given)


def test_what_a_record_has_in_another_unit_is_the_same_length_on_its_form(tmp_path: Path) -> None:
    record = written_out(RECORDS["0401-pass-seven-eighths.yaml"])
    record["bolt"]["length"] = "1/3 ft"
    (tmp_path / "record.yaml").write_text(filed(record, schema("dti-lot")))
    page = sheet("--under", "tern-sound@2025", "--record", str(tmp_path / "record.yaml"))
    assert in_the_box(page, "bolt.length") == "1/3 ft"


def columns_with(specimens: list[dict[str, str]]) -> dict[str, tuple[str, ...]]:
    """The columns of the empty table for a test of which these readings are known already."""
    record = {**written_out(RECORDS["0701-pass-rotational-capacity.yaml"]), "specimens": specimens}
    ((found, problems),) = read_records(filed(record, schema(PROCEDURE)).encode(), "record.json")
    assert found is not None, problems
    edition = Shelf.default().edition("tern-sound", "2025")
    words = vocabulary(PROCEDURE)
    seen, _, wrong = observe(found, edition, edition.procedures[PROCEDURE])
    assert seen is not None and words is not None, wrong
    form = form_of(edition, edition.procedures[PROCEDURE], words, seen.group)
    return {each.heading: each.values for each in columns_of(form)}


PROCEDURE = "rotational-capacity"


def test_a_plural_is_the_unit_that_is_offered() -> None:
    assert columns_with([{"rotation": "360 degrees"}, {}])["specimens.rotation [degree]"] == ("360", "")
    assert columns_with([{"rotation": "1/3 turns"}, {}])["specimens.rotation [turn]"] == ("1/3", "")


def test_readings_in_two_units_are_each_written_with_their_own() -> None:
    columns = columns_with([{"rotation": "360 degrees"}, {"rotation": "1 turn"}])
    assert columns["specimens.rotation"] == ("360 degree", "1 turn")
    assert columns_with([{}, {"rotation": "1 turn"}])["specimens.rotation [turn]"] == ("", "1")


# An authority's own observations


def small(fields: dict[str, dict[str, str]], folder: Path) -> tuple[str, ...]:
    """A small draft edition that has these fields of its own, and no other."""
    edition = yaml.load(small_edition(random.Random(3).randrange), yaml.BaseLoader)
    edition["fields"] = {
        name: {"title": name.replace("_", " "), "description": "x.", **of} for name, of in fields.items()
    }
    text = write(edition)
    assert "local." not in text, "a rule of the edition reads what it would no longer declare"
    (folder / "small.yaml").write_text(text)
    return ("--under", str(folder / "small.yaml"), "--procedure", "dti-lot", "--draft")


def test_a_quantity_of_its_own_without_a_unit_has_a_box_with_all_units_of_its_dimension(tmp_path: Path) -> None:
    under = small({"a_load": {"dimension": "force", "kind": "quantity"}}, tmp_path)
    page = sheet(*under)
    read = Page.read(page)
    assert [attrs["name"] for attrs in read.all("input") if "a_load" in attrs.get("name", "")] == ["local.small.a_load"]
    options = page.partition('name="local.small.a_load unit"')[2].partition("</select>")[0]
    assert re.findall(r"<option[^>]*>([^<]*)", options) == ["kip", "lbf", "kN", "N"]
    head, *_ = csv.reader(io.StringIO(sheet(*under, "--format", "csv")))
    assert "local.small.a_load [kip]" in head


# What is likely


def test_what_is_offered_for_a_quantity_says_its_unit() -> None:
    page = sheet(*LOT)
    offered = page.partition('<datalist id="gauge.thickness-offered">')[2].partition("</datalist>")[0]
    assert "<option>0.40 mm" in offered and "<option>0.005 in" in offered
