"""The page of a form without its script: whole, for everybody, nothing but text; and the command that writes it."""

from __future__ import annotations

import base64
import hashlib
import os
import re
import shlex
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from rendering.pages import Page, contrast
from rendering.test_markdown import HOSTILE
from sheet.chromium import FLAGS, chromium
from sheet.outline import made
from sheet.test_form import ALL, BOLT, with_record
from tautbook.cli.group import tautbook
from tautbook.rendering.sheet import sheet_html
from tautbook.rendering.sheet_live import live_sheet
from tautbook.sheet.form import Form, Listed

RULESETS = Path(__file__).parents[2] / "rulesets" / "tern-sound"
CORRECTED = RULESETS / "examples" / "0453-invalid-load-not-reached-once-corrected.yaml"
LOT = ("--under", "tern-sound@2021", "--procedure", "dti-lot")


def page_of(form: Form, *scripts: str) -> str:
    return "".join(f"{line}\n" for line in sheet_html(form, scripts))


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(tautbook, ["sheet", *map(str, arguments)])


# The page


@pytest.mark.parametrize(("year", "procedure"), ALL)
def test_every_box_has_a_label_and_says_what_is_asked_of_it(year: str, procedure: str) -> None:
    form = made(year, procedure)
    page = Page.read(page_of(form))
    ids = [attrs["id"] for _, attrs, _ in page.elements if "id" in attrs]
    assert len(set(ids)) == len(ids)
    labels = [attrs["for"] for attrs in page.all("label")]
    entries = [attrs for tag in ("input", "select") for attrs in page.all(tag)]
    names = [attrs["name"] for attrs in entries]
    assert len(set(names)) == len(names)
    for attrs in entries:
        assert attrs.get("type") == "hidden" or attrs.get("id") in labels or attrs.get("aria-label"), attrs
        assert attrs.get("aria-describedby", ids[0]) in ids
    by_name = {attrs["name"]: attrs for attrs in entries}
    for box in form.boxes():
        assert box.path in by_name
        assert (f"{box.path} unit" in by_name) is bool(box.units)
    assert {f"#{each}" for each in ids} >= {attrs["href"] for attrs in page.all("a")}
    assert {attrs["aria-labelledby"] for _, attrs, _ in page.elements if "aria-labelledby" in attrs} <= set(ids)


@pytest.mark.parametrize(("year", "procedure"), ALL)
def test_every_requirement_stands_on_it_with_its_sentence_once_or_once_an_item(year: str, procedure: str) -> None:
    form = made(year, procedure)
    page = Page.read(page_of(form))
    items = [attrs for attrs in page.all("li") if "data-requirement" in attrs]
    found = [(attrs["data-requirement"], attrs.get("data-item")) for attrs in items]
    wanted = []
    for check in form.checks:
        lists = [each for each in form.lists if each.path == check.requirement.each]
        wanted += [(check.requirement.id, item.path) for each in lists for item in each.items] or [
            (check.requirement.id, None)
        ]
        assert " ".join(check.sentence.split()) in page.text
    assert sorted(found, key=str) == sorted(wanted, key=str)


@pytest.mark.parametrize("scripts", [(), ("document.title = 'lived';",)])
def test_nothing_runs_but_what_the_policy_names(scripts: tuple[str, ...]) -> None:
    text = page_of(made("2021", "dti-lot"), *scripts)
    page = Page.read(text)

    def digest(part: str) -> str:
        return f"'sha256-{base64.b64encode(hashlib.sha256(part.encode()).digest()).decode()}'"

    style = text.partition("<style>")[2].partition("</style>")[0]
    run = "".join(f" script-src {digest(script)};" for script in scripts)
    policy = f"default-src 'none';{run} style-src {digest(style)}; base-uri 'none'; form-action 'none'"
    assert [attrs["content"] for attrs in page.all("meta") if "http-equiv" in attrs] == [policy]
    assert len(page.all("script")) == len(scripts)
    names = {name for _, attrs, _ in page.elements for name in attrs}
    assert not any(name.startswith("on") or name in ("style", "src", "action") for name in names)
    assert not re.search(r"url\(|@import|expression\(|<", style)
    colours = set(re.findall(r"[^-]color: (#[0-9a-f]{3,6})", style)) - {"#fff"}
    assert all(contrast(colour) >= 7 for colour in colours), colours


