"""The live page in a real browser: readings typed in, a verdict that follows, a file that `tautbook judge` accepts."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from reference.changes import RECORDS, written_out
from reference.shapes import schema
from sheet.cases import filed
from sheet.driven import Browser
from sheet.live import PASS, PROCEDURES, filled_in, headline, outcome, report_of, run
from tautbook.rendering.sheet_script import JUDGING, LIVE, script_of


def test_what_was_decided_when_the_page_was_made_is_taken_back_once_it_is_filled_in_otherwise(
    any_browser: Browser, tmp_path: Path
) -> None:
    """On paper it stands instead of a tick; in a page that is filled in, and then printed, only while it is so."""
    file = tmp_path / "known.html"
    known = [f"--given={each}" for each in ("bolt.finish=plain", "retest=false")]
    assert run("sheet", "--under", "tern-sound@2025", "--procedure", "dti-lot", *known, "--output", str(file))[0] == 0
    it = any_browser
    it.visit(file)

    def decided() -> list[list[str]]:
        of = "(({ dataset }) => [dataset.requirement, dataset.known])"
        return sorted(it.run(f"[...document.querySelectorAll('[data-known]')].map({of})"))

    retest = [[f"retest-{each}", "not applicable"] for each in (
        "after-it", "by-leave", "new-assemblies", "once", "same-lots"
    )]  # fmt: skip
    assert decided() == [["coating-fits-grade", "met"], *retest]
    it.choose("retest", "yes")
    assert decided() == [["coating-fits-grade", "met"]]
    it.choose("retest", "")
    assert decided() == [["coating-fits-grade", "met"]]


def test_the_verdict_follows_what_is_typed(at: Any) -> None:
    it = at("dti-lot")
    assert it.text("verdict").startswith("incomplete: ")
    assert it.text("verdict").endswith("It can still become: pass, fail, invalid.")
    assert not filled_in(it, {name: part for name, part in PASS.items() if name != "specimens"})
    assert headline(it).startswith("incomplete: ")
    assert not filled_in(it, {"specimens": PASS["specimens"]})
    assert headline(it) == "pass; demonstration figures"
    it.type("specimens[2].at_verification.refusals", "3")
    assert headline(it).startswith("fail: not-closed-early;")
    told = outcome(it, "not-closed-early", "specimens[2]")
    assert told == "not met: specimen 2: refusals (at the verification tension) 3; at most 2 is allowed (1 over)"
    assert it.text("next")
    it.type("specimens[2].at_verification.refusals", "")
    assert headline(it).startswith("incomplete: 1 observation not recorded")
    assert it.text("next") == "Still to record: refusals (at the verification tension) of specimen 2."
    it.choose("wrench", "impact")
    assert headline(it).startswith("invalid: ")
    it.type("id", "")
    assert it.text("verdict") == "no verdict yet: this is no record without its record number"


@pytest.mark.parametrize(
    "name",
    [
        "0401-pass-seven-eighths", "0404-pass-one-inch-a490-in-kn", "0411-fail-closed-early",
        "0434-pass-one-set-aside", "0457-pass-threads-waived-by-the-engineer", "0467-pass-own-observation",
        "0609-incomplete-no-evidence", "0701-pass-rotational-capacity", "0801-pass-in-the-work",
    ],
)  # fmt: skip
def test_a_record_filled_in_and_saved_is_judged_alike(name: str, at: Any) -> None:
    record = RECORDS[f"{name}.yaml"]
    it = at(record["procedure"])
    for path in ("specimens", "locations"):
        there = it.run(f"document.querySelectorAll('article[data-list={path}]').length")
        for _ in range(there, len(record.get(path, ()))):
            it.click(f"add-{path.removesuffix('s')}")
    assert not filled_in(it, record)
    file = it.saved()
    assert it.text("told") == f"Saved as {file.name}."
    report = report_of(file)
    assert headline(it) == report["headline"]
    for each in report["findings"]:
        told = outcome(it, each["requirement"], each.get("item"))
        assert told.startswith(f"{each['outcome']}{', void' if each.get('voided') else ''}: "), (each, told)
        assert told.endswith(each["sentence"]), (each, told)
    # What was saved is what is opened again, on a page where nothing was typed.
    it = at(record["procedure"])
    it.open(file)
    assert it.text("told") == f"{file.name} is open."
    assert headline(it) == report["headline"]
    assert it.saved().read_text() == file.read_text()


def test_what_is_typed_outlives_a_reload(at: Any) -> None:
    it = at("dti-lot")
    filled_in(it, PASS)
    it.click("add-specimen")
    it.type("specimens[4].notes", "a fourth, just begun")
    it.type("temperature", "4,5")
    before = it.text("verdict")
    it.reload()
    assert it.text("told") == "What was typed here before is shown again."
    assert it.value("specimens[4].notes") == "a fourth, just begun"
    assert it.value("temperature") == "4,5"
    assert it.text("verdict") == before


def test_leaving_with_something_unsaved_is_warned_of(at: Any) -> None:
    it = at("dti-lot")
    it.reload()
    assert it.asked == []
    it.type("notes", "wind from the north")
    it.reload()
    assert [asked.split(":")[0] for asked in it.asked] == ["beforeunload"]
    it.saved()
    it.asked = []
    it.reload()
    assert it.asked == []
    it.click("clear")
    assert it.asked == ["confirm: Clear everything that is filled in here?"]
    assert it.value("notes") == ""


TENSION, COUNT = "specimens[1].at_verification.tension", "specimens[1].at_verification.refusals"


@pytest.mark.parametrize(
    ("name", "typed", "told"),
    [
        ("temperature", "6,5", "Not taken: a decimal comma reads two ways: write 6.5"),
        (TENSION, "41 kips", "Not taken: “kips” is not a unit here: units here: kip, kN, lbf, N"),
        (TENSION, "41 mm", "Not taken: mm is not a unit of force: units here: kip, kN, lbf, N"),
        (COUNT, "two", "Not taken: “two” is not a whole number: digits only, such as 3"),
        ("tested", "14/04/2026", "Not taken: a date is written year-month-day: such as 2026-04-14"),
        ("tested", "2026-02-29", "Not taken: there is no 2026-02-29"),
        ("threads_in_grip", "400", "Not taken: this can be 0 to 40: check the figure and its unit"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_told_beside_its_box_and_kept(name: str, typed: str, told: str, at: Any) -> None:
    it = at("dti-lot")
    it.type(name, typed)
    assert it.text(f"{name}-refused") == told
    assert it.text("verdict") == "no verdict: 1 entry is not taken"
    box = f"document.getElementsByName({json.dumps(name)})[0]"
    assert it.run(f"{box}.getAttribute('aria-invalid')") == "true"
    assert f"{name}-refused" in it.run(f"{box}.getAttribute('aria-describedby')").split()
    assert it.value(name) == typed
    it.type(name, "")
    assert it.text(f"{name}-refused") == "" and it.run(f"{box}.getAttribute('aria-invalid')") is None


def test_an_entry_that_no_rule_reads_hides_no_verdict_and_promises_none(at: Any) -> None:
    it = at("dti-lot")
    filled_in(it, PASS)
    it.type("specimens[2].at_verification.refusals", "3")
    it.type("temperature", "64")
    fails = "fail: not-closed-early; demonstration figures"
    assert it.text("verdict") == f"no verdict: 1 entry is not taken. Without it: {fails}"
    assert it.text("next").startswith("temperature: the unit is missing")
    status, said = run("judge", str(it.saved()), "--under", "tern-sound@2025")
    assert status == 2 and "`64` has no unit" in said
    assert it.text("told").endswith("It cannot be judged before these are mended: temperature.")
    it.type("drawn.on", "14/04/2026")
    assert it.text("verdict") == f"no verdict: 2 entries are not taken. Without them: {fails}"
    it.type("threads_in_grip", "many")  # which is read
    assert it.text("verdict") == "no verdict: 3 entries are not taken"
    for name in ("threads_in_grip", "drawn.on", "temperature"):
        it.type(name, "")
    assert headline(it) == report_of(it.saved())["headline"]
    it.type("threads_in_grip", "4")
    it.type("temperature", "64 degF")
    assert headline(it) == report_of(it.saved())["headline"] == fails


def test_more_refusals_than_spaces_are_told_where_they_were_typed(at: Any) -> None:
    it = at("dti-lot")
    it.type("indicator.spaces", "5")
    it.type("specimens[3].at_installation.refusals", "6")
    assert "more refusals than the indicator has spaces" in it.text("specimens[3].at_installation.refusals-refused")


NO_RECORD = "this file cannot be read, it is not a record that was saved from a sheet (line 1 of its data)."
HOSTILE = '<img src=x onerror="document.title=1"><script>document.title=2</script>\u202e'


@pytest.mark.parametrize(
    ("file", "told"),
    [
        ('{"procedure": "dti-installed"}', "it is a record of dti-installed, and this is the form of dti-lot."),
        ('{"id": "1"}', "it is a record of no kind of test that it names, and this is the form of dti-lot."),
        ("procedure: dti-lot", NO_RECORD), ('{"procedure": "dti-lot", "id": }', NO_RECORD), ("", NO_RECORD),
        ("PK\x03\x04", NO_RECORD),
        ('{"procedure": "dti-lot",\n "id": "1",\n "id": "2"}',
         "this file cannot be read, something stands in it twice (line 3 of its data)."),
        ("[" * 5000, "this file cannot be read, it is nested too deep (line 1 of its data)."),
        ("[]", "this file holds no record of a test."),
    ],
)  # fmt: skip
def test_a_file_that_is_no_record_of_this_test_is_told_and_changes_nothing(
    file: str, told: str, at: Any, tmp_path: Path
) -> None:
    it = at("dti-lot")
    it.type("notes", "as it was")
    (tmp_path / "some.yaml").write_text(file)
    it.open(tmp_path / "some.yaml")
    assert it.text("told") == f"some.yaml was not opened: {told}"
    assert it.value("notes") == "as it was"


def test_hostile_texts_and_names_stay_text(at: Any, tmp_path: Path) -> None:
    record = {
        "procedure": "dti-lot", "id": HOSTILE, "notes": "'); drop", "wrench": HOSTILE, "__proto__": {"polluted": "a"},
        "constructor": "b", "bolt": {"__proto__": "c", "grade": HOSTILE}, "specimens": [{"hasOwnProperty": "d"}, "e"],
        HOSTILE: "f", "evidence": {"earlier": {"procedure": "dti-lot", "id": HOSTILE}}, "local": {"toString": "g"},
    }  # fmt: skip
    (tmp_path / "record.yaml").write_text(json.dumps(record))
    it = at("dti-lot")
    title = it.run("document.title")
    it.open(tmp_path / "record.yaml")
    assert it.text("told").startswith("record.yaml is open. Kept, without a box here: ")
    assert it.value("id") == it.value("wrench") == it.value("evidence.earlier") == HOSTILE
    assert it.text("verdict").startswith("no verdict: ")
    assert it.run("document.title") == title and it.run("({}).polluted") is None
    assert it.run("document.querySelectorAll('img, main script').length") == 0
    again = it.saved().read_text()
    assert json.loads(again.partition("\n")[2]) == record
    assert "<" not in again


def test_a_record_of_another_edition_opens_and_says_so(at: Any, tmp_path: Path) -> None:
    it = at("dti-lot 2016")
    filled_in(it, PASS)
    file = it.saved()
    assert report_of(file, "2016")["headline"] == headline(it)
    it = at("dti-lot")
    it.open(file)
    assert it.text("told") == (
        f"{file.name} is open. It was filled in for tern-sound@2016, and is judged here by tern-sound@2025."
    )


def test_what_a_file_holds_without_a_box_is_kept_in_it(at: Any, tmp_path: Path) -> None:
    """Space by space: the sheet asks for the count alone."""
    record = {**written_out(RECORDS["0440-pass-space-by-space.yaml"]), "local": {"elsewhere": {"seen": "yes"}}}
    (tmp_path / "record.yaml").write_text(filed(record, schema("dti-lot")))
    it = at("dti-lot")
    it.open(tmp_path / "record.yaml")
    file = it.saved()
    assert json.loads(file.read_text().partition("\n")[2]) == json.loads((tmp_path / "record.yaml").read_text())
    assert report_of(file)["headline"] == headline(it)


def test_evidence_written_out_is_judged_in_the_page(at: Any, tmp_path: Path) -> None:
    for name in ("0601-pass-short-bolt", "0606-fail-evidence-fails", "0608-incomplete-evidence-incomplete"):
        record = written_out(RECORDS[f"{name}.yaml"])
        (tmp_path / "record.yaml").write_text(filed(record, schema("dti-short-bolt")))
        it = at("dti-short-bolt")
        it.open(tmp_path / "record.yaml")
        assert headline(it) == report_of(tmp_path / "record.yaml")["headline"], name


def test_a_record_that_this_one_rests_on_is_taken_from_its_file(at: Any, tmp_path: Path) -> None:
    it = at("dti-short-bolt")
    filled_in(it, RECORDS["0601-pass-short-bolt.yaml"])
    assert headline(it).startswith("incomplete: 1 observation not recorded")
    assert "named and not at hand" in it.text("evidence.long_bolt-remark")
    (tmp_path / "long.yaml").write_text(filed(PASS, schema("dti-lot")))
    it.open(tmp_path / "long.yaml")
    assert it.text("told") == "long.yaml is taken as the long-bolt test that this test rests on."
    assert it.value("evidence.long_bolt") == "TS-0401"
    assert it.text("evidence.long_bolt-remark") == ""
    assert headline(it) == report_of(it.saved())["headline"]
    assert headline(it).startswith("pass;")


def test_where_nothing_can_be_kept_it_is_told(at: Any) -> None:
    it = at("dti-lot")
    full = "throw Object.assign(new Error('full'), { name: 'QuotaExceededError' })"
    it.run(f"Object.getPrototypeOf(localStorage).setItem = () => {{ {full}; }}")
    it.type("notes", "long")
    assert it.text("kept") == "This device has no room left to keep what is typed: save the record as a file."
    assert headline(it).startswith("incomplete: ")


def test_a_unit_that_is_chosen_once_stands_in_the_boxes_alike(at: Any) -> None:
    torque = "specimens[{}].at_torque.torque"
    it = at("rotational-capacity")
    it.click("add-specimen")
    it.type(torque.format(2), "300 N-m")
    it.choose(torque.format(1) + " unit", "ft-lbf")
    assert [it.value(torque.format(n) + " unit") for n in (1, 2, 3)] == ["ft-lbf", "", "ft-lbf"]
    assert it.value("temperature unit") == ""
    assert it.text(torque.format(2) + "-refused") == ""
    it.type("temperature", "68")
    assert it.text("temperature-refused") == "Not taken: the unit is missing: units here: degF, degC"


def test_what_was_kept_and_cannot_be_read_any_more_is_no_hindrance(at: Any) -> None:
    it = at("dti-lot")
    it.type("notes", "x")
    it.run(
        "addEventListener('pagehide', () => {"
        " for (const key of Object.keys(localStorage)) localStorage.setItem(key, '{\"texts\": null}'); })"
    )
    it.reload()
    assert it.text("told") == "What was kept on this device cannot be read any more."
    assert it.text("verdict").startswith("incomplete: ")


MOST_BYTES, MOST_MS = 300_000, 100


@pytest.mark.parametrize("procedure", PROCEDURES)
def test_a_page_is_small_and_judges_at_once(procedure: str, at: Any, pages: dict[str, Path]) -> None:
    assert pages[procedure].stat().st_size < MOST_BYTES
    it = at(procedure)
    assert it.run(BEFORE_LOAD)
    # Of the processor, not of the clock: the machine may be busy with other things.
    it.said("Performance.enable", timeDomain="threadTicks")
    taken = []
    for _ in range(5):
        it.reload()
        metrics = {each["name"]: each["value"] for each in it.said("Performance.getMetrics")["metrics"]}
        taken.append(metrics["ScriptDuration"])
    it.said("Performance.disable")
    assert 0 < min(taken) * 1000 < MOST_MS, taken


BEFORE_LOAD = """performance.getEntriesByName("judged")[0].startTime
  < performance.getEntriesByType("navigation")[0].loadEventStart"""
"""Whether the first verdict stood before the page was told to be loaded."""


def test_the_page_fetches_nothing_and_makes_no_code_of_text(pages: dict[str, Path], at: Any) -> None:
    page = pages["dti-lot"].read_text(encoding="utf-8")
    (policy,) = re.findall(r'http-equiv="Content-Security-Policy" content="([^"]*)"', page)
    assert re.fullmatch(
        r"default-src 'none'; script-src 'sha256-[^']+'; style-src 'sha256-[^']+'; base-uri 'none'; form-action 'none'",
        policy.replace("&#x27;", "'"),
    )
    script = script_of(*JUDGING, *LIVE)
    never = r"\b(eval|Function|fetch|XMLHttpRequest|WebSocket|innerHTML|outerHTML|insertAdjacentHTML)\b|\bimport\("
    assert not re.search(never, script)
    it = at("dti-lot")
    assert it.run("performance.getEntriesByType('resource').length") == 0
