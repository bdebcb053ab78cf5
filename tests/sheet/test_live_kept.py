"""What the live page keeps on the device, for each window by itself; and what it tells besides the verdict."""

import json
from pathlib import Path
from shutil import copy
from typing import Any

from reference.changes import RECORDS
from sheet.driven import Browser
from sheet.live import PASS, filled_in, headline, outcome, report_of


def window(it: Browser, page: Path) -> str:
    """One more window, with a page in it; the one that is spoken to from now on."""
    target = it.said("Target.createTarget", url="about:blank")["targetId"]
    session: str = it.said("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
    into(it, session)
    it.visit(page)
    return session


def into(it: Browser, session: str) -> None:
    it._session = session
    for part in ("Page", "Runtime", "DOM"):
        it.said(f"{part}.enable")
    it.said("Page.setInterceptFileChooserDialog", enabled=True)
    it.said("Page.bringToFront")


# Windows


def test_two_windows_of_one_sheet_keep_what_was_typed_in_each(at: Any, pages: dict[str, Path]) -> None:
    it = at("dti-lot")
    first = it._session
    it.type("id", "L-1")
    second = window(it, pages["dti-lot"])
    assert it.value("id") == ""
    it.type("id", "L-2")
    into(it, first)
    it.type("notes", "of the first")
    it.reload()
    assert (it.value("id"), it.value("notes")) == ("L-1", "of the first")
    into(it, second)
    it.reload()
    assert (it.value("id"), it.value("notes")) == ("L-2", "")
    into(it, first)


def test_two_copies_of_one_sheet_in_one_window_are_two(at: Any, pages: dict[str, Path], tmp_path: Path) -> None:
    it = at("dti-lot")
    it.type("id", "L-1")
    other = Path(copy(pages["dti-lot"], tmp_path / "copy.html"))
    it.visit(other)
    assert it.value("id") == ""
    it.type("id", "L-2")
    it.visit(pages["dti-lot"])
    assert it.value("id") == "L-1"
    it.visit(other)
    assert it.value("id") == "L-2"


def test_a_window_that_was_doubled_writes_over_nothing(at: Any) -> None:
    it = at("dti-lot")
    it.type("id", "L-1")
    # The other one has the same place, and goes on there.
    it.run(
        "for (const key of Object.keys(localStorage)) localStorage.setItem(key,"
        " localStorage.getItem(key).replaceAll('L-1', 'L-1 B'))"
    )
    it.type("id", "L-1 A")
    kept = it.run("Object.values(localStorage)")
    assert sorted(json.loads(each)["texts"]["id"] for each in kept) == ["L-1 A", "L-1 B"]


def test_what_was_typed_in_a_window_that_is_gone_can_be_gone_on_with(at: Any) -> None:
    it = at("dti-lot")
    filled_in(it, PASS)
    it.type("id", "L-1")
    before = it.text("verdict")
    # A new window, as after an empty battery.
    it.run("sessionStorage.clear()")
    it.reload()
    assert it.value("id") == "" and "L-1" in it.text("others")
    it.run("document.querySelector('#others button').click()")
    it.settled()
    assert (it.value("id"), it.text("verdict"), it.text("others")) == ("L-1", before, "")
    # Once it is saved as a file, no new window speaks of it.
    it.saved()
    it.run("sessionStorage.clear()")
    it.reload()
    assert it.value("id") == "" and it.text("others") == ""


def test_where_there_is_no_room_what_is_saved_as_a_file_gives_way(at: Any) -> None:
    it = at("dti-lot")
    it.type("id", "L-1")
    it.saved()
    it.run("sessionStorage.clear()")
    it.reload()
    full = "throw Object.assign(new Error('full'), { name: 'QuotaExceededError' })"
    it.run(
        "{ const set = Storage.prototype.setItem; Storage.prototype.setItem = function (key, text) {"
        f" if (this === localStorage && this.length && !this.getItem(key)) {full}; set.call(this, key, text); }}; }}"
    )
    it.type("id", "L-2")
    assert it.text("kept") == "Not saved as a file yet. Kept on this device."
    kept = it.run("Object.values(localStorage)")
    assert [json.loads(each)["texts"]["id"] for each in kept] == ["L-2"]


def test_what_is_typed_is_kept_even_where_it_cannot_be_judged(at: Any) -> None:
    it = at("dti-lot")
    it.run("String.prototype.normalize = () => { throw new Error('broken'); }")
    it.type("notes", "wind from the north")
    assert any("wind from the north" in each for each in it.run("Object.values(localStorage)"))


def test_a_browser_that_heeds_only_a_return_value_warns_as_well(at: Any) -> None:
    it = at("dti-lot")
    leave = "(() => { const event = document.createEvent('BeforeUnloadEvent');"
    leave += " event.initEvent('beforeunload', false, true); dispatchEvent(event); return event.returnValue; })()"
    assert it.run(leave) == ""
    it.type("notes", "wind")
    assert it.run(leave) == "unsaved"


def test_what_a_browser_fills_in_by_itself_is_judged(at: Any, pages: dict[str, Path]) -> None:
    it = at("dti-lot")
    assert it.run("[...document.querySelectorAll('select')].every((each) => each.autocomplete === 'off')")
    filled_in(it, PASS)
    it.run("document.getElementsByName('wrench')[0].value = 'impact'; dispatchEvent(new Event('pageshow'))")
    it.settled()
    assert headline(it).startswith("invalid: ")


# Waivers and rows


WAIVED = RECORDS["0457-pass-threads-waived-by-the-engineer.yaml"]


def test_a_waiver_that_changes_nothing_says_why_beside_its_row(at: Any) -> None:
    it = at("dti-lot")
    assert not filled_in(it, WAIVED)
    assert it.text("waivers[1]-ignored") == ""
    it.type("waivers[1].role", "painter")
    told = report_of(it.saved())["ignored_waivers"][0]["ignored"]
    assert it.text("waivers[1]-ignored") == f"This waiver is ignored: {told}."
    note = "document.getElementById('waivers[1]-ignored')"
    assert it.run(f"{note}.closest('[data-row]').dataset.row") == "waivers[1]"
    it.type("waivers[1].role", WAIVED["waivers"][0]["role"])
    assert it.run(f"{note}.hidden") and headline(it).startswith("pass")


def test_rows_are_added_to_every_list(at: Any) -> None:
    it = at("dti-lot")
    lists = it.run("[...new Set([...document.querySelectorAll('.rows')].map((each) => each.dataset.list))]")
    assert lists == ["device.corrections.points", "waivers"]
    for path in lists:
        count = it.run(f"document.querySelectorAll('[data-list=\"{path}\"] .row').length")
        it.run(f"document.querySelector('[data-add=\"{path}\"]').click()")
        it.settled()
        assert it.run(f"document.querySelectorAll('[data-list=\"{path}\"] .row').length") == count + 1
        assert it.run("document.activeElement.name").startswith(f"{path}[{count + 1}].")
    second = {**WAIVED["waivers"][0], "requirement": "length-tolerance", "why": "measured twice"}
    assert not filled_in(it, {**WAIVED, "waivers": [*WAIVED["waivers"], second]})
    report = report_of(it.saved())
    assert headline(it) == report["headline"]
    assert report["ignored_waivers"][0]["requirement"] == "length-tolerance"
    assert it.text("waivers[2]-ignored") and outcome(it, WAIVED["waivers"][0]["requirement"]).startswith("waived: ")
