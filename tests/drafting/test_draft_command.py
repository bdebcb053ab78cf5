"""``tautbook draft`` as it is typed: names, files, what is refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tautbook.cli.group import tautbook

EXAMPLES = Path(__file__).parents[2] / "rulesets" / "tern-sound" / "examples"
PASS = EXAMPLES / "0401-pass-seven-eighths.yaml"


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(tautbook, [str(each) for each in arguments])


def to_fill_in(name: str | Path, rules: Path) -> int:
    """How many items proofreading wants filled in; it finds no other errors."""
    (report,) = json.loads(run("proofread", name, "--rulesets", rules, "--format", "json").stdout)
    found = [each["code"] for each in report["findings"] if each["severity"] == "error"]
    assert set(found) == {"to-fill-in"}
    return len(found)


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    for ruleset in ("korvath", "wren-bay"):
        (tmp_path / ruleset).mkdir()
    return tmp_path


def test_a_first_edition_is_judged_by_as_soon_as_it_is_written(rules: Path) -> None:
    file = rules / "korvath" / "2026.yaml"
    written = run("draft", "korvath@2026", "--rulesets", rules, "--output", file)
    assert (written.exit_code, written.output) == (0, "")
    assert run("draft", "korvath@2027", "--rulesets", rules).stdout.startswith("# yaml-language-server: ")
    assert to_fill_in("korvath@2026", rules) == 19
    judged = run("judge", PASS, "--under", "korvath@2026", "--rulesets", rules, "--draft")
    assert judged.exit_code == 3 and "no rule" in judged.stdout and not judged.stderr


def test_of_the_tests_named_and_of_no_others(rules: Path) -> None:
    text = run("draft", "korvath@2026", "--procedure", "dti-lot", "--procedure", "dti-installed").stdout
    assert "\n  dti-lot:\n" in text and "\n  dti-installed:\n" in text and "\n  dti-short-bolt:\n" not in text
    refused = run("draft", "korvath@2026", "--procedure", "dti-lott")
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert refused.stderr == "unknown-procedure: there is no procedure `dti-lott`\n  help: did you mean `dti-lot`?\n"


def test_the_first_day_is_the_one_that_was_given_or_to_be_filled_in() -> None:
    assert "\n  from: 2026-03-01\n" in run("draft", "korvath@2026", "--effective", "2026-03-01").stdout
    assert "\n  from: 2199-12-31   # TO FILL IN (first day in force)\n" in run("draft", "korvath@2026").stdout
    refused = run("draft", "korvath@2026", "--effective", "1.3.2026")
    assert (refused.exit_code, refused.stdout) == (2, "") and refused.stderr.startswith("date-form: ")


@pytest.mark.parametrize(
    "name",
    [
        "korvath", "@", "@2026", "korvath@", "a@b@c", "../x@y", "x@../y", "x@/etc/passwd", "a b@c", "Korvath@2026",
        "x@y.\n", "x@'y'", 'x@"y"', "x@{y}", "x@*", "é@1", "x@y: z", "-x@y", "x@.y", f"{'x' * 65}@1", f"x@{'9' * 5000}",
        "x@enacted", "x@verdicts", "\x1b[31mx@y",
    ],
)  # fmt: skip
@pytest.mark.parametrize("more", [(), ("--from", "tern-sound@2021")])
def test_what_cannot_be_a_name_is_refused(name: str, more: tuple[str, ...]) -> None:
    refused = run("draft", *more, "--", name)
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert refused.stderr.startswith("edition-name: `") and "\n  help: " in refused.stderr
    assert len(refused.stderr) < 400 and refused.stderr.replace("\n", "").isprintable()


@pytest.mark.parametrize("name", ["on@yes", "1@2", "null@true", "2026-01-01@1e5", "0x1@0o7", "x@1.0"])
@pytest.mark.parametrize("more", [(), ("--from", "tern-sound@2021")])
def test_a_name_that_yaml_could_take_for_something_else_stays_a_name(
    name: str, more: tuple[str, ...], tmp_path: Path
) -> None:
    ruleset, _, edition = name.partition("@")
    (tmp_path / ruleset).mkdir()
    run("draft", name, *more, "--output", tmp_path / ruleset / f"{edition}.yaml")
    shown = run("shelf", "--rulesets", tmp_path)
    assert shown.exit_code == 0 and f"{name}  TO FILL IN" in shown.stdout
    # An amendment of it names it as well.
    run("draft", "x@9", "--from", name, "--rulesets", tmp_path, "--output", tmp_path / "9.yaml")
    assert to_fill_in(tmp_path / "9.yaml", tmp_path) == (19 if not more else 2)


def test_an_edition_that_exists_is_not_begun_again(rules: Path) -> None:
    refused = run("draft", "tern-sound@2021")
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert "tern-sound/2021.yaml: edition-there: tern-sound@2021 exists already" in refused.stderr
    assert "--from" in refused.stderr


def test_a_file_that_is_there_is_replaced_only_on_purpose(rules: Path) -> None:
    file = rules / "2026.yaml"
    file.write_text("mine")
    refused = run("draft", "korvath@2026", "--output", file)
    assert refused.exit_code == 2 and "file-there" in refused.stderr and file.read_text() == "mine"
    assert run("draft", "korvath@2026", "--output", file, "--replace").exit_code == 0
    assert file.read_text().startswith("# yaml-language-server")
    assert "file-unwritable" in run("draft", "korvath@2026", "--output", rules / "none" / "2026.yaml").stderr
    assert [each.name for each in rules.iterdir() if each.name.startswith(".")] == []


def test_an_amendment_of_an_amendment_of_a_first_edition(rules: Path) -> None:
    from_1, from_2 = ("--from", "korvath@1"), ("--from", "korvath@2")
    for name, more in (("korvath@1", ()), ("korvath@2", from_1), ("korvath@3", from_2)):
        ruleset, _, edition = name.partition("@")
        file = rules / ruleset / f"{edition}.yaml"
        assert run("draft", name, *more, "--rulesets", rules, "--output", file).output == ""
        assert to_fill_in(name, rules) > 0
    assert "korvath@2 is a draft still. Enact it first" in (rules / "korvath" / "3.yaml").read_text()
    judged = run("judge", PASS, "--under", "korvath@3", "--rulesets", rules, "--draft")
    assert judged.exit_code == 3 and not judged.stderr


def test_the_edition_amended_may_be_a_file(rules: Path) -> None:
    base = rules / "korvath" / "2026.yaml"
    run("draft", "korvath@2026", "--output", base)
    new = ("draft", "wren-bay@1", "--from", base, "--output", rules / "wren-bay" / "1.yaml")
    told = run(*new)
    assert told.exit_code == 0 and told.stderr == (
        f"{base}: amends-elsewhere: korvath@2026 is in no folder of rulesets, where an amendment of it is looked for\n"
        "  help: put it into a folder `korvath`, as `2026.yaml`, and name the folder above with --rulesets\n"
    )
    assert to_fill_in("wren-bay@1", rules) > 0
    assert run(*new, "--rulesets", rules, "--replace").exit_code == 2  # it is there now
    (rules / "wren-bay" / "1.yaml").unlink()
    assert run(*new, "--rulesets", rules).output == ""


def test_a_base_that_cannot_be_amended_is_told(rules: Path) -> None:
    base = rules / "korvath" / "2026.yaml"
    run("draft", "korvath@2026", "--output", base)
    other = rules / "other.yaml"
    other.write_text(base.read_text().replace("months: clamp", "months: refuse"))
    twice = run("draft", "korvath@2027", "--from", other, "--rulesets", rules)
    assert (twice.exit_code, twice.stdout) == (2, "")
    assert "edition-twice: korvath@2026 is something else in" in twice.stderr
    itself = run("draft", "korvath@2026", "--from", base)
    assert itself.exit_code == 2 and "edition-there" in itself.stderr
    over = run("draft", "korvath@2027", "--from", base, "--output", base, "--replace")
    assert over.exit_code == 2 and "would be written over" in over.stderr
    assert "unknown-edition" in run("draft", "korvath@2027", "--from", "tern-sound@2020").stderr
    base.write_text(base.read_text().replace("head_held", "head_helt"))
    assert "unknown-name" in run("draft", "korvath@2027", "--from", base).stderr
    procedure = run("draft", "korvath@2027", "--from", "tern-sound@2021", "--procedure", "dti-lot")
    assert procedure.exit_code == 2 and procedure.stderr.startswith("draft-procedure: ")