def test_what_only_works_with_a_script_is_hidden_without_it() -> None:
    page = Page.read(page_of(made("2021", "dti-lot")))
    (live,) = [attrs for attrs in page.all("section") if attrs.get("id") == "live"]
    assert "hidden" in live
    buttons = [attrs["id"] for attrs in page.all("button")]
    assert buttons == ["save", "open", "add-specimen", "clear"]


def test_the_line_that_holds_the_work_stands_where_it_belongs() -> None:
    text = page_of(made("2021", "dti-lot", *BOLT))
    words = " ".join(Page.read(text).text.split())
    for n in (1, 2, 3):
        at = words.index(f"specimen {n} ")
        order = ["STOP at 41 kip and count.", "Do not pass 42 kip.", "tension at the verification tension",
                 "refusals at the verification tension", "most refusals in the test: at most 2",
                 "A space is refused unless", "STOP at 3 refusals (fewest refusals in the work) and read and look.",
                 "If as many or more are there already, write them.", "STOP at 5 refusals and read and look.",
                 "highest tension at full refusal: at most 53 kip"]  # fmt: skip
        for each in order:
            at = words.index(each, at)
    assert words.index("Set-up checks") < words.index("specimen 1 ") < words.index("People and signatures")
    assert words.index("stand clear of both ends") < words.index("Set-up checks")
    # What has to be known before the work is told before it.
    assert words.index("Set-up checks") < words.index("never eased") < words.index("specimen 1 ")


def test_a_dial_figure_is_worked_out_once_and_stands_at_its_letter() -> None:
    text = page_of(made("2025", "dti-lot", *BOLT))
    words = " ".join(Page.read(text).text.split())
    lines = ["correction points", "Dial figures",
             "A load to stop at and count: first mark at or above 40.95 kip corrected:",
             "B load not to pass: last mark at or below 41.95 kip corrected:",
             "C highest tension at full refusal: last mark at or below 52 kip corrected:"]  # fmt: skip
    at = 0
    for each in lines:
        at = words.index(each, at)
    for n in (1, 2, 3):
        at = words.index(f"specimen {n} ", at)
        order = ["STOP at A on the dial (40.95 kip corrected) and count.",
                 "Do not pass B on the dial (41.95 kip corrected).", "as read on the dial, not corrected",
                 "highest tension at full refusal: at most C on the dial (52 kip corrected)"]  # fmt: skip
        for each in order:
            at = words.index(each, at)
    assert words.count("Try marks of the dial") == 1
    known = " ".join(Page.read(page_of(with_record(CORRECTED))).text.split())
    assert "A load to stop at and count: first mark at or above 40.95 kip corrected: 42 kip B" in known
    assert "STOP at A 42 kip on the dial (40.95 kip corrected) and count." in known
    # Nothing is left to try where the certificate is known.
    assert "Try marks of the dial" not in known and '"write short"' not in page_of(with_record(CORRECTED))


def test_a_person_with_nothing_but_the_paper_is_told_how_to_fill_it_in() -> None:
    form = made("2025", "dti-lot", *BOLT, "device.capacity=100 kip")
    words = " ".join(Page.read(page_of(form)).text.split())
    said = ["demonstration figures: invented, not for use in real work", "Bold labels are read by the rules",
            "tautbook judge RECORD --under tern-sound@2025", "date of test: no later than",
            "performed by Who made the test.", "observed by Who watched the test for the owner."]  # fmt: skip
    at = 0
    for each in said:
        at = words.index(each, at)
    assert "no reading beyond the capacity of the device: at most 100 kip, corrected" in words
    assert "real work" not in Page.read(page_of(replace(form, demonstration=False))).text


