"""``tautbook recheck`` as people type it: stored verdicts in every form, good, edited and hostile."""

from __future__ import annotations

import json
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner, Result
from pytest_regressions.file_regression import FileRegressionFixture

from tautbook.cli.group import tautbook
from tautbook.shape.schemas import load_schema

RULESET = Path(__file__).parents[2] / "rulesets" / "tern-sound"
EXAMPLES = RULESET / "examples"
SAME = EXAMPLES / "0801-pass-in-the-work.yaml"
OTHER = EXAMPLES / "0409-tie-highest-tension.yaml"


def run(*arguments: str | Path, input: bytes | None = None) -> Result:
    return CliRunner().invoke(tautbook, ["recheck", *map(str, arguments)], input=input, prog_name="tautbook")


@cache
def judged(*files: Path, form: str = "json") -> str:
    """What ``judge`` prints of these, by the edition of 2021, with names of files that are the same everywhere."""
    found = CliRunner().invoke(tautbook, ["judge", *map(str, files), "--under", "tern-sound@2021", "--format", form])
    return found.stdout.replace(f"{EXAMPLES}/", "")


def edited(change: str, to: str, file: Path = SAME) -> str:
    text = judged(file)
    assert change in text
    return text.replace(change, to, 1)


def kept(folder: Path, text: str, name: str = "v.json") -> Path:
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return file


def valid(text: str) -> Any:
    found = json.loads(text)
    jsonschema.Draft202012Validator(load_schema("recheck")).validate(found)  # type: ignore[arg-type]
    return found


def test_whatever_judge_prints_can_be_rechecked(tmp_path: Path) -> None:
    one = kept(tmp_path, judged(SAME), "one.json")
    many = kept(tmp_path, judged(SAME, OTHER), "many.json")
    lines = kept(tmp_path, judged(SAME, OTHER, form="jsonl"), "lines.jsonl")
    for names, number in (([one], 1), ([many], 2), ([lines], 2), ([tmp_path], 5)):
        result = run(*names)
        assert result.stdout.startswith(f"{number} of {number} stored verdict")
        assert (result.exit_code, result.stderr) == (0, "")
    for text in (judged(SAME), judged(SAME, OTHER), judged(SAME, OTHER, form="jsonl")):
        assert run("-", input=text.encode()).exit_code == 0


def test_what_is_told(tmp_path: Path, file_regression: FileRegressionFixture, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    kept(tmp_path, judged(OTHER), "a-as-given.json")
    kept(tmp_path, edited('"verdict": "pass"', '"verdict": "fail"'), "b-another-verdict.json")
    kept(tmp_path, edited('"refusals": 3', '"refusals": 2'), "c-record-edited.json")
    kept(tmp_path, edited('"version": "0.1.0"', '"version": "0.0.9"'), "d-another-program.json")
    result = run("a-as-given.json", "b-another-verdict.json", "c-record-edited.json", "d-another-program.json")
    assert (result.exit_code, result.stderr) == (1, "")
    assert max(map(len, result.stdout.splitlines())) <= 100
    file_regression.check(result.stdout_bytes, extension=".txt", binary=True)


def test_another_edition_is_asked_as_well(
    tmp_path: Path, file_regression: FileRegressionFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    kept(tmp_path, judged(SAME, OTHER))
    result = run("v.json", "--under", "tern-sound@2025")
    assert (result.exit_code, result.stderr) == (1, "")
    file_regression.check(result.stdout_bytes, extension=".txt", binary=True)
    found = valid(run("v.json", "--under", "tern-sound@2025", "--format", "json").stdout)
    assert found["counts"] == {"hold": 2, "do_not_hold": 0, "not_used": 0, "different": 1}
    assert [each["under"]["different"] for each in found["verdicts"]] == [False, True]
    assert run("v.json", "--under", "tern-sound@2021").exit_code == 0


def test_a_draft_is_asked_on_purpose_and_the_first_line_says_so(tmp_path: Path) -> None:
    text = (RULESET / "2016.yaml").read_text(encoding="utf-8").replace('edition: "2016"', 'edition: "2030"')
    draft, file = kept(tmp_path, text, "draft.yaml"), kept(tmp_path, judged(SAME))
    refused = run(file, "--under", draft)
    assert (refused.stdout, refused.exit_code) == ("", 2) and "add --draft" in refused.stderr
    assert run(file, "--under", draft, "--draft").stdout.startswith("tern-sound@2030 is a draft")


def test_json_is_of_its_schema_and_names_what_was_changed(tmp_path: Path) -> None:
    file = kept(tmp_path, edited('"verdict": "pass"', '"verdict": "fail"'))
    result = run(file, "--format", "json")
    found = valid(result.stdout)
    assert found["counts"] == {"hold": 0, "do_not_hold": 1, "not_used": 0, "different": None}
    assert found["verdicts"][0]["differences"] == [
        {"part": "verdict", "where": "verdict", "stated": "fail", "now": "pass"}
    ]  # fmt: skip
    assert result.exit_code == 1


def test_one_that_cannot_be_used_is_one_problem_and_not_the_end(tmp_path: Path) -> None:
    good = json.loads(judged(SAME))
    file = kept(tmp_path, json.dumps([good, [[good]], {"verdict": "pass"}, good]))
    result = run(file)
    assert result.stdout.startswith("2 of 2 stored verdicts hold\n") and result.exit_code == 2
    assert "v.json item 2:1:1: not-a-verdict" in result.stderr and "v.json item 3:1:2: not-a-verdict" in result.stderr


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "empty"),
        ("[]", "file-empty"),
        ("[" * 100_000, "unclosed-bracket"),
        ("[" * 100 + "]" * 100, "too-deep"),
        ('{"verdict": NaN}', "json-number"),
        ('{"verdict": "pass", "verdict": "fail"}', "duplicate-key"),
        ('{"verdict": "pass"} {"verdict": "pass"}', "stray-text"),
        ('[{"verdict": "pass"}', "unclosed-bracket"),
        ('[{"verdict": "pass"}] x', "stray-text"),
        ('{"verdict": "\\ud800"}', "hidden-character"),
        ("verdict: pass", "json-word"),
        ("\x00", ""),
    ],
)
def test_what_is_hostile_is_told_and_nothing_else_happens(text: str, code: str, tmp_path: Path) -> None:
    result = run(kept(tmp_path, text))
    assert (result.stdout, result.exit_code) == ("", 2)
    assert code in result.stderr and not isinstance(result.exception, Exception)


