"""Verdicts as pages for the job file: whole ones byte for byte, what they say, and files that try to be more than
text."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest_regressions.file_regression import FileRegressionFixture

from judging.small import COUNT, HELD, LOADED, edition, judged, record, recorded
from rendering.pages import Page, contrast, held_to
from rendering.test_markdown import FILE, HOSTILE
from tautbook import Shelf, explain, judge, read_record
from tautbook.explaining.explain import Explanation
from tautbook.lang.kinds import TextKind
from tautbook.lang.problem import visible
from tautbook.records.read import read_records
from tautbook.rendering.page import css_text, text
from tautbook.rendering.verdict_html import listed, verdict_html, verdict_part, verdicts_html
from tautbook.rendering.verdict_html_drawing import scale_table
from tautbook.rendering.verdict_html_record import as_file
from tautbook.rendering.verdict_html_scales import Scale, scales
from tautbook.shape.vocabulary import vocabulary

EXAMPLES = Path(__file__).parents[2] / "rulesets" / "tern-sound" / "examples"


def explained(name: str, year: str = "2025") -> Explanation:
    return explain(judge(read_record(f"{name}.yaml"), Shelf.default().edition("tern-sound", year)))


@pytest.fixture
def examples(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(EXAMPLES)


# Golden files


@pytest.mark.parametrize("name", ["0454-fail-too-high-once-corrected", "0608-incomplete-evidence-incomplete"])
@pytest.mark.usefixtures("examples")
def test_a_report(name: str, file_regression: FileRegressionFixture) -> None:
    file_regression.check(verdict_html(explained(name)).encode(), extension=".html", binary=True)


def test_a_report_of_a_pass_with_corrections(
    file_regression: FileRegressionFixture, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The device reads half a kip too much, and the waived threads are one too many."""
    monkeypatch.chdir(tmp_path)
    off = "0453-invalid-load-not-reached-once-corrected.yaml"
    written = (EXAMPLES / off).read_text(encoding="utf-8").replace("correction: -1 kip", "correction: -0.5 kip")
    written = written.replace("threads_in_grip: 4", "threads_in_grip: 6").replace("TS-0453", "TS-0453-B")
    waived = "waivers: [{requirement: threads-in-grip, by: J. Orr, role: engineer, on: 2026-04-13, why: no packing}]\n"
    Path("corrected.yaml").write_text(written + waived, encoding="utf-8")
    page = verdict_html(explained("corrected"))
    assert Page.read(page).said("h1")[0].startswith("pass, 1 requirement waived (as stated, not verified)")
    file_regression.check(page.encode(), extension=".html", binary=True)


# Pages that everybody can read


@pytest.mark.usefixtures("examples")
def test_worked_records_of_every_kind_are_pages_that_everybody_can_read() -> None:
    by = Shelf.default().edition("tern-sound", "2025")
    found, parts = [], []
    for file in sorted(EXAMPLES.glob("*.yaml"))[::6]:
        on = read_record(file.name)
        if on.procedure in by.procedures:
            explanation = explain(judge(on, by))
            page = held_to(verdict_html(explanation))
            assert page.said("h1") == [explanation.headline]
            found.append(listed(explanation))
            parts.append(verdict_part(explanation, len(found)))
            for each in explanation.findings:
                assert each.finding.requirement.title in page.text
    assert len(found) > 15 and {each.verdict for each in found} == {"pass", "fail", "invalid", "incomplete"}
    together = held_to("".join(verdicts_html(found, "many", by, parts)))
    assert together.said("h1") == ["many"] and len(together.all("article")) == len(found)
    links = [attrs["href"] for attrs in together.all("a")][1:]
    assert links == [f"#record-{number}" for number in range(1, len(found) + 1)]


@pytest.mark.usefixtures("examples")
def test_colours_of_text_have_contrast_and_nothing_is_said_by_a_hue() -> None:
    page = verdict_html(explained("0454-fail-too-high-once-corrected"))
    style = page.partition("<style>")[2].partition("</style>")[0]
    texts = set(re.findall(r"[{; ](?:color|fill): (#[0-9a-f]{3,6})", style))
    assert len(texts) >= 4 and all(contrast(colour) >= 4.5 for colour in texts)
    drawn = {attrs[name] for _, attrs, _ in Page.read(page).elements for name in ("fill", "stroke") if name in attrs}
    greys = re.compile(r"none|#(.)\1\1|#(..)\2\2")
    assert len(drawn) >= 4 and all(greys.fullmatch(str(colour)) for colour in drawn)


