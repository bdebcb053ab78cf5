"""A failure on record stands in the way, whatever else is wrong with the record that has it."""

from __future__ import annotations

import copy
import datetime
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml

from jobs.wren_creek import SHIPPED, edit, good
from tautbook import Shelf
from tautbook.editions.edition import Edition
from tautbook.jobs.edition import edition_of
from tautbook.jobs.files import files_of
from tautbook.jobs.read import read_job
from tautbook.jobs.ready import Ready
from tautbook.jobs.ready import ready as ready_of
from tautbook.rendering.ready_text import ready_text

LOT = 1
"""Which test of the job is the verification of indicator lot D-78, that WC-03 passes."""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job that is ready but for WC-90, a failure of the indicator lot D-78 two months after its pass."""
    folder = good(tmp_path / "job")
    edit(folder, "WC-03", "refusals: 1}\n    at_installation: {tension: 47",
         "refusals: 4}\n    at_installation: {tension: 47", to="WC-90")  # fmt: skip
    edit(folder, "WC-90", "tested: 2026-04-01", "tested: 2026-06-12")
    edit(folder, "WC-90", "wrench: hand\n", "wrench: hand\n"
         "nut: {lot: N-11, maker: Northfield, standard: A563, grade: DH}\n"
         "washer: {lot: W-5, maker: Northfield, standard: F436, hardened: true}\n")  # fmt: skip
    return folder


def stands(folder: Path, on: datetime.date | None = None) -> Ready:
    found, problems = read_job(folder)
    assert found is not None, problems
    return ready_of(found, edition_at(folder), files_of(found), on)


_READ: dict[bytes, Edition] = {}


def edition_at(folder: Path) -> Edition:
    """The edition that governs; read once for all jobs with the same contract."""
    key = b"".join(each.read_bytes() for each in sorted(folder.glob("*.yaml")) if each.name != "job.yaml")
    if key not in _READ:
        found, _ = read_job(folder)
        assert found is not None
        edition, problems = edition_of(found, Shelf.default())
        assert edition is not None, problems
        _READ[key] = edition
    return _READ[key]


def codes(found: Ready) -> list[str]:
    return [each.code for each in found.in_the_way]


def record(folder: Path, id: str = "WC-90") -> dict[str, Any]:
    path = next((folder / "records").glob(f"{id}-*"))
    found: dict[str, Any] = yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)
    return found


class _AsWritten(yaml.SafeDumper):
    """Plain text stays plain: 5 and true are no text in quotes."""


_AsWritten.yaml_implicit_resolvers = {}


def file(folder: Path, content: dict[str, Any], name: str = "WC-90-lot-d78.yaml") -> None:
    text = yaml.dump(content, Dumper=_AsWritten, sort_keys=False, allow_unicode=True, width=1000)
    (folder / "records" / name).write_text(text, encoding="utf-8")


def test_as_it_was_made_it_fails_the_lot(job: Path) -> None:
    found = stands(job)
    assert codes(found) == ["failed"] and found.standings[LOT].state == "failed"
    assert "record WC-90 of 2026-06-12 fails" in found.in_the_way[0].text


@pytest.mark.parametrize(
    ("old", "new", "beside"),
    [
        ("nut: {lot: N-11", "nut: {lot: N-44", "lot-not-delivered"),
        ("washer: {lot: W-5", "washer: {lot: W-19", "lot-not-delivered"),
        ("gauge: {id: G-2", "gauge: {id: FG-7", "equipment-not-on-job"),
        ("serial: TD-3", "serial: TD-9", "equipment-not-on-job"),
        ("capacity: 100 kip", "capacity: 120 kip", "other-equipment"),
        ("{lot: B-101", "{lot: B-1O1", "lot-not-delivered"),
        ("lot: B-101, maker: Northfield", "lot: B-101, maker: Northfeild", "other-than-delivered"),
        ("diameter: 7/8 in", "diameter: 1 in", "other-than-delivered"),
        ("lot: D-78, maker: Northfield", "lot: D-78, maker: Northfeild", "other-than-delivered"),
        ("lot: D-78, maker: Northfield", "lot: D-78", "not-told-apart"),
        ("lot: D-78", "lot: d-78", "lot-not-delivered"),
        ("lot: D-78", "lot: D78", "lot-not-delivered"),
        ("lot: D-78", 'lot: " D 78 "', "lot-not-delivered"),
        ("lot: D-78", "lot: D\u201378", "lot-not-delivered"),  # a longer dash
        ("job: wren-creek", "job: alder-creek", "other-job"),
        ("tested: 2026-06-12\n", "tested: 2026-06-12\nretest_of: WC-89\nnew_assemblies: true\n", "record-gone"),
    ],
)  # fmt: skip
def test_a_slip_in_what_it_says_does_not_take_it_off_the_lot(job: Path, old: str, new: str, beside: str) -> None:
    """It is told what does not agree; and the lot has failed all the same."""
    edit(job, "WC-90", old, new)
    found = stands(job)
    assert {beside, "failed"} <= set(codes(found)), codes(found)
    assert found.standings[LOT].state == "failed" and found.passed == 2
    assert found.state == "not ready"


@pytest.mark.parametrize(
    ("old", "new", "state", "code"),
    [
        ("work: {position: under head", "work: {position: under nut", "invalid", "other-than-in-the-work"),
        ("diameter: 7/8 in", "diameter: 3/4 in", "passed", "not-placed"),
        ("grade: A325", "grade: A490", "passed", "not-placed"),
        ("tested: 2026-06-12", "tested: 2062-06-12", "invalid", "invalid"),
        ("tested: 2026-06-12", "tested: 2016-06-12", "invalid", "invalid"),  # before the pass, and before calibration
        ("thickness: 0.005 in", "thickness: 0.05 in", "invalid", "invalid"),
    ],
)  # fmt: skip
def test_a_slip_that_changes_the_verdict_is_in_the_way_too(
    job: Path, old: str, new: str, state: str, code: str
) -> None:
    """It is no failure any more, and nobody takes it for one that was settled by the pass before it."""
    edit(job, "WC-90", old, new)
    edit(job, "WC-90", "lot: B-101, maker: Northfield, ", "")
    edit(job, "WC-90", "id: G-2, ", "")
    found = stands(job, datetime.date(2026, 7, 1))
    assert code in codes(found) and found.standings[LOT].state == state and found.state == "not ready"


@pytest.mark.parametrize("tested", ["2026-06-12", "2026-07-12"])
def test_a_failure_counts_whatever_its_day(job: Path, tested: str) -> None:
    """Asked about a day before it: it may be a slip."""
    edit(job, "WC-90", "tested: 2026-06-12", f"tested: {tested}")
    found = stands(job, datetime.date(2026, 6, 11))
    assert found.standings[LOT].state == "failed" and "failed" in codes(found)
    assert [each.text for each in found.told] == [
        f"record WC-90 is of {tested}, after the day asked about; only a pass would not count yet"
    ]


def test_a_bolt_of_another_size_with_no_lot_to_hold_it_to(job: Path) -> None:
    """Nothing contradicts the size, and no such combination is asked for: the lot is named, and that is enough."""
    edit(job, "WC-90", "lot: B-101, maker: Northfield, ", "")
    edit(job, "WC-90", "diameter: 7/8 in", "diameter: 1 in")
    found = stands(job)
    assert found.standings[LOT].state == "failed"
    assert "(it says bolt diameter 1 in, which does not take it off this test)" in found.in_the_way[0].text


def test_an_indicator_lot_that_the_job_does_not_have_at_all(job: Path) -> None:
    edit(job, "WC-90", "lot: D-78", "lot: D-178")
    found = stands(job)
    assert codes(found) == ["lot-not-delivered", "not-placed"]
    assert "direct tension indicators: fail) belongs to no test asked for" in found.in_the_way[1].text


def test_a_lot_that_failed_and_is_not_installed_any_more_is_only_told(job: Path) -> None:
    """Another came in its place: the failure is on record, and nothing is wrong with what is installed."""
    edit(job, "WC-90", "lot: D-78", "lot: D-79")
    found = stands(job)
    assert codes(found) == [] and found.state == "ready"
    assert [each.text for each in found.told if each.code == "left-over"] == [
        "record WC-90 (Lot verification of direct tension indicators: fail) belongs to no test asked for "
        "(indicator lot D-79 (Northfield) is not to be installed)"
    ]


@pytest.mark.parametrize(
    ("old", "new"),
    [("lot: N-11", "lot: N-44"), ("lot: B-101", "lot: b 101"), ("lot: N-11, maker: Northfield", "lot: N-11"),
     ("lot: N-11", "lot: N-44"), ("grade: DH", "grade: C")],
)  # fmt: skip
def test_a_test_of_two_lots_counts_against_each_that_it_names(job: Path, old: str, new: str) -> None:
    edit(job, "WC-01", "torque: 700", "torque: 900", to="WC-95")
    edit(job, "WC-95", old, new)
    assert stands(job).standings[0].state == "failed"


@pytest.mark.parametrize(
    ("mark", "state", "code"), [("g1 s1", "failed", "failed"), ("G1-S9", "passed", "not-placed")]
)
def test_a_connection_that_is_written_otherwise_or_not_there(job: Path, mark: str, state: str, code: str) -> None:
    """One that is not on the job could be any: no test fails by it, and it is in the way of the job."""
    shutil.copy(next((SHIPPED / "records").glob("WC-13-*")), job / "records")
    whole = record(job, "WC-13")
    whole["connection"]["mark"], whole["bolt"] = mark, record(job, "WC-11")["bolt"]
    (job / "records" / "WC-13-work-d1-c1.yaml").unlink()
    next((job / "records").glob("WC-90-*")).unlink()
    file(job, whole, "WC-13-work.yaml")
    found = stands(job)
    assert found.standings[2].state == state and code in codes(found)


def test_an_exact_copy_and_a_number_given_twice_do_not_let_it_off(job: Path) -> None:
    path = next((job / "records").glob("WC-90-*"))
    shutil.copy(path, path.with_name("WC-90-again.yaml"))
    edit(job, "WC-90", "id: WC-90", "id: WC-03")
    found = stands(job)
    assert "two-records" in codes(found) and found.standings[LOT].state == "failed"


def test_a_retest_that_names_a_number_of_two_records_repeats_neither(job: Path) -> None:
    edit(job, "WC-03", "tested: 2026-04-01", "tested: 2026-06-13\nretest_of: WC-90\nnew_assemblies: true")
    edit(job, "WC-03", "tested_scrapped: true", "tested_scrapped: true\nevidence: {earlier: WC-90-x.yaml}\n"
         "retest_leave: {by: J. Orr, role: engineer, on: 2026-06-12}")  # fmt: skip
    path = next((job / "records").glob("WC-90-*"))
    path.rename(path.with_name("WC-90-x.yaml"))
    assert stands(job).standings[LOT].state == "passed"
    text = path.with_name("WC-90-x.yaml").read_text(encoding="utf-8")
    path.with_name("WC-90-y.yaml").write_text(text.replace("refusals: 4", "refusals: 5"), encoding="utf-8")
    assert stands(job).standings[LOT].state == "failed"


def test_a_pass_does_not_repeat_what_was_tested_after_it(job: Path) -> None:
    edit(job, "WC-03", "tested: 2026-04-01", "tested: 2026-04-01\nretest_of: WC-90\nnew_assemblies: true")
    found = stands(job)
    assert found.standings[LOT].state == "failed"


def test_a_retest_that_does_not_count_does_not_let_the_failure_off(job: Path) -> None:
    """The pass that repeats it was made with a gauge that is not of the job."""
    edit(job, "WC-03", "tested: 2026-04-01", "tested: 2026-06-13\nretest_of: WC-90\nnew_assemblies: true")
    edit(job, "WC-03", "gauge: {id: G-2", "gauge: {id: FG-7")
    assert stands(job).standings[LOT].state == "failed"


def test_an_invalid_retest_does_not_let_the_failure_off(job: Path) -> None:
    edit(job, "WC-03", "tested: 2026-04-01", "tested: 2026-06-13\nretest_of: WC-90\nnew_assemblies: true")
    edit(job, "WC-03", "calibrated: 2026-01-20", "calibrated: 2025-01-20")
    assert stands(job).standings[LOT].state == "failed"


@pytest.mark.parametrize(
    ("old", "new", "state"),
    [("calibrated: 2026-01-20", "calibrated: 2025-01-20", "invalid"), ("head_held: true\n", "", "incomplete")],
)
@pytest.mark.parametrize(("day", "settled"), [("2026-03-31", True), ("2026-04-02", False)])
def test_a_test_after_the_pass_that_proves_nothing_holds_the_lot_until_it_is_made_again(
    job: Path, old: str, new: str, state: str, day: str, settled: bool
) -> None:
    edit(job, "WC-90", "tested: 2026-06-12", f"tested: {day}")
    edit(job, "WC-90", "refusals: 4}\n    at_installation: {tension: 47",
         "refusals: 1}\n    at_installation: {tension: 47")  # fmt: skip
    edit(job, "WC-90", old, new)
    found = stands(job)
    assert found.standings[LOT].state == ("passed" if settled else state)
    assert (state in codes(found)) is not settled


def test_a_failure_by_figures_from_memory_is_a_failure(job: Path) -> None:
    (job / "enacted.yaml").unlink()
    with (job / "contract.yaml").open("a", encoding="utf-8") as contract:
        contract.write("sources:\n  ts: {title: Provisions, year: 2025, standing: from memory}\n")
    assert [each.state for each in stands(job).standings] == ["advisory", "failed", "advisory"]


def test_every_failure_beside_is_named_in_the_way(job: Path) -> None:
    for id, day in (("WC-91", "2026-06-14"), ("WC-92", "2026-06-13")):
        edit(job, "WC-90", "tested: 2026-06-12", f"tested: {day}", to=id)
    assert "record WC-91 of 2026-06-14 fails; record WC-92 of 2026-06-13 fails; record WC-90" in codes_text(job)


def codes_text(folder: Path) -> str:
    return " ".join(each.text for each in stands(folder).in_the_way)


def test_a_failure_that_a_retest_repeats_is_told_as_repeated() -> None:
    found = stands(SHIPPED)
    assert "2026-04-07; beside it WC-06 (fail, repeated)" in ready_text(found)


def test_a_record_of_a_test_that_the_edition_has_no_rules_for(job: Path) -> None:
    """It cannot be judged, so that nobody knows whether it fails: it names a lot that is to be installed."""
    found, _ = read_job(job)
    assert found is not None
    edition = edition_at(job)
    fewer = {id: each for id, each in edition.procedures.items() if id != "dti-lot"}
    asked = tuple(each for each in edition.programme if each.procedure in fewer)
    held = ready_of(found, replace(edition, procedures=fewer, programme=asked), files_of(found), None)
    assert [each.code for each in held.in_the_way] == ["not-placed", "not-placed"]
    assert "has no rules for it; it names bolt lot B-101 (Northfield), which is to be inst" in held.in_the_way[0].text


# Every field


def paths(node: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if isinstance(node, dict):
        for key, below in node.items():
            yield from paths(below, (*path, key))
    elif isinstance(node, list):
        for n, below in enumerate(node):
            yield from paths(below, (*path, n))
    else:
        yield path


def slips(value: str) -> Iterator[str | None]:
    """Wrong values: none, another text, others of its kind."""
    yield None
    yield f"{value}7"
    yield f"x{value}"
    if value in ("true", "false"):
        yield "false" if value == "true" else "true"
    if value[:4] == "2026":
        yield from (value.replace("2026", "2062"), value.replace("2026", "2016"))
    number, _, unit = value.partition(" ")
    if unit in ("in", "kip"):
        yield from (f"1 {unit}", f"3/4 {unit}", f"0.0051 {unit}", f"{number}0 {unit}", f"200 {unit}")
    yield from {"325": ["490"], "A325": ["A490"], "hand": ["impact"], "plain": ["mechanically galvanized"],
                "under head": ["under nut"], "nut": ["head"], "head": ["nut"], "DH": ["C"], "F3125": ["A325"],
                "dti-lot": ["dti-short-bolt", "rotational-capacity", "dti-installed"]}.get(value, [])  # fmt: skip


def with_value(whole: dict[str, Any], path: tuple[Any, ...], value: str | None) -> dict[str, Any]:
    found = copy.deepcopy(whole)
    node: Any = found
    for step in path[:-1]:
        node = node[step]
    if value is None:
        del node[path[-1]]
    else:
        node[path[-1]] = value
    return found


@pytest.mark.slow
@pytest.mark.parametrize("without", [(), ("bolt.lot", "nut", "washer", "gauge.id", "device.serial", "job")])
def test_no_slip_in_any_field_lets_it_off(job: Path, without: tuple[str, ...]) -> None:
    """Whole, and as somebody writes who names no lot, gauge or device that the job could be held to. Only the pass of
    the lot is beside it, so that all else that the job needs is missing; something more must be in the way."""
    whole = record(job)
    for id in ("WC-90", "WC-01", "WC-11"):
        next((job / "records").glob(f"{id}-*")).unlink()
    for name in without:
        part, _, last = name.partition(".")
        del (whole[part] if last else whole)[last or part]
    tried, lost = 0, []
    for path in paths(whole):
        node: Any = whole
        for step in path:
            node = node[step]
        for value in slips(node):
            if path[-2:] == ("at_verification", "refusals"):
                continue  # the reading that fails: another one is another test
            file(job, with_value(whole, path, value))
            found = stands(job)
            tried += 1
            if set(codes(found)) <= {"missing"}:
                lost.append((".".join(map(str, path)), value))
            fails = any(each.shows_failure for standing in found.standings for each in standing.records)
            assert not fails or "failed" in {each.state for each in found.standings}, (path, value)
    assert tried > 200
    assert lost == []