# Hostile text


def test_text_of_files_stays_text() -> None:
    form = made("2021", "dti-lot")
    first = form.before[0]
    said = f"\x1b[31m{HOSTILE}\u202e"
    boxes = tuple(box if isinstance(box, Listed) else replace(box, value=said) for box in first.boxes)
    hostile = replace(
        form,
        headline=HOSTILE,
        edition=replace(form.edition, title=HOSTILE),
        words=replace(form.words, cautions=(HOSTILE,)),
        before=(replace(first, title=HOSTILE, path=HOSTILE, boxes=boxes), *form.before[1:]),
    )
    text = page_of(hostile)
    plain, found = Page.read(page_of(form)), Page.read(text)
    assert {tag for tag, _, _ in found.elements} == {tag for tag, _, _ in plain.elements}
    assert {name for _, attrs, _ in found.elements for name in attrs} == {
        name for _, attrs, _ in plain.elements for name in attrs
    }
    assert not re.search("[\\u202a-\\u202e\\u2066-\\u2069\\x00-\\x08\\x1b]", text)
    assert any(attrs.get("value", "") for attrs in found.all("input") if attrs.get("name") == "id")


def test_a_value_that_was_given_stands_in_its_box_and_nowhere_breaks_out(tmp_path: Path) -> None:
    said = '"><script>alert(1)</script>'
    output = tmp_path / "sheet.html"
    done = run(*LOT, "--given", f"id={said}", "--output", output)
    assert done.exit_code == 0, done.stderr
    page = Page.read(re.sub(r"<script>.*?</script>", "", output.read_text(encoding="utf-8"), flags=re.DOTALL))
    assert [attrs["value"] for attrs in page.all("input") if attrs.get("name") == "id"] == [said]


def test_the_page_of_the_largest_procedure_is_small_enough_for_a_phone() -> None:
    assert len("\n".join(live_sheet(made("2025", "dti-lot"))).encode()) < 300_000


# The command