@pytest.mark.usefixtures("examples")
def test_each_printed_page_names_the_record_and_the_edition() -> None:
    one = explained("0454-fail-too-high-once-corrected")
    pages = verdict_html(one)
    digest = one.verdict.edition.digest.replace(":", r"\3a ")
    assert re.search(r"@page \{\s+@top-left \{ content: \"record\\20 TS\\2d 0454\"", pages)
    assert digest in pages.partition("@bottom-left")[2].partition("}")[0]
    by = one.verdict.edition
    many = "".join(verdicts_html([listed(one)] * 2, "two", by, [verdict_part(one, 1), verdict_part(one, 2)]))
    for number in (1, 2):
        assert f"@page record-{number} {{" in many and f".record-{number} {{ page: record-{number}; }}" in many
    assert [attrs["class"] for attrs in held_to(many).all("article")] == ["record-1", "record-2"]


@pytest.mark.usefixtures("examples")
def test_who_signs_sees_what_is_signed_and_the_cautions_on_the_same_paper() -> None:
    """The block is never cut, nor parted from the cautions before it; it names record, verdict and edition itself."""
    one = explained("0454-fail-too-high-once-corrected")
    whole = verdict_html(one)
    page = Page.read(whole)
    for said in (one.verdict.record.digest, one.headline, one.verdict.edition.digest):
        assert said in next(text for text in page.said("section") if text.strip().startswith("Signatures"))
    classes = [attrs["class"] for attrs in page.all("section")]
    at = classes.index("part signing")
    assert classes[at - 1] == "part cautions" and "part cautions" in verdict_part(one, 1)
    paper = whole.partition("@media print {\n  table.records")[2].partition("\n}\n")[0]
    assert ".cautions, .signing { break-inside: avoid; }" in paper
    assert ".signing { break-before: avoid; }" in paper


# What a report says


@pytest.mark.parametrize(
    ("name", "stated"),
    [
        ("0463-pass-retest-by-leave", "the results below meet the requirements of acceptance of the specification;"),
        ("0457-pass-threads-waived-by-the-engineer", "but for what was waived, which stands as waived and not as met"),
        ("0454-fail-too-high-once-corrected", "the results below do not meet the specification"),
        ("0416-invalid-impact-wrench", "no conformity is stated: the test was not validly run"),
        ("0608-incomplete-evidence-incomplete", "no conformity is stated: the test is not complete"),
    ],
)
@pytest.mark.usefixtures("examples")
def test_conformity_is_stated_of_valid_tests_only(name: str, stated: str) -> None:
    page = Page.read(verdict_html(explained(name)))
    assert stated in page.text
    for asked in ("of which results", "by which specification", "decision rule", "measurement uncertainty"):
        assert asked in page.said("dt")


def test_figures_from_memory_state_no_conformity() -> None:
    sources = {"s": {"title": "Recalled", "standing": "from memory"}}
    by = edition({"count": {**COUNT, "clause": "1"}}, asks=1, sources=sources)
    page = Page.read(verdict_html(explain(judged(by, record(("41 kip", 0))))))
    assert page.said("h1") == ["would pass; not for acceptance; draft rules, not enacted"]
    assert "no conformity is stated: figures that decide are from memory" in page.text


@pytest.mark.usefixtures("examples")
def test_what_was_compared_as_read_and_what_was_corrected_is_said() -> None:
    corrected = Page.read(verdict_html(explained("0454-fail-too-high-once-corrected"))).text
    assert "but for what the edition works out: tension with the correction of the certificate (8.3(e))" in corrected
    assert "52 kip (corrected 52.7 kip): not met, 0.7 kip over" in corrected
    as_read = Page.read(verdict_html(explained("0411-fail-closed-early", "2016"))).text
    assert "Limits are compared with readings as recorded. No guard band" in as_read


