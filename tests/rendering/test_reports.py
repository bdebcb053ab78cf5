"""Whole reports as people get them, byte for byte: what is shown is a contract."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pytest_regressions.file_regression import FileRegressionFixture

from tautbook import Shelf, explain, judge, read_record
from tautbook.api import Unusable, verdict_json, verdict_text
from tautbook.explaining.limits import limits_of
from tautbook.records.given import given_fields
from tautbook.rendering.limits import limits_text
from tautbook.rendering.verdict_markdown import verdict_markdown
from tautbook.shape.vocabulary import vocabulary

EXAMPLES = Path(__file__).parents[2] / "rulesets" / "tern-sound" / "examples"
SHOWN = [
    "0404-pass-one-inch-a490-in-kn",
    "0411-fail-closed-early",
    "0427-invalid-short-in-kn",
    "0434-pass-one-set-aside",
    "0437-incomplete-size-not-covered",
    "0438-incomplete-two-specimens",
    "0439-invalid-waiver-ignored",
    "0413-fail-fracture",
]

SHOWN_UNDER_2025 = [
    "0453-invalid-load-not-reached-once-corrected",
    "0455-incomplete-dial-beyond-the-certificate",
    "0457-pass-threads-waived-by-the-engineer",
    "0463-pass-retest-by-leave",
    "0603-fail-nut-does-not-run-load-low",
    "0604-fail-nut-does-not-run-load-at-95-percent",
    "0608-incomplete-evidence-incomplete",
    "0804-fail-one-too-loose",
]


@pytest.mark.parametrize("name", SHOWN)
def test_a_report(name: str, file_regression: FileRegressionFixture, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(EXAMPLES)
    verdict = judge(read_record(f"{name}.yaml"), Shelf.default().edition("tern-sound", "2016"))
    file_regression.check(verdict_text(explain(verdict)).encode(), extension=".txt", binary=True)


@pytest.mark.parametrize("name", SHOWN_UNDER_2025)
def test_a_report_under_2025(
    name: str, file_regression: FileRegressionFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(EXAMPLES)
    verdict = judge(read_record(f"{name}.yaml"), Shelf.default().edition("tern-sound", "2025"))
    file_regression.check(verdict_text(explain(verdict)).encode(), extension=".txt", binary=True)


def test_what_was_noted_of_an_item_stands_on_record() -> None:
    note = "Threads of the nut gave way. Highest load seen 35 kip."
    record = read_record(EXAMPLES / "0414-fail-stripped-short-of-the-load.yaml")
    explanation = explain(judge(record, Shelf.default().edition("tern-sound", "2025")))
    lines = verdict_text(explanation).partition("\non record\n")[2].splitlines()
    (line,) = [line for line in lines if line.startswith("  specimen 1 ")]
    assert note in " ".join(line.split()) and "ended" not in line  # what a rule reads is told with its finding
    assert f"### on record besides\n\n- **specimen 1**: notes {note}\n" in verdict_markdown(explanation)


def test_a_verdict_with_evidence_in_json(
    file_regression: FileRegressionFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(EXAMPLES)
    record = read_record("0604-fail-nut-does-not-run-load-at-95-percent.yaml")
    verdict = judge(record, Shelf.default().edition("tern-sound", "2025"))
    text = json.dumps(verdict_json(explain(verdict)), indent=2) + "\n"
    file_regression.check(text.encode(), extension=".json", binary=True)


def test_a_verdict_in_json(file_regression: FileRegressionFixture, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(EXAMPLES)
    verdict = judge(read_record("0411-fail-closed-early.yaml"), Shelf.default().edition("tern-sound", "2016"))
    text = json.dumps(verdict_json(explain(verdict)), indent=2) + "\n"
    file_regression.check(text.encode(), extension=".json", binary=True)


def test_limits_before_a_test(file_regression: FileRegressionFixture) -> None:
    edition = Shelf.default().edition("tern-sound", "2016")
    words = vocabulary("dti-lot")
    assert words is not None
    given = ["bolt.grade=A490", "bolt.diameter=1-1/8 in", "indicator.spaces=8", "device.graduation=1 kN",
             "device.capacity=600 kN", "device.calibrated=2026-01-31"]  # fmt: skip
    known, problems = given_fields(given, words)
    assert not problems
    text = limits_text(limits_of(edition, edition.procedures["dti-lot"], words, known))
    file_regression.check(text.encode(), extension=".txt", binary=True)


def test_the_library_says_what_cannot_be_used(tmp_path: Path) -> None:
    with pytest.raises(Unusable, match="there is no edition `tern-sound@2061`"):
        Shelf.default().edition("tern-sound", "2061")
    with pytest.raises(Unusable, match="no such file"):
        read_record(tmp_path / "none.yaml")
    (tmp_path / "two.jsonl").write_text('{"procedure": "x"}\n{"procedure": "x"}\n')
    with pytest.raises(Unusable, match="2 records are here"):
        read_record(tmp_path / "two.jsonl")
