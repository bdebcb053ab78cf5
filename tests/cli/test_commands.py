"""The commands as people type them: what comes out, where, and with which exit status."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml
from click.testing import CliRunner, Result

from tautbook.cli.group import tautbook
from tautbook.shape.schemas import load_schema

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "rulesets" / "tern-sound" / "examples"
EDITION = ROOT / "rulesets" / "tern-sound" / "2016.yaml"
PASS = EXAMPLES / "0401-pass-seven-eighths.yaml"
FAIL = EXAMPLES / "0411-fail-closed-early.yaml"
OPEN = EXAMPLES / "0435-incomplete-reading-missing.yaml"
INVALID = EXAMPLES / "0416-invalid-impact-wrench.yaml"
UNDER = ("--under", "tern-sound@2016")


def run(*arguments: str | Path, input: bytes | None = None) -> Result:
    return CliRunner().invoke(tautbook, [str(each) for each in arguments], input=input, prog_name="tautbook")


@cache
def validator(schema: str) -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(load_schema(schema))  # type: ignore[arg-type]  # a mapping is all it needs


def valid(text: str, schema: str) -> Any:
    found = json.loads(text)
    validator(schema).validate(found)
    return found


# judge


@pytest.mark.parametrize(
    ("record", "first", "status"),
    [
        (PASS, "pass; demonstration figures", 0),
        (FAIL, "fail: not-closed-early; demonstration figures", 1),
        (INVALID, "invalid: hand-wrench; demonstration figures", 1),
        (OPEN, "incomplete: 2 observations not recorded; demonstration figures", 3),
    ],
)
def test_the_verdict_comes_first_and_sets_the_exit_status(record: Path, first: str, status: int) -> None:
    result = run("judge", record, *UNDER)
    assert result.stdout.splitlines()[0] == first
    assert (result.exit_code, result.stderr) == (status, "")
    assert max(map(len, result.stdout.splitlines())) <= 100


@pytest.mark.parametrize("record", [PASS, FAIL, OPEN, INVALID])
def test_one_record_in_json_is_one_object_of_the_schema(record: Path) -> None:
    found = valid(run("judge", record, *UNDER, "--format", "json").stdout, "verdict")
    assert found["record"]["file"] == str(record)
    assert found["could_be"] == [found["verdict"]] or found["verdict"] == "incomplete"


def test_a_stored_verdict_holds_the_record_that_it_judged() -> None:
    first = json.loads(run("judge", FAIL, *UNDER, "--format", "json").stdout)
    again = run("judge", "-", *UNDER, "--format", "json", input=json.dumps(first["record"]["content"]).encode())
    second = json.loads(again.stdout)
    assert second["record"].pop("file") == "-" and first["record"].pop("file")
    assert first == second


def test_a_folder_is_a_batch_with_a_line_for_each_record_and_a_count() -> None:
    result = run("judge", EXAMPLES, *UNDER)
    stated = Counter(
        said["verdict"]
        for statements in yaml.safe_load((EXAMPLES.parent / "verdicts.yaml").read_text()).values()
        for said in statements
        if "2016" in said["under"]
    )
    judged = len(list(EXAMPLES.iterdir())) - stated["no rules"]
    assert len(re.findall(r"^\w+ +TS-0\d{3}", result.stdout, re.MULTILINE)) == judged
    told = ", ".join(f"{stated[word]} {word}" for word in ("pass", "fail", "invalid", "incomplete"))
    assert f"{judged} records judged: {told}\n" in result.stdout
    # 2016 knows no rotational-capacity test: each such record is told, and all others are judged.
    assert result.stderr.count("procedure-not-in-edition") == stated["no rules"] > 0
    assert result.exit_code == 2
    assert max(map(len, result.stdout.splitlines())) <= 100


def test_many_records_in_json_are_a_list_and_in_json_lines_a_line_each() -> None:
    objects = json.loads(run("judge", PASS, FAIL, *UNDER, "--format", "json").stdout)
    assert [each["verdict"] for each in objects] == ["pass", "fail"]
    lines = run("judge", EXAMPLES, *UNDER, "--format", "jsonl").stdout.splitlines()
    for line in lines:
        valid(line, "verdict")
    assert len(lines) == len(list(EXAMPLES.iterdir())) - len(list(EXAMPLES.glob("07*")))


def test_a_folder_with_one_record_is_a_list_all_the_same(tmp_path: Path) -> None:
    shutil.copy(PASS, tmp_path)
    assert isinstance(json.loads(run("judge", tmp_path, *UNDER, "--format", "json").stdout), list)


def test_json_lines_are_records_a_line_from_a_file_and_from_standard_input(tmp_path: Path) -> None:
    verdict = json.loads(run("judge", PASS, *UNDER, "--format", "json").stdout)
    line = json.dumps(verdict["record"]["content"])
    file = tmp_path / "two.jsonl"
    file.write_text(f"{line}\n\n{line}\n")
    assert "2 records judged: 2 pass" in run("judge", file, *UNDER).stdout
    assert "2 records judged: 2 pass" in run("judge", "-", *UNDER, input=file.read_bytes()).stdout


def test_what_can_be_judged_is_and_what_cannot_is_told_on_standard_error(tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("procedure: dti-lots\nid: 1\n")
    result = run("judge", PASS, bad, *UNDER)
    assert "1 record judged: 1 pass" in result.stdout
    assert "bad.yaml:1:12: unknown-procedure" in result.stderr and "dti-lot" in result.stderr
    assert result.exit_code == 2


def test_one_bad_file_alone_prints_nothing_on_standard_output(tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("- nonsense\n")
    result = run("judge", bad, *UNDER)
    assert (result.stdout, result.exit_code) == ("", 2)
    assert "not-a-record" in result.stderr


def test_nothing_is_judged_without_an_edition_and_the_candidates_are_told() -> None:
    result = run("judge", PASS)
    assert (result.stdout, result.exit_code) == ("", 2)
    assert "edition-needed" in result.stderr and "tern-sound@2016" in result.stderr


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["judge", *UNDER], "record-needed"),
        (["judge", "missing.yaml", *UNDER], "missing.yaml: file-unreadable: there is no such file"),
        (["judge", "no\0file", *UNDER], "file-unreadable"),
        (["judge", str(EDITION), *UNDER], "this is an edition of a ruleset"),
        (["judge", str(PASS), "--under", "tern-sound@2061"], "name the job: --job FOLDER; at hand: tern-sound@2016"),
        (["judge", str(PASS), "--under", "2016"], "RULESET@EDITION"),
        (["judge", str(PASS), "--under", "missing.yaml"], "there is no such file"),
        (["judge", str(PASS), "--under", str(PASS)], "has no field `procedure`"),
        (["judge", str(PASS), *UNDER, "--rulesets", "missing"], "missing: folder-unreadable"),
        (["judge", str(PASS), *UNDER, "--rulesets", str(PASS)], "this is a file, not a folder"),
        (["judge", str(PASS), *UNDER, *UNDER], "2 editions are named"),
        (["judge", "", *UNDER], "the name of a record is empty"),
        (["judge", str(PASS), *UNDER, "--output", str(EXAMPLES)], "this is a folder, not a file"),
        (["jugde", str(PASS)], "did you mean `judge`?"),
        (["judge", str(PASS), "--udner", "x"], "No such option"),
        (["judge", str(PASS), *UNDER, "--format", "xml"], "not one of"),
    ],
)
def test_what_cannot_be_used_is_told_with_a_way_out(arguments: list[str], told: str) -> None:
    result = run(*arguments)
    assert told in result.stderr
    assert (result.stdout, result.exit_code) == ("", 2)
    assert "Traceback" not in result.stderr


def test_an_empty_folder_is_no_silent_pass(tmp_path: Path) -> None:
    result = run("judge", tmp_path, *UNDER)
    assert "folder-empty" in result.stderr and result.exit_code == 2


def test_a_test_made_while_the_edition_was_not_in_force_is_told(tmp_path: Path) -> None:
    folder = an_agency(tmp_path, lambda text: text.replace("from: 2016-03-01", "from: 2027-01-01, until: 2028-01-01"))
    shown = " ".join(run("judge", PASS, "--under", "wren-bay@2016", "--rulesets", folder, "--draft").stdout.split())
    assert "in force from 2027-01-01 until 2028-01-01, and the test was made on 2026-04-14" in shown


def test_a_specimen_that_does_not_count_is_told_under_a_pass_as_well(tmp_path: Path) -> None:
    more = tmp_path / "four.yaml"
    more.write_text(PASS.read_text() + "  - at_verification: {tension: 44.5 kip, refusals: 5}\n    ended: fracture\n"
                    "    at_installation: {tension: 44.5 kip, refusals: 5}\n"
                    "    at_full_refusal: {tension: 44.5 kip, refusals: 5, visible_gap: true}\n")  # fmt: skip
    shown = " ".join(run("judge", more, *UNDER).stdout.split())
    assert shown.startswith("pass;")
    assert "nothing-broke specimen 4: ended by fracture" in shown
    assert "specimen 4 does not count; enough others do" in shown


def test_text_from_files_cannot_steer_a_terminal(tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text(PASS.read_text().replace("id: TS-0401", 'id: "\\e[31mred\\u202Eleft"'))
    result = run("judge", bad, *UNDER)
    shown = result.stdout + result.stderr
    assert "\x1b" not in shown and "\u202e" not in shown


# files and folders


def test_output_is_written_whole_and_never_over_another_file(tmp_path: Path) -> None:
    file = tmp_path / "verdict.json"
    assert run("judge", PASS, *UNDER, "--format", "json", "--output", file).stdout == ""
    before = file.read_bytes()
    again = run("judge", FAIL, *UNDER, "--output", file)
    assert again.exit_code == 2 and "file-there" in again.stderr and file.read_bytes() == before
    assert run("judge", FAIL, *UNDER, "--output", file, "--replace").exit_code == 1
    assert file.read_text().startswith("fail")
    assert [path.name for path in tmp_path.iterdir()] == ["verdict.json"]


def test_output_is_never_written_over_what_is_read(tmp_path: Path) -> None:
    record = tmp_path / "record.yaml"
    shutil.copy(PASS, record)
    result = run("judge", record, *UNDER, "--output", record, "--replace")
    assert "this file is read, and would be written over" in result.stderr and result.exit_code == 2
    assert record.read_bytes() == PASS.read_bytes()


def test_output_into_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    result = run("judge", PASS, *UNDER, "--output", tmp_path / "none" / "x.txt")
    assert "file-unwritable" in result.stderr and result.exit_code == 2


def an_agency(folder: Path, change: Callable[[str], str] = str) -> Path:
    (folder / "wren-bay").mkdir(parents=True)
    text = EDITION.read_text().replace("ruleset: tern-sound", "ruleset: wren-bay")
    (folder / "wren-bay" / "2016.yaml").write_text(change(text))
    return folder


def test_an_agency_keeps_rulesets_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = an_agency(tmp_path / "own")
    assert run("judge", PASS, "--under", "wren-bay@2016", "--rulesets", folder, "--draft").exit_code == 0
    assert run("judge", PASS, "--under", folder / "wren-bay" / "2016.yaml", "--draft").exit_code == 0
    monkeypatch.setenv("TAUTBOOK_RULESETS", str(folder))
    assert "wren-bay@2016" in run("shelf").stdout


def test_an_edition_that_stands_twice_is_a_conflict(tmp_path: Path) -> None:
    first, second = an_agency(tmp_path / "a"), an_agency(tmp_path / "b")
    result = run("judge", PASS, "--under", "wren-bay@2016", "--rulesets", first, "--rulesets", second)
    assert "edition-twice" in result.stderr and result.exit_code == 2


def test_an_edition_that_stands_under_another_name_is_told(tmp_path: Path) -> None:
    folder = an_agency(tmp_path, lambda text: text.replace('edition: "2016"', 'edition: "2017"'))
    result = run("judge", PASS, "--under", "wren-bay@2016", "--rulesets", folder)
    assert "edition-misplaced" in result.stderr and result.exit_code == 2


def test_figures_from_memory_are_not_for_acceptance(tmp_path: Path) -> None:
    folder = an_agency(tmp_path, lambda text: text.replace("standing: invented", "standing: from memory"))
    result = run("judge", PASS, "--under", "wren-bay@2016", "--rulesets", folder, "--draft")
    assert result.stdout.splitlines()[0] == "would pass; not for acceptance; draft rules, not enacted"
    assert result.exit_code == 3


# limits


def test_limits_before_any_reading_are_of_the_schema_and_fit_the_page() -> None:
    given = ["bolt.grade=A325", "bolt.diameter=7/8 in", "indicator.spaces=5", "device.graduation=1 kN"]
    arguments = ["limits", *UNDER, "--procedure", "dti-lot", *(f"--given={each}" for each in given)]
    text = run(*arguments)
    assert text.exit_code == 0 and max(map(len, text.stdout.splitlines())) <= 100
    found = valid(run(*arguments, "--format", "json").stdout, "limits")
    watch = {each["watch"]: each for each in found["limits"] if each["watch"] and each["limit"]}
    assert watch["load to stop at and count"]["limit"]["value"] == "41"
    # 41 kip is 182.38 kN: the next mark up is 183; 42 kip is 186.83 kN, not to be passed at 186.
    assert watch["load to stop at and count"]["dial"] == {"value": "183", "unit": "kN"}
    assert watch["load not to pass"]["dial"] == {"value": "186", "unit": "kN"}
    told = {name: (each["relation"], each["limit"]["value"]) for name, each in watch.items()}
    assert told["most refusals in the test"] == ("<=", "2")
    assert told["fewest refusals in the work"] == (">=", "3")
    assert found["figures"][0]["value"] == "53"


def test_limits_with_a_record_say_what_holds_and_what_is_broken_already() -> None:
    assert "holds already" in run("limits", *UNDER, "--record", PASS).stdout
    assert "broken already" in run("limits", *UNDER, "--record", INVALID).stdout


def test_limits_say_what_they_depend_on() -> None:
    assert "depends on bolt.diameter, bolt.grade" in " ".join(
        run("limits", *UNDER, "--procedure", "dti-lot").stdout.split()
    )


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "procedure-needed"),
        (["--procedure", "dti-lots"], "did you mean `dti-lot`?"),
        (["--procedure", "dti-lot", "--given", "bolt.diametre=1 in"], "did you mean `bolt.diameter`?"),
        (["--procedure", "dti-lot", "--given", "bolt.diameter=1 kip"], "--given:1:17: unit-dimension"),
        (["--procedure", "dti-lot", "--given", "bolt.diameter"], "given-form"),
        (["--procedure", "dti-lot", "--given", "wrench=hands"], "did you mean `hand`?"),
        (["--procedure", "dti-lot", "--given", "specimens=1"], "unknown-name"),
        (["--procedure", "dti-lot", "--given", "procedure=dti-lots"], "did you mean `dti-lot`?"),
        (["--record", str(PASS), "--given", "bolt.diameter=1 in"], "given-twice"),
        (["--record", str(PASS), "--procedure", "dti-short-bolt"], "this record is of `dti-lot`"),
        (["--record", str(EXAMPLES)], "records are here, and one is needed"),
    ],
)
def test_what_cannot_be_given_is_told(arguments: list[str], told: str) -> None:
    result = run("limits", *UNDER, *arguments)
    assert told in result.stderr and (result.stdout, result.exit_code) == ("", 2)


# shelf


def test_the_shelf_lists_editions_with_their_digests() -> None:
    (edition, *later) = valid(run("shelf", "--format", "json").stdout, "shelf")
    assert [each["edition"] for each in later] == ["2021", "2025"]
    assert (edition["ruleset"], edition["edition"], edition["enacted"]) == ("tern-sound", "2016", True)
    assert edition["digest"] in run("shelf").stdout
    shown = run("shelf", "--show", "tern-sound@2016").stdout
    assert "Table 7-1 minimum bolt tension in the work" in shown and "7/8 in         39 kip" in shown
    assert "the number of refusals at the verification tension of the specimen is at most" in " ".join(shown.split())
    assert "not-closed-early" in shown and max(map(len, shown.splitlines())) <= 100
    (whole,) = valid(run("shelf", "--show", "tern-sound@2016", "--format", "json").stdout, "shelf")
    assert whole.pop("provisions")["tables"][0]["title"] == "minimum bolt tension in the work" and whole == edition


def test_a_broken_edition_does_not_hide_the_others(tmp_path: Path) -> None:
    folder = an_agency(tmp_path, lambda text: text.replace("months: clamp", "months: clam"))
    result = run("shelf", "--rulesets", folder)
    assert "tern-sound@2016" in result.stdout and "did you mean `clamp`?" in result.stderr and result.exit_code == 2


# the process itself


def process(*arguments: str | Path, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "tautbook", *map(str, arguments)],
        capture_output=True, text=True, check=False, encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(ROOT / "engine"), **environment},
    )  # fmt: skip


def test_the_module_runs_as_the_command_does() -> None:
    found = process("judge", PASS, *UNDER)
    assert (found.returncode, found.stderr) == (0, "")
    assert found.stdout == run("judge", PASS, *UNDER).stdout
    assert process("--version").stdout == "tautbook 0.1.0, language 1\n"


def test_a_terminal_of_few_letters_breaks_nothing_off() -> None:
    found = process("judge", EXAMPLES / "0404-pass-one-inch-a490-in-kn.yaml", *UNDER, PYTHONIOENCODING="ascii")
    assert found.returncode == 0 and ("\\u2248" in found.stdout or "≈" in found.stdout)


def test_a_fault_of_ours_is_told_as_one_and_without_a_traceback() -> None:
    script = (
        "import tautbook.cli.common as c, tautbook.cli\n"
        "import tautbook.cli.judge as j\n"
        "def broken(*_): raise RuntimeError('x')\n"
        "j.job_and_edition = broken\n"
        "import sys; sys.argv = ['tautbook', 'judge', 'x', '--under', 'y']\n"
        "tautbook.cli.main()"
    )
    found = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False,
                           env={**os.environ, "PYTHONPATH": str(ROOT / "engine")})  # fmt: skip
    assert found.returncode == 2
    assert "a fault of the program" in found.stderr
    assert "Traceback" not in found.stderr and "RuntimeError" not in found.stderr


def test_a_reader_that_stops_reading_is_no_fault() -> None:
    command = f"{sys.executable} -m tautbook judge {EXAMPLES} --under tern-sound@2025 --format json | head -c 100"
    found = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False,
                           env={**os.environ, "PYTHONPATH": str(ROOT / "engine")})  # fmt: skip
    assert len(found.stdout) == 100 and found.stderr == ""


def test_output_that_cannot_be_written_is_no_fault_of_ours() -> None:
    for redirection, told in ((">/dev/full", "output-unwritable"), (">&-", "output-unwritable"), ("<&-", "file-empty")):
        command = f"{sys.executable} -m tautbook judge {'-' if '<' in redirection else PASS} --under tern-sound@2016"
        found = subprocess.run(["bash", "-c", f"{command} {redirection}"], capture_output=True, text=True, check=False,
                               env={**os.environ, "PYTHONPATH": str(ROOT / "engine")})  # fmt: skip
        assert told in found.stderr and "fault of the program" not in found.stderr and found.returncode != 0


def test_completion_knows_the_commands() -> None:
    found = process(_TAUTBOOK_COMPLETE="bash_complete", COMP_WORDS="tautbook ", COMP_CWORD="1")
    assert "judge" in found.stdout and "limits" in found.stdout and "shelf" in found.stdout


def test_help_names_the_exit_status_and_imports_nothing_heavy() -> None:
    assert "2 something could not be used" in run("judge", "--help").stdout
    script = ("import sys; sys.argv = ['tautbook', '--help']\nimport tautbook.cli\n"
              "try: tautbook.cli.main()\nexcept SystemExit: pass\n"
              "print(sorted({'lark', 'jsonschema', 'yaml', 'json'} & set(sys.modules)), file=sys.stderr)")  # fmt: skip
    found = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False,
                           env={**os.environ, "PYTHONPATH": str(ROOT / "engine")})  # fmt: skip
    assert not {"lark", "jsonschema", "yaml"} & set(found.stderr.split("'"))