@pytest.mark.parametrize(
    ("name", "part", "said"),
    [
        ("0434-pass-one-set-aside", "Set aside", "set aside and not judged, with why, by whom"),
        ("0457-pass-threads-waived-by-the-engineer", "Waivers", "no packing of another thickness is on the site"),
        ("0456-invalid-waiver-by-the-wrong-role", "Waivers", "ignored: this edition lets only"),
        ("0463-pass-retest-by-leave", "Records that this one rests on", "earlier test: TS-0411"),
        ("0454-fail-too-high-once-corrected", "Signatures", "reviewed by"),
        ("0454-fail-too-high-once-corrected", "Equipment and calibration", "date of calibration"),
        ("0454-fail-too-high-once-corrected", "People", "bolting crew"),
        ("0440-pass-space-by-space", "Readings", "(worked out)"),
    ],
)
@pytest.mark.usefixtures("examples")
def test_a_report_has_the_part(name: str, part: str, said: str) -> None:
    page = Page.read(verdict_html(explained(name)))
    sections = [text for text in page.said("section") if text.strip().split("\n")[0] == part]
    assert len(sections) == 1 and said in sections[0]


@pytest.mark.usefixtures("examples")
def test_the_record_at_the_end_reads_back_as_the_same_record() -> None:
    for file in sorted(EXAMPLES.glob("*.yaml"))[2::4]:
        on = read_record(file.name)
        ((again, problems),) = read_records(as_file(on).encode(), "again.yaml")
        assert again is not None, problems
        if not on.evidence:
            assert again.digest == on.digest


@settings(deadline=None)
@given(st.text(min_size=1, max_size=30).filter(str.isprintable).filter(lambda said: said.strip() == said))
def test_any_note_at_the_end_reads_back(note: str) -> None:
    on = record(("41 kip", 0), notes=note)
    ((again, _),) = read_records(as_file(on).encode(), "again.yaml")
    assert again is not None and again.digest == on.digest


# Scales


def scale_of(limit: str, *tensions: str) -> Scale:
    by = edition({"load": {**LOADED, "require": f"specimen.at_verification.tension {limit}"}, "count": COUNT})
    explanation = explain(judged(by, record(*((tension, 0) for tension in tensions))))
    group = [each for each in explanation.findings if each.finding.id == "load"]
    (scale,) = scales(group, explanation.verdict.record.words)
    return scale


def test_readings_stand_where_they_are_on_one_scale_with_the_limit() -> None:
    scale = scale_of(">= 41 kip", "41 kip", "40.5 kip", "43 kip")
    assert [mark.label for mark in scale.marks] == ["specimen 1", "specimen 2", "specimen 3"]
    assert [mark.at for mark in scale.marks] == [41, Fraction(81, 2), 43]
    assert [(mark.held, mark.tie) for mark in scale.marks] == [("met", True), ("not met", False), ("met", False)]
    said = ["met, exactly at the limit", "not met, 0.5 kip short", "met, 2 kip to spare"]
    assert [mark.said for mark in scale.marks] == said
    (limit,) = scale.common
    assert (limit.at, limit.said, limit.least, scale.unit) == (41, "41 kip", True, "kip")
    assert 0 < scale.place(Fraction(81, 2)) < scale.place(Fraction(41)) < scale.place(Fraction(43)) < 1
    assert scale.ticks == (41, 42, 43)


def test_readings_in_another_unit_stand_on_the_scale_of_the_limit() -> None:
    scale = scale_of(">= 41 kip", "182 kN", "183 kN", "41 kip")
    assert scale.unit == "kip" and [mark.held for mark in scale.marks] == ["not met", "met", "met"]
    assert scale.marks[0].at is not None and scale.marks[0].at < 41 < (scale.marks[1].at or 0)
    assert scale.marks[0].read == "182 kN"


def test_both_limits_of_a_range_stand_on_one_line_and_what_is_missing_has_no_mark() -> None:
    scale = scale_of(">= 41 kip and specimen.at_verification.tension <= 42 kip", "41.2 kip")
    assert [limit.at for limit in scale.common] == [41, 42]
    assert (scale.marks[0].telling.at, scale.marks[0].said) == (41, "met, 0.2 kip to spare")
    assert [(mark.at, mark.read, mark.said) for mark in scale.marks[1:]] == [(None, "not recorded", "open")] * 2