def test_a_page_is_written_whole_and_not_over_another(tmp_path: Path) -> None:
    output = tmp_path / "sheet.html"
    assert run(*LOT, "--output", output).exit_code == 0
    first = output.read_bytes()
    assert first.startswith(b"<!DOCTYPE html>") and first.endswith(b"</html>\n") and len(first) < 300_000
    refused = run(*LOT, "--output", output)
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert refused.stderr.endswith("file-there: this file is there already\n  help: add --replace to replace it\n")
    assert output.read_bytes() == first
    assert run(*LOT, "--output", output, "--replace", "--given", "id=TS-1").exit_code == 0
    assert output.read_bytes() != first
    assert [each.name for each in tmp_path.iterdir()] == ["sheet.html"]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--under", "tern-sound@2021"], "procedure-needed: say for which kind of test: --procedure"),
        (["--under", "tern-sound@2021", "--procedure", "dti-lots"], "did you mean `dti-lot`?"),
        (["--under", "tern-sound@2021", "--procedure", "rotational-capacity"], "has no procedure `rotational-"),
        (["--under", "tern-sound@1999", "--procedure", "dti-lot"], "tern-sound@1999"),
        (["--procedure", "dti-lot"], "edition-needed: say by which edition"),
        ([*LOT, "--given", "bolt.gradee=A325"], "no field that can be given is called `bolt.gradee`"),
        ([*LOT, "--given", "bolt.diameter=7/8 kip"], "kip"),
        ([*LOT, "--given", "specimens=3"], "no field that can be given is called `specimens`"),
        ([*LOT, "--given", "bolt.grade"], "is not written as PATH=VALUE"),
        ([*LOT, "--job", "nowhere"], "edition-needed: an edition is named, and a job as well"),
        (["--job", "nowhere", "--procedure", "dti-lot"], "nowhere"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_plainly_and_nothing_is_written(arguments: list[str], told: str, tmp_path: Path) -> None:
    done = run(*arguments, "--output", tmp_path / "sheet.html")
    assert (done.exit_code, done.stdout) == (2, "")
    assert told in done.stderr and "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_what_was_given_must_agree_with_the_papers_of_the_job(tmp_path: Path) -> None:
    job = RULESETS / "jobs" / "wren-creek"
    arguments = ["--job", job, "--procedure", "dti-lot", "--given", "indicator.lot=D-78"]
    output = tmp_path / "sheet.html"
    assert run(*arguments, "--output", output).exit_code == 0
    assert 'value="Northfield"' in output.read_text(encoding="utf-8")
    # Another number of spaces than the lot has: it is not that lot, so that nothing of it is filled in.
    assert run(*arguments, "--given", "indicator.spaces=6", "--output", output, "--replace").exit_code == 0
    assert 'value="Northfield"' not in output.read_text(encoding="utf-8")


def test_a_form_of_many_items(tmp_path: Path) -> None:
    form = made("2025", "dti-installed", items=12)
    assert [len(each.items) for each in form.lists] == [12]
    asked = made("2025", "dti-installed", "connection.bolts=24", "retest_of=R-1")
    # Inspected again after a failure: every bolt of the connection.
    assert [len(each.items) for each in asked.lists] == [24]


def test_the_commands_that_the_readme_shows_write_a_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = RULESETS.parents[1]
    readme = (root / "README.md").read_text(encoding="utf-8")
    shown = re.findall(r"^\.venv/bin/tautbook sheet (.*) --output (\S+)$", readme, re.MULTILINE)
    assert len(shown) == 2
    monkeypatch.chdir(root)
    for arguments, name in shown:
        done = run(*shlex.split(arguments), "--output", tmp_path / name)
        assert done.exit_code == 0, done.stderr
    assert "<b>41 kip</b> and <b>count</b>" in (tmp_path / "lot.html").read_text(encoding="utf-8")


# On paper


@pytest.mark.parametrize("size", ["letter", "a4"])
@pytest.mark.parametrize(("year", "procedure"), [("2021", "dti-lot"), ("2025", "dti-lot"), ("2025", "dti-installed")])
def test_an_item_is_never_broken_over_pages(year: str, procedure: str, size: str, tmp_path: Path) -> None:
    """Each item begins and ends on one page, and each page says of which record it is."""
    form = made(year, procedure, *BOLT)
    sized = f"@page {{ size: {size}; margin"
    text = re.sub("<meta http-equiv[^>]*>", "", page_of(form)).replace("@page { margin", sized)
    (tmp_path / "sheet.html").write_text(text, encoding="utf-8")
    pages = printed(tmp_path / "sheet.html")
    assert all("record number: ____" in page and f"of {len(pages)}" in page for page in pages)
    (listed,) = form.lists
    for item in listed.items:
        begins = rf"(^|\s\s){item.title}\s"
        assert sum(len(re.findall(begins, page, re.MULTILINE)) for page in pages) == 1, item.title
    on = [page.count("STOP") for page in pages if "STOP" in page]
    assert on == ([3] * len(listed.items) if procedure == "dti-lot" else [])
    ends = [page for page in pages if "ended by" in page]
    assert all("STOP" in page for page in ends)


def printed(file: Path) -> list[str]:
    """The text of each page of a file as it is printed."""
    browser = chromium()
    if shutil.which("pdftotext") is None and os.environ.get("TAUTBOOK_CHROMIUM") != "required":
        pytest.skip("pdftotext is not installed")
    pdf = file.with_suffix(".pdf")
    profile = f"--user-data-dir={file.parent / 'profile'}"
    command = [browser, *FLAGS, profile, "--no-pdf-header-footer", f"--print-to-pdf={pdf}", file.as_uri()]
    subprocess.run(command, capture_output=True, timeout=120, check=True)
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, timeout=60, check=True).stdout
    return [page for page in text.decode("utf-8").split("\f") if page.strip()]
