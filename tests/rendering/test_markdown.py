"""Verdicts in Markdown: whole ones byte for byte, and files that try to be more than text."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.token import Token
from pytest_regressions.file_regression import FileRegressionFixture

from judging.small import COUNT, HELD, LOADED, edition, judged, record
from tautbook import Shelf, explain, judge, read_record
from tautbook.cli.group import tautbook
from tautbook.explaining.explain import Explanation
from tautbook.lang.problem import visible
from tautbook.rendering.verdict_markdown import code, inert, summary_markdown, summary_row, verdict_markdown

EXAMPLES = Path(__file__).parents[2] / "rulesets" / "tern-sound" / "examples"


@pytest.mark.parametrize("name", ["0401-pass-seven-eighths", "0411-fail-closed-early", "0439-invalid-waiver-ignored"])
def test_a_report(name: str, file_regression: FileRegressionFixture, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(EXAMPLES)
    verdict = judge(read_record(f"{name}.yaml"), Shelf.default().edition("tern-sound", "2016"))
    file_regression.check(verdict_markdown(explain(verdict)).encode(), extension=".md", binary=True)


# Files that try to be more than text

PLAIN = {"heading", "paragraph", "bullet_list", "list_item", "table", "thead", "tbody", "tr", "th", "td",
         "inline", "text", "code_inline", "strong"}  # fmt: skip
"""What a report is made of: no HTML, no link, no image, no emphasis but our own."""


def read(markdown: str) -> list[Token]:
    """As a reader takes it that lets HTML through, knows tables, and makes links of addresses."""
    reader = MarkdownIt("commonmark", {"html": True, "linkify": True}).enable(["table", "strikethrough", "linkify"])
    assert reader.linkify is not None
    reader.linkify.set({"fuzzy_link": False})  # only what is written as an address, not any word with a dot
    return reader.parse(markdown)


def texts(markdown: str) -> list[str]:
    """Each heading, cell and paragraph, as people see it."""
    return [shown(token) for token in read(markdown) if token.type == "inline"]


def shown(inline: Token) -> str:
    return "".join(part.content for part in inline.children or ())


def rows(markdown: str) -> list[list[str]]:
    """The cells of all tables, row by row."""
    found: list[list[str]] = []
    tokens = read(markdown)
    for token, inside in pairwise(tokens):
        if token.type == "tr_open":
            found.append([])
        elif token.type in ("th_open", "td_open"):
            found[-1].append(shown(inside))
    return found


def more_than_text(markdown: str) -> set[str]:
    kinds = {part.type for token in read(markdown) for part in (token, *(token.children or ()))}
    return {kind.removesuffix("_open").removesuffix("_close") for kind in kinds} - PLAIN


def in_each_place(seen: str) -> str:
    return f"## {seen}\n\n- {seen}\n- **name**: {seen}\n\n| a | b |\n| --- | --- |\n| {seen} | end |\n"


SIGNS = st.text(st.sampled_from("ab1|`\\<>*_[]()!&;~#@$:/.-+= \n\t\u202e\u00a0") | st.characters(), max_size=30)


@settings(deadline=None)
@given(SIGNS)
@example("1.").via("a list with nothing in it")
@example("---").via("a rule across the page")
@example("``@`").via("marks of code beside each other")
@example("\\|").via("a backslash that stands before the end of a cell")
@example("http://a.invalid www.a.invalid a@b.invalid").via("addresses")
@example("&lt;b&gt; <b> <!-- x --> [x](javascript:1) ![x](y) [x]: y").via("HTML and links")
def test_any_text_comes_back_as_it_was_and_stays_text(text: str) -> None:
    seen = visible(text).strip()
    assume(seen)
    report = in_each_place(inert(text))
    assert texts(report) == [seen, seen, f"name: {seen}", "a", "b", seen, "end"]
    assert more_than_text(report) == set()


@settings(deadline=None)
@given(SIGNS)
@example("a`b``c").via("backticks inside")
@example("`").via("a backtick at each end")
@example("a|b").via("what ends a cell")
def test_any_text_comes_back_from_code(text: str) -> None:
    assume(text)
    report = in_each_place(f"x{code(text)}")
    seen = f"x{visible(text)}"
    assert texts(report) == [seen, seen, f"name: {seen}", "a", "b", seen, "end"]
    assert more_than_text(report) == set()


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("no more than 7/8 in (1 over); 7.6(a) - fine", "no more than 7/8 in (1 over); 7.6(a) - fine"),
        ("1.5 kip", "1.5 kip"),
        ("1. a", r"1\. a"),
        ("- 1", r"\- 1"),
        ("www.a.invalid or https://a.invalid", r"www\.a.invalid or https\://a.invalid"),
        ("ask @crew, #12, a@b.invalid", "ask `@`crew, `#`12, a`@`b.invalid"),
    ],
)
def test_plain_text_is_left_and_what_acts_is_taken_apart(text: str, written: str) -> None:
    assert inert(text) == written


HOSTILE = (
    "| a `b` ``c`` <script>alert(1)</script> <!-- [x](javascript:alert(1)) ![i](http://a.invalid/i) **b** __u__ ~~s~~"
    " &lt; @team #12 $x$ www.a.invalid a@b.invalid \\| \\\n# h\n- l\n| --- |"
)
FILE = f"\x1b[31m{HOSTILE}\u202e\u2028.yaml"


def hostile() -> Explanation:
    """A record and an edition with such a text wherever they may hold one; the name of a file may hold even more."""
    required = {
        "load": {**LOADED, "title": HOSTILE, "note": HOSTILE, "otherwise": HOSTILE, "clause": HOSTILE,
                 "reading": {"printed": HOSTILE, "read_as": HOSTILE, "why": HOSTILE}},
        "count": COUNT,
        "held": {**HELD, "waivable_by": ["engineer"]},
    }  # fmt: skip
    by = edition(required, asks=1, title=HOSTILE, left_to_people=[{"what": HOSTILE}, {"clause": HOSTILE, "what": "x"}])
    waiver = {"by": HOSTILE, "on": "2026-04-15", "why": HOSTILE}
    spoiled = {"at_verification": {"tension": "44 kip"}, "set_aside": {"why": HOSTILE, "by": HOSTILE}}
    on = record(
        ("30 kip", 0), spoiled, id=HOSTILE, retest_of=f"0{HOSTILE}", head_held=False,
        waivers=[{**waiver, "requirement": "held", "role": "engineer"},
                 {**waiver, "requirement": HOSTILE, "role": HOSTILE, "item": HOSTILE}],
    )  # fmt: skip
    return explain(judged(by, replace(on, file=FILE)))


def test_a_file_cannot_act_in_a_report_nor_break_its_tables() -> None:
    report = verdict_markdown(hostile())
    seen = visible(HOSTILE)
    assert more_than_text(report) == set()
    identity = dict(row for row in rows(report) if len(row) == 2)
    assert (identity["record"], identity["file"]) == (seen, visible(FILE))
    assert identity["judged by"] == f"small@1, {seen}"
    assert identity["retest of"] == f"0{seen}; that record stands, whatever this one says"
    assert identity["set aside"].startswith(f"specimens[2]: {seen} ({seen}); on record: ")
    findings = {row[1].partition(":")[0]: row for row in rows(report) if len(row) == 5}
    assert findings["load"][:4] == ["not met", f"load: {seen}", seen, "specimen 1"]
    assert findings["held"][4].endswith(f"waived by {seen} (engineer) on 2026-04-15: {seen}")
    told = texts(report)
    assert f"next: {seen}" in told and f"load, note: {seen}" in told
    assert f"load, reading: printed {seen}, read as {seen}: {seen}" in told
    (ignored,) = [each for each in told if each.startswith("waiver ignored: ")]
    assert f"of {seen} by {seen} ({seen}) on 2026-04-15: {seen}; this edition has no requirement `{seen}`" in ignored
    assert told[told.index("left to people: what these rules ask that no record here can show") :][1:3] == [
        seen, f"{seen}: x"
    ]  # fmt: skip


def test_a_file_cannot_act_in_a_summary() -> None:
    each = hostile()
    report = summary_markdown([summary_row(each)] * 2, "2 records judged: 2 invalid", each.verdict.edition)
    row = ["invalid", visible(HOSTILE), visible(FILE), each.headline]
    assert more_than_text(report) == set()
    assert rows(report) == [["verdict", "record", "file", "why"], row, row]


def test_nothing_that_acts_is_left_in_the_text_itself() -> None:
    """The same without a reader: outside code there is no `<`, and between its ends a row has a `|` for each cell."""
    each = hostile()
    summary = summary_markdown([summary_row(each)], "1 record judged", each.verdict.edition)
    for line in (verdict_markdown(each) + summary).splitlines():
        plain = re.sub(r"\\[\\|<]", "", re.sub(r"(`+)(?!`).*?(?<!`)\1(?!`)", "", line))
        assert "<" not in plain and line.isprintable()
        assert plain.count("|") in ((3, 5, 6) if line.startswith("|") else (0,)), line


def test_many_records_are_a_table_and_one_is_a_report(tmp_path: Path) -> None:
    passes, fails = EXAMPLES / "0401-pass-seven-eighths.yaml", EXAMPLES / "0411-fail-closed-early.yaml"

    def run(*records: Path) -> str:
        command = ["judge", *map(str, records), "--under", "tern-sound@2016", "--format", "markdown"]
        result = CliRunner().invoke(tautbook, command)
        assert (result.stderr, result.exit_code) == ("", 1 if fails in records else 0)
        return result.stdout

    report = run(fails)
    assert report.startswith("## fail: not-closed-early; demonstration figures\n")
    assert "an acceptance of the work" in report
    summary = run(passes, fails)
    assert summary.startswith("## 2 records judged: 1 pass, 1 fail\n")
    assert [row[:2] for row in rows(summary)] == [["verdict", "record"], ["pass", "TS-0401"], ["fail", "TS-0411"]]
    assert "tern-sound@2016" in summary and "an acceptance of the work" in summary
    shutil.copy(passes, tmp_path)
    assert run(tmp_path).startswith("## 1 record judged: 1 pass\n")


# What the three whole reports do not show


def told_of(*specimens: tuple[str, int], **more: object) -> list[str]:
    rules = edition({"count": COUNT, "load": LOADED}, asks=2, effective={"from": "2020-01-01", "until": "2026-12-31"})
    return texts(verdict_markdown(explain(judged(rules, record(*specimens, **more)))))


def test_what_is_still_to_be_recorded_is_told_item_by_item() -> None:
    told = told_of(("41 kip", 0))
    assert told[0].startswith("incomplete: 2 observations not recorded")
    at = "at the verification tension"
    assert f"record: specimen 2: tension ({at}), refusals ({at})" in told
    assert "could be: pass, fail, invalid" in told


def test_what_no_recording_can_mend_is_told() -> None:
    told = told_of(("41 kip", 0), ("41 kip", 0), bolt={"grade": "A490", "diameter": "7/8 in"})
    assert "open: no rule: this edition does not cover bolt.grade A490 (asked by covered)" in told


def test_a_specimen_that_does_not_count_is_told_under_a_pass_as_well() -> None:
    told = told_of(("41 kip", 0), ("41 kip", 0), ("40 kip", 0))
    assert told[0].startswith("pass")
    assert "void: specimen 3 does not count; enough others do" in told
    assert not any(each.startswith("next") for each in told)


def test_a_test_made_while_the_edition_was_not_in_force_is_told() -> None:
    told = told_of(("41 kip", 0), ("41 kip", 0), tested="2027-01-01")
    assert "caution" in told and "test was made on 2027-01-01" in told[told.index("caution") + 1]
    assert "caution" not in told_of(("41 kip", 0), ("41 kip", 0))