@pytest.mark.parametrize(
    ("tested", "said", "shape"),
    [("2026-07-20", "met, exactly at the limit", "ring"), ("2026-07-21", "not met, 1 day late", "cross"),
     ("2026-04-14", "met, 97 days to spare", "dot")],
)  # fmt: skip
def test_days_stand_on_a_line_as_readings_do(tested: str, said: str, shape: str, tmp_path: Path) -> None:
    """Calibrated on 2026-01-20, and six months of the edition: the last day is 2026-07-20."""
    text = (EXAMPLES / "0401-pass-seven-eighths.yaml").read_text(encoding="utf-8")
    (tmp_path / "x.yaml").write_text(text.replace("tested: 2026-04-14", f"tested: {tested}"), encoding="utf-8")
    explanation = explained(str(tmp_path / "x"))
    group = [each for each in explanation.findings if each.finding.id == "calibration-in-date"]
    (scale,) = scales(group, explanation.verdict.record.words)
    (mark,) = scale.marks
    assert scale.days and (mark.read, mark.said) == (tested, said)
    assert [limit.said for limit in scale.common] == ["2026-07-20"] and not scale.ticks
    at, limit = mark.at, scale.common[0].at
    assert at is not None and 0 < scale.place(at) < 1 and 0 < scale.place(limit) < 1
    assert (at - limit) == {"ring": 0, "cross": 1, "dot": -97}[shape]
    drawn = "".join(scale_table(scale, "calibration"))
    assert ">2026-07-20</text>" in drawn and "a scale of days from " in drawn
    assert ("<path" in drawn, 'fill="#fff" stroke' in drawn) == (shape == "cross", shape == "ring")


@settings(deadline=None)
@given(st.lists(st.integers(0, 999_999), min_size=1, max_size=5), st.integers(1, 999_999))
def test_every_reading_is_drawn_on_its_side_of_the_limit(readings: list[int], limit: int) -> None:
    scale = scale_of(f"<= {limit} N", *(f"{reading} N" for reading in readings))
    at = scale.place(scale.common[0].at)
    for mark in scale.marks[: len(readings)]:
        assert mark.at is not None and 0 <= scale.place(mark.at) <= 1
        assert (scale.place(mark.at) <= at) is (mark.held == "met") and (scale.place(mark.at) == at) is mark.tie
    assert 0 <= at <= 1 and len(scale.ticks) <= 5
    assert all(scale.low <= tick <= scale.high for tick in scale.ticks)


