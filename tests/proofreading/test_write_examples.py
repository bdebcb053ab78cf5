"""Records for the boundaries that no worked record shows, as ``--write-examples`` writes them for people to confirm."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner, Result

from tautbook.cli.group import tautbook

GOOD = Path(__file__).parent / "good"


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(tautbook, ["proofread", *map(str, arguments)], prog_name="tautbook")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The good edition with its two worked records, and none for its boundaries."""
    found = Path(shutil.copytree(GOOD, tmp_path / "good"))
    shutil.rmtree(found / "boundaries")
    return found


def boundaries(folder: Path) -> dict[str, object]:
    found = json.loads(run(folder / "edition.yaml", "--format", "json").stdout)[0]["boundaries"]
    assert isinstance(found, dict)
    return found


def test_what_is_not_shown_is_remarked_at_its_requirement_and_counted(folder: Path) -> None:
    result = run(folder / "edition.yaml")
    assert result.exit_code == 0
    told = re.sub(r"\s+", " ", result.stdout)
    assert "edition.yaml:59:7: remark, boundary-uncovered " in told
    assert (
        "no worked record shows 16 of 20 boundaries of `counted`: specimen.at_verification.refusals <= "
        "most_refused[indicator.spaces]: inside, missing; most_refused[4]: at, inside, outside, missing; "
        "most_refused[5]: inside, missing; most_refused[6]: at, inside, outside, missing; and 1 more"
    ) in told
    assert "boundaries 5.7 % of 140 shown by worked records 12 more that no such record can show: " in told


def test_in_json_every_boundary_is_listed_and_nothing_is_rounded(folder: Path) -> None:
    found = boundaries(folder)
    assert (found["all"], found["can_be_shown"], found["shown"], found["share"]) == (152, 140, 8, "2/35")
    assert isinstance(found["uncovered"], list) and isinstance(found["never"], list)
    assert len(found["uncovered"]) == 132 and len(found["never"]) == 12
    assert {
        "procedure": "dti-lot", "requirement": "loaded", "comparison": "specimen.at_verification.tension >= wanted",
        "cell": {"table": "least", "key": ["A490", "1 in"]}, "what": "outside",
    } in found["uncovered"]  # fmt: skip


def test_a_folder_written_beside_the_edition_closes_the_gaps_that_can_be_closed(folder: Path) -> None:
    """The count of four spaces is left: no worked record has four, and one of five that is changed has too many."""
    result = run(folder / "edition.yaml", "--write-examples", folder / "boundaries")
    assert result.exit_code == 0
    made = sorted((folder / "boundaries" / "examples").iterdir())
    first, *rest = result.stderr.splitlines()
    assert first.startswith(f"{len(made)} records written to ")
    assert rest == [
        "example-unmade: sound@1: no record was made for counted at most_refused[4], inside most_refused[4], "
        "outside most_refused[4], missing most_refused[4]",
        "  help: write a record for it by hand: no record can hold it: more refusals than the indicator has spaces",
    ]
    again = boundaries(folder)
    assert isinstance(again["uncovered"], list)
    assert {json.dumps(each["cell"]) for each in again["uncovered"]} == {
        json.dumps({"table": "most_refused", "key": ["4"]})
    }
    report = json.loads(run(folder / "edition.yaml", "--format", "json").stdout)[0]
    assert report["counts"]["records"] == report["counts"]["as_stated"] == 2 + len(made)


def test_the_verdicts_say_that_they_are_to_be_confirmed_and_what_each_record_shows(folder: Path) -> None:
    run(folder / "edition.yaml", "--write-examples", folder / "new")
    text = (folder / "new" / "verdicts.yaml").read_text(encoding="utf-8")
    assert text.startswith("# What editions give of these records now. Nobody has confirmed it")
    stated = yaml.safe_load(text)
    assert sorted(stated) == sorted(path.name for path in (folder / "new" / "examples").iterdir())
    assert stated["dti-lot-loaded-outside-invalid.yaml"] == [
        {"under": ["1"], "verdict": "invalid", "why": "given now, to be confirmed, to show loaded outside, outside "
         "least[A325, 7/8 in]; counted inside, inside most_refused[5]; full inside, inside highest[A325, 7/8 in]"}
    ]  # fmt: skip


def test_where_all_is_shown_nothing_is_written(tmp_path: Path) -> None:
    result = run(GOOD / "edition.yaml", "--write-examples", tmp_path / "new")
    assert (result.exit_code, result.stderr) == (0, "no record is lacking: all that can be shown is shown\n")
    assert not (tmp_path / "new").exists()


def test_nothing_is_written_over(folder: Path) -> None:
    before = sorted((path, path.stat().st_mtime_ns) for path in folder.rglob("*"))
    for name, code in (
        ("examples", "folder-there"), ("edition.yaml", "file-there"), ("no/such", "folder-missing"),
        ("edition.yaml/new", "folder-missing"), ("x" * 300, "folder-unwritable"),
    ):  # fmt: skip
        result = run(folder / "edition.yaml", "--write-examples", folder / name)
        assert (result.exit_code, result.stdout) == (2, ""), name
        assert code in result.stderr, name
    assert sorted((path, path.stat().st_mtime_ns) for path in folder.rglob("*")) == before


def test_a_folder_that_cannot_be_written_is_a_problem(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "mkdir", full)
    result = run(folder / "edition.yaml", "--write-examples", folder / "new")
    assert result.exit_code == 2 and "folder-unwritable" in result.stderr and result.stdout.startswith("sound@1: ")


def test_editions_of_two_rulesets_are_not_mixed(folder: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    shutil.copytree(folder, other)
    text = (other / "edition.yaml").read_text(encoding="utf-8").replace("ruleset: sound", "ruleset: firth", 1)
    (other / "edition.yaml").write_text(text, encoding="utf-8")
    result = run(folder / "edition.yaml", other / "edition.yaml", "--write-examples", tmp_path / "new")
    assert result.exit_code == 2 and "one-ruleset" in result.stderr and not (tmp_path / "new").exists()


def test_of_a_file_with_a_record_a_line_the_verdicts_name_them_by_number(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(GOOD, tmp_path / "good"))
    stated = folder / "boundaries" / "verdicts.yaml"
    text = stated.read_text(encoding="utf-8")
    stated.write_text(text.replace("S-B002", "S-B202"), encoding="utf-8")
    findings = json.loads(run(folder / "edition.yaml", "--format", "json").stdout)[0]["findings"]
    assert [(each["code"], each["message"]) for each in findings] == [
        ("worked-unstated", "nothing is stated of S-B002 in `dti-lot.jsonl` under 1; it is now: fail"),
        ("worked-missing", "a verdict is stated of S-B202 in `dti-lot.jsonl`, and there is no such record"),
    ]
    stated.write_text(text.replace("verdict: fail", "verdict: pass"), encoding="utf-8")
    findings = json.loads(run(folder / "edition.yaml", "--format", "json").stdout)[0]["findings"]
    assert [(each["code"], each["message"].partition(" is stated")[0]) for each in findings] == [
        ("worked-differs", f"{number} in `dti-lot.jsonl`") for number in ("S-B002", "S-B051", "S-B055", "S-B059")
    ]
