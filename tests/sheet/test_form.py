"""The form of every shipped procedure: what it asks to be written down, where the work is held, and its figures."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml
from pytest_regressions.file_regression import FileRegressionFixture

from sheet.outline import made, outline, stop
from tautbook import Shelf, judge, read_record
from tautbook.cli.limits import known_by_record
from tautbook.editions.enacted import signature
from tautbook.jobs.read import read_job
from tautbook.records.given import given_fields
from tautbook.shape.vocabulary import vocabulary
from tautbook.sheet.form import Box, Form, Part
from tautbook.sheet.known import known_of
from tautbook.sheet.plan import form_of

RULESETS = Path(__file__).parents[2] / "rulesets" / "tern-sound"
YEARS = ("2016", "2021", "2025")
ALL = [(year, name) for year in YEARS for name in Shelf.default().edition("tern-sound", year).procedures]
BOLT = (
    "bolt.grade=A325", "bolt.standard=F3125", "bolt.diameter=7/8 in", "indicator.spaces=5", "indicator.finish=plain"
)  # fmt: skip


def by_path(form: Form) -> dict[str, Box]:
    return {box.path: box for box in form.boxes()}


def parts(form: Form) -> dict[str, Part]:
    return {part.path: part for listed in form.lists for item in listed.items for part in item.parts}


# Golden files


@pytest.mark.parametrize(("year", "procedure"), ALL)
def test_a_blank_form(year: str, procedure: str, file_regression: FileRegressionFixture) -> None:
    file_regression.check(outline(made(year, procedure)), extension=".txt")


def test_a_form_for_one_size(file_regression: FileRegressionFixture) -> None:
    file_regression.check(outline(made("2021", "dti-lot", *BOLT)), extension=".txt")


# What every form is


@pytest.mark.parametrize(("year", "procedure"), ALL)
def test_every_box_is_a_field_of_the_record_and_every_field_that_a_rule_reads_has_a_box(
    year: str, procedure: str
) -> None:
    edition = Shelf.default().edition("tern-sound", year)
    words = vocabulary(procedure)
    assert words is not None
    form = made(year, procedure)
    paths = [box.path for box in form.boxes()]
    assert len(set(paths)) == len(paths)
    own = {f"local.{edition.ruleset}.{name}" for name in (edition.procedures[procedure].own or words.record).fields}
    for box in form.boxes():
        assert box.plain in words.fields or box.plain in own, box.path
        assert box.plain not in words.fields or set(box.units) == set(words.fields[box.plain].units)
    read = {name.partition(".")[2] for name in signature(edition) if name.startswith(f"{procedure}.")}
    wanted = {f"local.{edition.ruleset}.{path[6:]}" if path.startswith("local.") else path for path in read}
    wanted = {".".join(path.split(".")[:2]) if path.startswith("evidence.") else path for path in wanted}
    # A list of words that a count is worked out from is asked for as the count.
    wanted = {path for path in wanted if not path.endswith(".spaces") or path == "indicator.spaces"}
    assert wanted <= {box.plain for box in form.boxes()}
    assert wanted == {box.plain for box in form.boxes() if box.read}


@pytest.mark.parametrize(("year", "procedure"), ALL)
def test_what_is_only_advice_is_asked_last_and_set_up_before_the_first_item(year: str, procedure: str) -> None:
    form = made(year, procedure)
    before = {box.plain for part in form.before for box in part.boxes if isinstance(box, Box)}
    assert {"id", "tested", "bolt.grade"} <= before
    assert "tested_scrapped" not in before and "notes" not in before
    assert all(not box.read for part in form.besides for box in part.boxes if isinstance(box, Box))
    assert len(form.persons) == 2 and all(len(part.boxes) == 3 for part in form.persons)


@pytest.mark.parametrize("file", sorted((RULESETS / "examples").glob("*.yaml")), ids=lambda file: file.stem[:4])
def test_every_worked_record_can_be_written_on_the_form(file: Path) -> None:
    """A person with the form has a place for all that was recorded, but for counts that were made space by space and
    records that are written out inside of another. The page has a button for one more row of any list."""
    record = yaml.load(file.read_text(encoding="utf-8"), yaml.BaseLoader)
    boxes = by_path(made("2025", record["procedure"], items=12))
    for path in leaves(record):
        if ".spaces[" not in path and not path.startswith(("evidence.", "local.")):
            assert re.sub(r"^waivers\[\d+\]", "waivers[1]", path) in boxes, path


def leaves(data: object, path: str = "") -> list[str]:
    if isinstance(data, dict):
        return [leaf for name, below in data.items() for leaf in leaves(below, f"{path}.{name}" if path else name)]
    if isinstance(data, list):
        return [leaf for n, below in enumerate(data, 1) for leaf in leaves(below, f"{path}[{n}]")]
    return [path]


# Where the work is held


def test_the_load_to_stop_at_is_on_the_form_before_the_count() -> None:
    held = parts(made("2021", "dti-lot", *BOLT))
    at = held["specimens[1].at_verification"]
    assert at.stop is not None
    # 1.05 x 39 kip = 40.95 kip, to the nearest kip: 41.
    assert (at.stop.at.figure, at.stop.then, at.stop.at.watch) == ("41 kip", ("count",), "load to stop at and count")
    assert at.stop.not_past is not None and at.stop.not_past.figure == "42 kip"
    # In the work at least 3 of 5 spaces; the count is what stops, and comes before the reading.
    at = held["specimens[1].at_installation"]
    assert at.stop is not None and (at.stop.at.figure, at.stop.what, at.stop.then[0]) == ("3", "refusals", "read")
    assert at.stop.at.watch == "fewest refusals in the work"
    assert isinstance(at.boxes[0], Box) and at.boxes[0].title == "refusals"
    # In the test at most 2 of 5.
    asked = by_path(made("2021", "dti-lot", *BOLT))["specimens[2].at_verification.refusals"].asked
    assert [(each.relation, each.figure, each.watch) for each in asked] == [("<=", "2", "most refusals in the test")]


def test_with_corrections_the_dial_figure_is_the_one_that_the_judge_takes(tmp_path: Path) -> None:
    """At 40 kip and above the dial reads a kip too much: 40.95 kip is reached at 42 of a dial of half kips, since
    41.5 is 40.5."""
    file = RULESETS / "examples" / "0453-invalid-load-not-reached-once-corrected.yaml"
    text = file.read_text(encoding="utf-8")
    form = with_record(file)
    at = parts(form)["specimens[1].at_verification"].stop
    assert at is not None and (at.at.dial, at.at.figure, at.at.letter) == ("42 kip", "40.95 kip", "A")
    assert form.dials is not None
    # 41.95 kip is 42.95 of the dial, and 52 kip is 53: from below, the last mark that does not pass.
    marks = [(each.letter, each.dial) for each in form.dials.lines]
    assert marks == [("A", "42 kip"), ("B", "42.5 kip"), ("C", "53 kip")]
    edition = Shelf.default().edition("tern-sound", "2025")
    outcomes = []
    for dial in ("41.5 kip", "42 kip"):
        record = yaml.safe_load(text)
        for specimen in record["specimens"]:
            specimen["at_verification"]["tension"] = dial
        (tmp_path / "record.yaml").write_text(yaml.safe_dump(record), encoding="utf-8")
        found = judge(read_record(tmp_path / "record.yaml"), edition)
        outcomes.append({each.outcome for each in found.findings if each.requirement.id == "load-reached"})
    assert outcomes == [{"not met"}, {"met"}]


def with_record(file: Path) -> Form:
    """The form for a test whose set-up is on record, on a dial of half kips."""
    record = yaml.safe_load(file.read_text(encoding="utf-8"))
    edition = Shelf.default().edition("tern-sound", "2025")
    known, procedure = known_by_record(str(file), None, edition)
    words = vocabulary(procedure)
    assert words is not None and record["device"]["corrections"]
    group, problems = given_fields(["device.graduation=0.5 kip"], words, known)
    assert not problems
    return form_of(edition, edition.procedures[procedure], words, group)


def test_without_corrections_no_dial_figure_is_made_up() -> None:
    """The rule speaks of the corrected tension, and nobody knows yet what the dial will show there."""
    at = parts(made("2025", "dti-lot", *BOLT, "device.graduation=0.5 kip"))["specimens[1].at_verification"].stop
    assert at is not None and (at.at.dial, at.at.corrected) == (None, True)
    assert at.not_past is not None and (at.at.letter, at.not_past.letter) == ("A", "B")
    (highest, capacity) = by_path(made("2025", "dti-lot", *BOLT))["specimens[2].at_full_refusal.tension"].asked
    assert (highest.letter, highest.figure, highest.lent) == ("C", "52 kip", False)
    # The capacity is the equipment's own limit: no letter, and told apart.
    assert (capacity.letter, capacity.lent) == (None, True)
    assert capacity.title == "no reading beyond the capacity of the device"
    blank = parts(made("2021", "dti-lot"))["specimens[1].at_verification"].stop
    assert blank is not None and blank.at.figure is None
    assert stop(blank) == (
        "STOP >= ____ [8.5(a)] load to stop at and count  then count; not past <= ____ [8.5(b)] load not to pass"
    )


def test_an_edition_that_corrects_no_reading_has_no_dial_figures_to_work_out() -> None:
    assert made("2021", "dti-lot", *BOLT).dials is None
    assert made("2025", "dti-short-bolt", *BOLT).dials is None
    form = made("2025", "rotational-capacity")
    assert form.dials is not None and form.dials.points == "device.corrections.points"
    assert [(each.letter, each.watch) for each in form.dials.lines] == [
        ("A", "tension at which torque is read"), ("B", "highest load to reach"),
    ]  # fmt: skip
    ((how, clause),) = form.dials.corrected
    assert clause == "8.3(e)" and "on the straight line between neighbouring correction points" in how


def test_a_check_is_decided_only_where_what_is_known_decides_it() -> None:
    def outcomes(*given: str) -> dict[str, str]:
        checks = made("2025", "dti-lot", "bolt.grade=A490", *given).checks
        return {check.requirement.id: check.outcome for check in checks if check.outcome != "open"}

    assert outcomes() == {}
    assert outcomes("bolt.finish=plain") == {"coating-fits-grade": "met"}
    assert outcomes("bolt.finish=hot-dip galvanized") == {"coating-fits-grade": "not met"}
    # Under the nut with the head turned, nothing rubs: no washer is asked for. The other check needs one more reading.
    seen = outcomes("indicator.position=under nut", "indicator.turned=head")
    assert seen == {"washer-between": "not applicable"}
    # Whether it is a retest is still to be filled in.
    assert outcomes("retest=false")["retest-once"] == "not applicable"


def test_a_reading_on_a_dial_in_kilonewton_is_written_in_kilonewton() -> None:
    form = made("2021", "dti-lot", *BOLT, "device.graduation=2 kN")
    box = by_path(form)["specimens[1].at_verification.tension"]
    assert (box.unit, set(box.units)) == ("kN", {"kip", "kN", "lbf", "N"})
    # 41 kip is 182.4 kN: 184 on a dial of 2 kN.
    at = parts(form)["specimens[1].at_verification"].stop
    assert at is not None and at.at.dial == "184 kN"


# Figures for all that is covered


def test_a_blank_form_has_the_figure_of_every_size_and_no_other() -> None:
    """As the edition without the form gives them, one by one."""
    grids = {grid.title: grid for grid in made("2021", "dti-lot").grids}
    grid = grids["load to stop at and count, at least (kip)"]
    assert grid.keys == ("bolt grade",) and grid.across == "bolt diameter" and len(grid.heads) == 9
    (first, figures), (second, _) = grid.rows
    assert (first, second) == (("Group 120",), ("Group 150",))
    for diameter, figure in zip(grid.heads, figures, strict=True):
        one = made("2021", "dti-lot", "bolt.grade=Group 120", f"bolt.diameter={diameter}")
        at = parts(one)["specimens[1].at_verification"].stop
        assert at is not None and at.at.figure == f"{figure} kip"
        assert not any("load" in each.title for each in one.grids)
    # Spaces 4 to 9, and no key that makes no difference.
    assert grids["most refusals in the test, at most"].rows == (((), ("1", "2", "2", "3", "3", "4")),)


# What a job knows


def test_what_is_named_of_a_job_is_filled_in_from_its_papers() -> None:
    job, problems = read_job(RULESETS / "jobs" / "wren-creek")
    words = vocabulary("dti-lot")
    assert job is not None and words is not None and not problems
    given, _ = given_fields(["indicator.lot=D-78", "device.serial=TD-3"], words)
    known = known_of(job, given, words)
    edition = Shelf.default().edition("tern-sound", "2025")
    boxes = by_path(form_of(edition, edition.procedures["dti-lot"], words, known))
    values = {path: box.value for path, box in boxes.items() if box.value}
    assert values["job"] == "wren-creek" and values["indicator.maker"] == "Northfield"
    assert (values["indicator.spaces"], values["device.capacity"], values["device.calibrated"]) == (
        "5", "100", "2026-01-20",
    )  # fmt: skip
    assert boxes["device.capacity"].unit == "kip" and "bolt.lot" not in values
    # A number that the job does not have fills in nothing.
    given, _ = given_fields(["indicator.lot=D-1"], words)
    assert [name for name in known_of(job, given, words).fields if name != "job"] == []


def test_a_whole_connection_is_filled_in_by_its_mark() -> None:
    job, _ = read_job(RULESETS / "jobs" / "wren-creek")
    words = vocabulary("dti-installed")
    assert job is not None and words is not None
    given, _ = given_fields(["connection.mark=G1-S1"], words)
    known = known_of(job, given, words)
    edition = Shelf.default().edition("tern-sound", "2025")
    boxes = by_path(form_of(edition, edition.procedures["dti-installed"], words, known))
    assert (boxes["connection.bolts"].value, boxes["bolt.lot"].value, boxes["indicator.lot"].value) == (
        "24", "B-101", "D-78",
    )  # fmt: skip