@pytest.mark.parametrize(
    "name", ["../../../etc/passwd", "/etc", "tern-sound/../tern-sound", "tern-sound.yaml", "\\u001b[31m"]
)
def test_the_name_of_a_ruleset_leads_nowhere(name: str, tmp_path: Path) -> None:
    text = edited('"ruleset": "tern-sound"', f'"ruleset": "{name}"').replace("m1:", "m1:0")
    result = run(kept(tmp_path, text))
    assert (result.stdout, result.exit_code) == ("", 2)
    assert "\x1b" not in result.stderr
    assert "edition-not-at-hand" in result.stderr or "hidden-character" in result.stderr


def test_a_name_that_is_not_the_one_of_the_digest_does_not_hold(tmp_path: Path) -> None:
    result = run(kept(tmp_path, edited('"ruleset": "tern-sound"', '"ruleset": "../elsewhere"')))
    assert "the rules are stated otherwise than they are" in result.stdout and result.exit_code == 1


@pytest.mark.parametrize(
    ("arguments", "told"),
    [([], "verdict-needed"), (["none.json"], "file-unreadable"), (["no\0name"], "file-unreadable"),
     ([SAME], "json-")],
)  # fmt: skip
def test_what_cannot_be_read_is_told(arguments: list[str | Path], told: str) -> None:
    result = run(*arguments)
    assert (result.stdout, result.exit_code) == ("", 2) and told in result.stderr


WITHIN_300_MB = """
import resource
resource.setrlimit(resource.RLIMIT_AS, (300_000_000, 300_000_000))
from tautbook.cli import main
main()
"""


@pytest.mark.parametrize("opening", [b"", b'{"verdict": "', b'["', b"[{}, "])
def test_a_file_of_50_mb_is_given_up_early(opening: bytes, tmp_path: Path) -> None:
    """Under a limit of 300 MB of memory: it is never held whole, and never taken apart."""
    file = tmp_path / "large.json"
    with file.open("wb") as large:
        large.write(opening)
        for _ in range(50):
            large.write(b"1" * 1_000_000)
    command = [sys.executable, "-c", WITHIN_300_MB, "recheck", str(file)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    assert (done.stdout, done.returncode) == ("", 2)
    assert "file-large" in done.stderr and "Traceback" not in done.stderr


def test_output_is_written_whole_and_never_over_what_is_read(tmp_path: Path) -> None:
    file = kept(tmp_path, judged(SAME))
    output = tmp_path / "out.txt"
    assert run(file, "--output", output).stdout == "" and output.read_text().startswith("1 of 1 stored verdict holds")
    assert "file-there" in run(file, "--output", output).stderr
    assert "file-there" in run(file, "--output", file, "--replace").stderr


def test_what_was_told_of_a_job_beside_a_verdict_is_no_part_of_it(tmp_path: Path) -> None:
    stored = json.loads(judged(SAME))
    assert any("the record names the job" in each for each in stored["remarks"])
    for remarks in (["another job's papers"], None):
        stored["remarks"] = remarks
        if remarks is None:
            del stored["remarks"]
        assert run(kept(tmp_path, json.dumps(stored))).stdout.startswith("1 of 1 stored verdict holds")
