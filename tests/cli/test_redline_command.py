"""``tautbook redline`` as people type it: what comes out, where, and with which exit status."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner, Result

from tautbook import Shelf, read_record
from tautbook.cli import redline as command
from tautbook.cli.group import tautbook
from tautbook.comparing import redline as comparing
from tautbook.comparing.effect import Deciding, Effect, Effects, Outcome
from tautbook.comparing.redline import Redline
from tautbook.records.record import content
from tautbook.shape.schemas import load_schema

ROOT = Path(__file__).parents[2]
RULESET = ROOT / "rulesets" / "tern-sound"
PAIR = ("tern-sound@2016", "tern-sound@2021")


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(tautbook, ["redline", *map(str, arguments)], prog_name="tautbook")


@cache
def validator() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(load_schema("redline"))  # type: ignore[arg-type]  # a mapping is all it needs


def valid(text: str) -> Any:
    found = json.loads(text)
    validator().validate(found)
    return found


@pytest.fixture(autouse=True)
def wording_only(monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> None:
    """Effects are decided, and tested, elsewhere; but for one test, it would take long here."""
    if request.node.get_closest_marker("slow") is None:
        monkeypatch.setattr(comparing, "_effects", lambda old, new, found, like: Effects((), (), "Not decided here."))


@pytest.fixture
def draft(tmp_path: Path) -> Path:
    """The 2021 edition as a draft in which one figure is another one, farther from the formula of its table."""
    path = tmp_path / "draft.yaml"
    text = (RULESET / "2021.yaml").read_text(encoding="utf-8").replace("7/8 in: 53 kip", "7/8 in: 52 kip")
    before, formula, after = text.partition("formula: 1.35 * ")
    path.write_text(f"{before}{formula}{after.replace('0.5 kip', '1 kip', 1)}", encoding="utf-8")
    return path


def test_one_edition_and_itself() -> None:
    result = run("tern-sound@2016", RULESET / "2016.yaml")
    assert result.stdout.splitlines()[0] == "tern-sound@2016, old to tern-sound@2016, new: no difference"
    assert (result.exit_code, result.stderr) == (0, "")


def test_a_draft_is_compared_without_more_ado_and_said_to_be_one(draft: Path) -> None:
    result = run("tern-sound@2021", draft)
    assert result.exit_code == 1 and result.stderr == ""
    first, *rest = result.stdout.splitlines()
    assert first.startswith("tern-sound@2021 to tern-sound@2021 (draft): 2 changes of wording; ")
    assert any("draft, not enacted" in line for line in rest[:14])
    assert "    [Group 120, 7/8 in]  53 kip became 52 kip; 1 kip less (≈1.887 %)" in rest


def test_json_is_of_its_schema(draft: Path) -> None:
    result = run("tern-sound@2021", draft, "--format", "json")
    found = valid(result.stdout)
    assert result.exit_code == 1
    assert [(each["where"], each["before"], each["after"]) for each in found["changes"]] == [
        ("Table A-2, highest_tension [Group 120, 7/8 in]", "53 kip", "52 kip"),
        ("Table A-2, highest_tension, crosscheck, within", "0.5 kip", "1 kip"),
    ]
    assert (found["from"]["enacted"], found["to"]["enacted"]) == (True, False)


def test_markdown(draft: Path) -> None:
    result = run("tern-sound@2021", draft, "--format", "markdown")
    assert result.exit_code == 1
    assert "| \\[Group 120, 7/8 in\\] | 53 kip | 52 kip | 1 kip less (≈1.887 %) |" in result.stdout


def test_an_enacted_edition_that_was_changed_is_refused(tmp_path: Path) -> None:
    folder = tmp_path / "sound"
    shutil.copytree(RULESET, folder, ignore=shutil.ignore_patterns("examples"))
    file = folder / "2021.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("Keep the pieces.", "Keep them."), encoding="utf-8")
    result = run("tern-sound@2016", file)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "enacted-changed" in result.stderr


def test_two_rulesets_can_be_compared(draft: Path) -> None:
    text = draft.read_text(encoding="utf-8").replace("ruleset: tern-sound", "ruleset: elsewhere")
    draft.write_text(text, encoding="utf-8")
    result = run("tern-sound@2021", draft)
    assert result.exit_code == 1
    assert "these are two rulesets, not two editions of one" in " ".join(result.stdout.split())


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        ((), "editions-needed"),
        (("tern-sound@2016",), "editions-needed"),
        ((*PAIR, "tern-sound@2025"), "editions-needed"),
        (("tern-sound@2016", "tern-sound@2022"), "unknown-edition"),
        (("tern-sound@2016", "no/such/file.yaml"), "file-unreadable"),
    ],
)
def test_what_cannot_be_used(arguments: tuple[str, ...], code: str) -> None:
    result = run(*arguments)
    assert (result.exit_code, result.stdout) == (2, "")
    assert code in result.stderr


def test_a_file_that_is_there_is_not_replaced_unasked(draft: Path, tmp_path: Path) -> None:
    out = tmp_path / "redline.md"
    arguments = ("tern-sound@2021", draft, "--format", "markdown", "--output", out)
    first = run(*arguments)
    assert (first.exit_code, first.stdout) == (1, "")
    text = out.read_text(encoding="utf-8")
    assert text.startswith("## ")
    out.write_text("mine", encoding="utf-8")
    second = run(*arguments)
    assert second.exit_code == 2 and "file-there" in second.stderr and out.read_text(encoding="utf-8") == "mine"
    assert run(*arguments, "--replace").exit_code == 1
    assert out.read_text(encoding="utf-8") == text


def test_what_is_read_is_never_written_over(draft: Path) -> None:
    before = draft.read_bytes()
    result = run("tern-sound@2021", draft, "--output", draft, "--replace")
    assert result.exit_code == 2 and draft.read_bytes() == before


def test_without_the_solver_wording_is_complete_and_the_extra_is_named(draft: Path) -> None:
    """In a process of its own, in which the solver cannot be imported."""
    code = "import sys; sys.modules['z3'] = None; from tautbook.cli import main; main()"
    result = subprocess.run([sys.executable, "-c", code, "redline", "tern-sound@2021", str(draft)],
                            capture_output=True, text=True, encoding="utf-8", check=False)  # fmt: skip
    assert (result.returncode, result.stderr) == (1, "")
    said = " ".join(result.stdout.split())
    assert "2 changes of wording; effect not decided" in said and "install the extra `proof`" in said
    assert "[Group 120, 7/8 in] 53 kip became 52 kip; 1 kip less (≈1.887 %)" in said


# Deciding records


@pytest.fixture
def decided(monkeypatch: pytest.MonkeyPatch) -> Redline:
    """A redline with the effect, built by hand, that a worked record of the ruleset shows."""
    old, new = (Shelf.default().edition("tern-sound", name) for name in ("2016", "2021"))
    record = read_record(RULESET / "examples" / "0407-tie-twelve-months.yaml")
    deciding = Deciding(
        name="calibration-in-date-1", direction="stricter", content=content(record.shaped),
        before=Outcome("pass", "met", "2026-04-14 is no later."),
        after=Outcome("invalid", "not met", "2026-04-14 is later."), about="calibrated 12 months before\nthe test",
    )  # fmt: skip
    effect = Effect("dti-lot", "calibration-in-date", "device calibrated in time", False, "stricter", (), (),
                    (deciding,), said=(("stricter", "a calibration is good for 6 months"),))  # fmt: skip
    found = Redline(old, new, (), Effects((effect,), (("dates", "1950 to 2100"),)))
    monkeypatch.setattr(command, "compare", lambda old, new, like: found)
    return found


@pytest.mark.slow
def test_a_lower_figure_is_proved_to_be_stricter_and_shown_by_records(draft: Path, tmp_path: Path) -> None:
    """The whole command with the solver: the records that it writes come out as it says."""
    pytest.importorskip("z3")
    folder = tmp_path / "records"
    result = run("tern-sound@2021", draft, "--format", "json", "--records", folder)
    assert result.exit_code == 1
    found = valid(result.stdout)
    effects = {(each["procedure"], each["requirement"]): each["effect"] for each in found["effects"]}
    assert {name for name, effect in effects.items() if effect != "none"} == {
        ("dti-lot", "tension-at-full-refusal"), ("dti-lot", None), ("dti-short-bolt", None)
    }  # fmt: skip
    assert effects["dti-lot", "tension-at-full-refusal"] == effects["dti-lot", None] == "stricter"
    records = {each["name"]: each for effect in found["effects"] for each in effect["records"]}
    assert records.keys() == {file.stem for file in folder.iterdir()} and records
    for name, record in records.items():
        for edition, outcome in (("tern-sound@2021", record["before"]), (str(draft), record["after"])):
            arguments = ["judge", str(folder / f"{name}.yaml"), "--under", edition, "--draft", "--format", "json"]
            judged = CliRunner().invoke(tautbook, arguments)
            assert json.loads(judged.stdout)["verdict"] == outcome["verdict"]


def test_deciding_records_are_written_and_judged(decided: Redline, tmp_path: Path) -> None:
    folder = tmp_path / "new" / "records"
    result = run(*PAIR, "--records", folder)
    assert result.exit_code == 1 and "1 deciding record in " in result.stderr
    (file,) = folder.iterdir()
    first = file.read_text(encoding="utf-8").splitlines()[0]
    assert first == r"# tern-sound@2016: pass; tern-sound@2021: invalid. calibrated 12 months before\x0athe test"
    for edition, verdict in (("tern-sound@2016", "pass"), ("tern-sound@2021", "invalid")):
        judged = CliRunner().invoke(tautbook, ["judge", str(file), "--under", edition, "--format", "json"])
        assert json.loads(judged.stdout)["verdict"] == verdict


def test_deciding_records_are_never_written_over(decided: Redline, tmp_path: Path) -> None:
    file = tmp_path / "calibration-in-date-1.yaml"
    file.write_text("mine", encoding="utf-8")
    for more in ((), ("--replace",)):
        result = run(*PAIR, "--records", tmp_path, *more)
        assert (result.exit_code, result.stdout) == (2, "")
        assert "file-there" in result.stderr and file.read_text(encoding="utf-8") == "mine"


def test_a_folder_that_cannot_be_made(decided: Redline, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    result = run(*PAIR, "--records", tmp_path / "file" / "records")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "folder-unwritable" in result.stderr


def test_effects_in_json_are_of_the_schema(decided: Redline) -> None:
    found = valid(run(*PAIR, "--format", "json").stdout)
    (effect,) = found["effects"]
    assert effect["effect"] == "stricter" and effect["records"][0]["after"]["verdict"] == "invalid"
    assert found["bounds"] == [{"name": "dates", "value": "1950 to 2100"}]