@pytest.mark.parametrize(("load", "sign"), [("42 kip", "dot"), ("41 kip", "ring"), ("40 kip", "cross"), (None, None)])
def test_the_shape_of_a_mark_says_what_it_is(load: str | None, sign: str | None) -> None:
    by = edition({"load": LOADED}, asks=1)
    on = record({"at_verification": {"refusals": 0, **({"tension": load} if load else {})}})
    page = Page.read(verdict_html(explain(judged(by, on))))
    circles = page.all("circle")
    shapes = ["ring" if "stroke" in attrs else "dot" for attrs in circles] + ["cross"] * (len(page.all("path")) // 2)
    assert shapes == ([sign] if sign else [])
    (drawn,) = page.all("rect")
    assert drawn["x"] == "0.00%" and drawn["fill"] == "#e2e2e2"


# Files that try to be more than text


def texts_of(words: Mapping[str, Any], said: str) -> dict[str, Any]:
    """A record with a text wherever one may stand that means nothing else."""
    found: dict[str, Any] = {}
    for path, info in words.items():
        known = {"id", "procedure", "retest_of", "waivers"}
        if isinstance(info.kind, TextKind) and path.split(".")[0] not in known and not path.startswith("specimens"):
            *above, last = path.split(".")
            at = found
            for name in above:
                at = at.setdefault(name, {})
            at[last] = said
    return found


def hostile(said: str) -> Explanation:
    """A record and an edition with such a text wherever they may hold one; the name of a file may hold even more."""
    required = {
        "load": {**LOADED, "title": said, "note": said, "otherwise": said, "clause": said,
                 "reading": {"printed": said, "read_as": said, "why": said},
                 "unless": {"x": {"title": said, "clause": said, "when": 'specimen.mark = "x"'}}},
        "count": {**COUNT, "title": said},
        "held": {**HELD, "waivable_by": ["engineer"]},
        "later": {"kind": "advice", "title": said, "absent": said},
    }  # fmt: skip
    by = edition(
        required, asks=1, title=said, left_to_people=[{"what": said}, {"clause": said, "what": "x"}],
        sources={"s": {"title": said, "standing": "invented"}},
    )  # fmt: skip
    waiver = {"by": said, "on": "2026-04-15", "why": said}
    words = vocabulary("dti-lot")
    assert words is not None
    known = texts_of(words.fields, said)
    known["retest_leave"] |= {"on": "2026-04-13"}
    known["bolt"] |= {"grade": "A325", "diameter": "7/8 in"}
    known["indicator"] |= {"type": "325", "spaces": 5}
    on = record(
        {"mark": said, "notes": said, "at_verification": {"tension": "30 kip", "refusals": 0}},
        {"at_verification": {"tension": "44 kip"}, "set_aside": {"why": said, "by": said}},
        **{**known, "id": said, "retest_of": f"0{said}", "head_held": False,
           "waivers": [{**waiver, "requirement": "held", "role": "engineer"},
                       {**waiver, "requirement": said, "role": said, "item": said}]},
    )  # fmt: skip
    return explain(judged(by, replace(on, file=FILE)))


@pytest.mark.parametrize("said", [
    HOSTILE,
    "</title></style></pre></svg></table><script>alert(1)</script><img src=x onerror=alert(1)>",
    "\"' onmouseover=alert(1) x='</h1>\" style=\"display:none",
    "\" } body { display: none } @import url(http://a.invalid/x); /* ",
    "=HYPERLINK(\"http://a.invalid\") \\5c \\",
    "W" * 3000,
    "\u05d0\u05d1\u05d2 \u0645\u0631\u062d\u0628\u0627 \u00fc \U0001f529",
])  # fmt: skip
def test_a_file_cannot_act_in_a_page(said: str) -> None:
    explanation = hostile(said)
    seen = " ".join(visible(said).split())
    many = verdicts_html([listed(explanation)], said, explanation.verdict.edition, [verdict_part(explanation, 1)])
    for whole in (verdict_html(explanation), "".join(many)):
        page = held_to(whole)
        assert page.text.count(seen) >= 40
        assert all(char.isprintable() or char == "\n" for char in whole)
        assert all(name not in attrs for _, attrs, _ in page.elements for name in ("style", "onmouseover", "onerror"))


def test_what_is_hidden_in_a_text_is_written_out() -> None:
    """Marks that turn the direction of reading, control and zero-width characters: from a name or from a record."""
    for hidden in ("\u202e", "\u2066", "\u200b", "\ufeff", "\u2028", "\x7f", "\x1b"):
        name = f"a{hidden}b"
        explanation = explain(judged(edition({"count": COUNT}, asks=1), replace(record(("41 kip", 0)), file=name)))
        whole = verdict_html(explanation)
        assert hidden not in whole and visible(name) in Page.read(whole).text
        assert text(name) == visible(name)


@given(st.text())
def test_a_text_in_the_style_is_one_string(said: str) -> None:
    written = css_text(said)
    assert re.fullmatch(r'"(?:[A-Za-z0-9]|\\[0-9a-f]+ )*"', written)
    back = re.sub(r"\\([0-9a-f]+) ", lambda found: chr(int(found.group(1), 16)), written[1:-1])
    assert back == visible(said)


def test_own_observations_are_shown_as_recorded() -> None:
    by = edition({"count": COUNT}, asks=1, fields={"own": {"kind": "yes-no", "title": "own", "description": "own"}})
    on = recorded({"procedure": "dti-lot", "id": "S-9", "tested": "2026-04-14", "local": {"small": {"own": True}},
                   "bolt": {"grade": "A325", "diameter": "7/8 in"}, "indicator": {"type": "325", "spaces": 5},
                   "specimens": [{"at_verification": {"tension": "41 kip", "refusals": 0}}]})  # fmt: skip
    material = next(
        said for said in held_to(verdict_html(explain(judged(by, on)))).said("section")
        if said.strip().startswith("What was tested")
    )  # fmt: skip
    assert "own" in material and "yes" in material
