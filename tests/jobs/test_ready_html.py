"""The page for the site office: whole and kept, what it says, where its links lead, and text that tries to be more."""

from __future__ import annotations

import datetime
import json
import re
from pathlib import Path

import pytest
from pytest_regressions.file_regression import FileRegressionFixture

from jobs.wren_creek import edit, good, read, ready, run, write
from rendering.pages import Page, contrast, held_to

ROOT = Path(__file__).parents[2]
NAME = "rulesets/tern-sound/jobs/wren-creek"


@pytest.fixture(autouse=True)
def from_the_checkout(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)


def page_of(folder: Path | str, *arguments: str) -> tuple[str, Page]:
    whole = run("ready", folder, *arguments, "--format", "html").stdout
    return whole, held_to(whole)


@pytest.mark.parametrize("day", [None, "2026-10-05"])
def test_the_page(day: str | None, file_regression: FileRegressionFixture) -> None:
    found = run("ready", NAME, *([] if day is None else ["--on", day]), "--format", "html")
    assert found.exit_code == 1 and found.stderr == ""
    held_to(found.stdout)
    file_regression.check(found.stdout.encode(), extension=".html", binary=True)


@pytest.mark.parametrize("day", [(), ("--on", "2026-10-05")])
def test_it_says_all_that_the_data_hold(day: tuple[str, ...]) -> None:
    _, page = page_of(NAME, *day)
    found = json.loads(run("ready", NAME, *day, "--format", "json").stdout)
    assert page.said("h1") == [found["headline"].partition(";")[0]]
    way = page.said("ol")[0]
    for each in found["in_the_way"]:
        assert f"{each['text'][0].upper()}{each['text'][1:]}." in way
        assert each["next"] is None or f"Next: {each['next']}" in way
    rows = [said for said in page.said("tr") if "test " in said]
    tests = [row for row in rows if re.match(r"(passed|expired|failed|invalid|incomplete|in doubt|missing|left)", row)]
    assert len(tests) == len(found["tests"])
    for row, test in zip(tests, found["tests"], strict=True):
        assert row.startswith(test["state"])
        assert all(f"{key['title']} {key['value']}" in row for key in test["combination"])
        assert all(f"{each['id']} of {each['tested']}: {each['verdict']}" in row for each in test["records"])
        assert test["until"] is None or f"counts until {test['until']}" in row
    for each in found["dispositions"]:
        assert f"{each['by']} ({each['role']}), {each['on']}" in page.text
    for each in found["equipment"]:
        assert f"{each['of']} {each['name']}" in page.text


def test_tests_and_what_is_in_their_way_lead_to_each_other() -> None:
    whole, page = page_of(NAME)
    at = {attrs["id"]: i for i, (_, attrs, _) in enumerate(page.elements) if "id" in attrs}
    from_way, from_tests = set(), set()
    here = ""
    for _, attrs, _ in page.elements:
        here = attrs.get("id") or here
        to = (attrs.get("href") or "").removeprefix("#")
        if here.startswith("way-") and to.startswith("test-"):
            from_way.add((here, to))
        if here.startswith("test-") and to.startswith("way-"):
            from_tests.add((to, here))
        assert not to or to in at or to == "standing"
    assert from_way == from_tests and len(from_way) >= 10
    # Each test that does not count says what is in its way.
    wanting = [attrs["id"] for _, attrs, _ in page.elements if attrs.get("class") == "wanting"]
    assert {test for _, test in from_tests} == set(wanting)
    assert whole.count('<p class="counts">') == 1


def test_days_to_watch_are_told_from_the_day_asked_about() -> None:
    _, page = page_of(NAME, "--on", "2026-07-20")
    assert "2026-07-20tests may be made with device TD-3 (8.3(a))this is the day" in page.said("tr")
    assert "device TD-3for tests until 2026-07-20 (8.3(a))in date" in page.said("tr")
    assert "2026-09-30test 1 counts, by record WC-0172 days left" in page.said("tr")
    _, page = page_of(NAME, "--on", "2026-07-21")
    out = "out of date: device calibrated within the 6 months before the test"
    assert "past by 1 day" in page.text and f"device TD-3for tests until 2026-07-20 (8.3(a)){out}" in page.said("tr")
    _, page = page_of(NAME)
    assert "no day was asked about" in page.text and "past by" not in page.text


def test_a_job_that_is_ready_and_a_job_that_only_waits(tmp_path: Path) -> None:
    folder = good(tmp_path / "job")
    _, page = page_of(folder)
    assert page.said("h1") == ["ready: 3 of 3 tests that tern-sound@wren-creek asks for are on record and pass"]
    assert "Release is the Engineer's" in page.text and page.said("ol") == []
    edit(folder, "WC-03", "head_held: true\n", "")
    _, page = page_of(folder)
    assert page.said("h1")[0].startswith("not yet: 2 of 3 tests") and "lacks head held" in page.text


def test_every_state_is_a_word_and_no_colour_has_a_meaning() -> None:
    whole, _ = page_of(NAME)
    style = whole.partition("<style>")[2].partition("</style>")[0]
    colours = set(re.findall(r"[{; ]color: (#[0-9a-f]{3,6})", style))
    assert colours and all(contrast(colour) >= 4.5 for colour in colours)
    assert "background" not in style.replace("background: #fff", "")


@pytest.mark.parametrize("said", [
    "</title></style><script>alert(1)</script><img src=x onerror=alert(1)>",
    "\"' onmouseover=alert(1) x='</h1>\" style=\"display:none",
    "\" } body { display: none } @import url(http://a.invalid/x); /* ",
    "=1+1\u202e\u2066",
    "W" * 3000,
])  # fmt: skip
def test_text_of_a_job_and_its_records_stays_text(tmp_path: Path, said: str) -> None:
    folder = good(tmp_path / "job")
    whole = read(folder)
    for part in ("job", "title", "contract", "owner"):
        whole[part] = said
    whole["assemblies"][0]["connection"]["mark"] = said
    whole["lots"]["bolt"][0]["maker"] = said
    whole["dispositions"] = [{"of": "bolt", "lot": "B-101", "decision": "held", "by": said, "role": said,
                              "on": datetime.date(2026, 4, 4), "treatment": said, "record": said}]  # fmt: skip
    whole["leaves"] = [{"procedure": "dti-installed", "by": said, "role": said, "on": datetime.date(2026, 4, 4),
                        "why": said}]  # fmt: skip
    whole["equipment"]["device"][0]["serial"] = said
    write(folder, whole)
    edit(folder, "WC-03", "id: WC-03", f"id: {json.dumps(said)}")
    found = ready(folder, "--format", "html")
    assert found.exit_code == 1, found.stderr
    page = held_to(found.stdout)
    shown = said.replace("\u202e", "\\u202e").replace("\u2066", "\\u2066")
    assert page.text.count(" ".join(shown.split())) >= 12
    assert all(char.isprintable() or char == "\n" for char in found.stdout)
