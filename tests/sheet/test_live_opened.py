"""Files opened on the page: it says what `tautbook judge` says of them, and saves them with nothing lost or added."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from reference.changes import RECORDS, written_out
from reference.shapes import schema
from sheet.cases import filed
from sheet.driven import Browser
from sheet.live import PASS, headline, run
from sheet.test_known_units import small


def as_json(record: Any) -> Any:
    return json.loads(filed(written_out(record), schema(record["procedure"])))


def file_of(record: Any, folder: Path, name: str = "record.yaml") -> Path:
    (folder / name).write_text(json.dumps(record))
    return folder / name


def held(file: Path) -> Any:
    return json.loads(file.read_text().partition("\n")[2])


def judged(file: Path) -> str | None:
    """The headline; None where the record is refused."""
    status, said = run("judge", str(file), "--under", "tern-sound@2025", "--format", "json")
    return None if status == 2 else str(json.loads(said)["headline"])


def shown(it: Browser) -> str | None:
    said = headline(it)
    return None if said.startswith("no verdict") else said


Change = Callable[[Any], object]

FIRST = ("specimens", 0, "at_verification", "tension")


def put(part: Any, *steps: Any) -> Change:
    def change(record: Any) -> None:
        at = record
        for step in steps[:-1]:
            at = at[step] if isinstance(step, int) else at.setdefault(step, {})
        at[steps[-1]] = part

    return change


CHANGES: dict[str, tuple[Change, bool]] = {
    "a quantity without its unit": (put("41", *FIRST), False),
    "a quantity that is no text": (put(41, *FIRST), False),
    "two spaces before a unit": (put("41  kip", *FIRST), False),
    "a space before a number": (put(" 41 kip", *FIRST), False),
    "a unit that the box does not offer": (put("1 ft", "bolt", "length"), True),
    "one more specimen, nothing recorded": (lambda record: record["specimens"].append({}), True),
    "no specimen": (put([], "specimens"), True),
    "a part without fields": (put({}, "gauge"), True),
    "nothing in local": (put({}, "local"), True),
    "nothing observed": (put({}, "local", "tern-sound"), True),
    "null": (put(None, "notes"), False),
    "null for a part": (put(None, "bolt"), False),
    "null for an answer": (put(None, "head_held"), False),
    "null for a specimen": (put(None, "specimens", 1), False),
    "an empty text": (put("", "temperature"), False),
    "an empty text in a list of words": (put("", "head_held"), False),
    "an empty text for a specimen": (put("", "specimens", 1), False),
    "two lines": (put("wind\nfrom the north", "notes"), True),
    "spaces around": (put(" calm ", "notes"), True),
    "a name of the language": (put("constructor", "head_held"), False),
    "an answer that is none": (put("yes", "head_held"), False),
    "local is a text": (put("abc", "local"), False),
    "local of another ruleset is a text": (put("abc", "local", "elsewhere"), False),
    "a control character there": (put("a\u0080", "local", "elsewhere", "seen", "by"), False),
    "a control character in a name there": (put("a", "local", "elsewhere", "s\u0080"), False),
    "a control character in a name of a record": (put("TS\u0080-1", "evidence", "earlier"), False),
    "a text too long there": (put("a" * 20_001, "local", "elsewhere", "seen"), False),
}
"""Changes of a record that passes, and whether it can still be judged."""


@pytest.mark.parametrize("what", CHANGES)
def test_a_file_says_the_same_on_the_page_as_to_the_judge_and_is_saved_as_it_was(
    what: str, at: Any, tmp_path: Path
) -> None:
    change, can_be_judged = CHANGES[what]
    record = as_json(PASS)
    change(record)
    file = file_of(record, tmp_path)
    it = at("dti-lot")
    it.open(file)
    assert it.text("told").startswith("record.yaml is open.")
    told = judged(file)
    assert (told is not None) is can_be_judged
    assert shown(it) == told
    # What was opened outlives a reload as it stands.
    it.reload()
    assert held(it.saved()) == texts(record)


def texts(part: Any) -> Any:
    """Numbers of fields that are no whole numbers come back as the texts that they were read as."""
    if isinstance(part, dict):
        return {name: str(below) if name == "tension" else texts(below) for name, below in part.items()}
    return [texts(each) for each in part] if isinstance(part, list) else part


def test_a_text_of_two_lines_is_shown_on_one_and_can_be_written_anew(at: Any, tmp_path: Path) -> None:
    it = at("dti-lot")
    it.open(file_of(as_json(PASS) | {"notes": "wind\nfrom the north", "temperature": "68\ndegF"}, tmp_path))
    assert it.value("notes") == "wind from the north"
    assert it.text("verdict").startswith("no verdict: 1 entry is not taken. Without it: pass")
    # What is typed counts from then on, even where it looks the same.
    it.type("temperature", it.value("temperature"))
    assert held(it.saved())["temperature"] == "68 degF"
    assert headline(it).startswith("pass;")


def test_no_unit_is_chosen_for_what_was_written_without_one(at: Any, tmp_path: Path) -> None:
    record = as_json(PASS)
    record["specimens"][0]["at_verification"]["tension"] = "41"
    name = "specimens[1].at_verification.tension"
    it = at("dti-lot")
    assert it.value(f"{name} unit") == "kip"
    it.open(file_of(record, tmp_path))
    assert (it.value(name), it.value(f"{name} unit")) == ("41", "")
    assert it.text(f"{name}-refused").startswith("Not taken: the unit is missing")
    it.choose(f"{name} unit", "kip")
    assert headline(it).startswith("pass;")
    assert held(it.saved())["specimens"][0]["at_verification"]["tension"] == "41 kip"


def test_a_record_written_out_is_whole_whatever_stands_around_its_number(at: Any, tmp_path: Path) -> None:
    for id in (" TS-0401", "TS-\n0401", " "):
        record = as_json(RECORDS["0601-pass-short-bolt.yaml"])
        record["evidence"]["long_bolt"] = as_json(PASS) | {"id": id}
        file = file_of(record, tmp_path)
        it = at("dti-short-bolt")
        it.open(file)
        assert shown(it) == judged(file)
        assert it.text("evidence.long_bolt-remark") == ""
        assert held(it.saved()) == record


def test_what_the_file_has_in_the_place_of_something_typed_is_named(at: Any, tmp_path: Path) -> None:
    it = at("dti-lot")
    it.open(file_of(as_json(PASS) | {"bolt": "x"}, tmp_path))
    assert it.text("verdict").startswith("no verdict")
    it.type("bolt.lot", "B-1")
    assert it.text("bolt.lot-remark") == (
        "The file has “x” for bolt, which is left out of the record as long as something is typed here."
    )
    saved = it.saved()
    assert held(saved)["bolt"] == {"lot": "B-1"}
    it.type("bolt.lot", "")
    assert it.text("bolt.lot-remark") == "" and held(it.saved())["bolt"] == "x"


def test_what_is_typed_into_a_part_that_was_empty_does_not_stay_in_it(at: Any, tmp_path: Path) -> None:
    it = at("dti-lot")
    it.open(file_of(as_json(PASS) | {"gauge": {}}, tmp_path))
    it.type("gauge.thickness", "0.005 in")
    assert held(it.saved())["gauge"] == {"thickness": "0.005 in"}
    it.type("gauge.thickness", "")
    assert held(it.saved())["gauge"] == {}


def test_a_record_whose_number_is_no_text_can_be_saved(at: Any, tmp_path: Path) -> None:
    it = at("dti-lot")
    it.open(file_of(as_json(PASS) | {"id": {"a": "b"}}, tmp_path))
    saved = it.saved()
    assert saved.name == "dti-lot-record.yaml" and held(saved)["id"] == {"a": "b"}


def test_a_file_that_cannot_be_read_is_told(at: Any, tmp_path: Path) -> None:
    it = at("dti-lot")
    it.run("File.prototype.text = () => Promise.reject(new DOMException('gone', 'NotReadableError'))")
    it.open(file_of(as_json(PASS), tmp_path))
    assert it.text("told") == "record.yaml was not opened: this device does not let it be read any more."


def test_an_authoritys_own_text_is_saved_as_a_text(any_browser: Browser, tmp_path: Path) -> None:
    under = small({"a_text": {"kind": "text"}, "an_answer": {"kind": "yes-no"}}, tmp_path)
    page = tmp_path / "own.html"
    assert run("sheet", *under, "--output", str(page))[0] == 0
    any_browser.visit(page)
    any_browser.type("local.small.a_text", "true")
    any_browser.choose("local.small.an_answer", "yes")
    assert held(any_browser.saved())["local"] == {"small": {"a_text": "true", "an_answer": True}}


def test_a_number_too_long_for_one_is_saved_as_a_text(at: Any, tmp_path: Path) -> None:
    record = as_json(PASS)
    put("9" * 60, "local", "elsewhere", "seen")(record)
    it = at("dti-lot")
    it.open(file_of(record, tmp_path))
    saved = it.saved()
    assert held(saved)["local"]["elsewhere"] == {"seen": "9" * 60}
    assert shown(it) == judged(saved) is not None
