"""Enacting an edition, and what keeps an enacted one from changing unnoticed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner, Result

from tautbook import Shelf
from tautbook.cli.group import tautbook
from tautbook.editions.enacted import signature

RULESETS = Path(__file__).parents[2] / "rulesets"
PASS = RULESETS / "tern-sound" / "examples" / "0401-pass-seven-eighths.yaml"


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(tautbook, [str(each) for each in arguments])


@pytest.fixture
def edition(tmp_path: Path) -> Path:
    """A copy of a shipped edition under another name: a draft of its own."""
    folder = tmp_path / "rules" / "wren-bay"
    folder.mkdir(parents=True)
    text = (RULESETS / "tern-sound" / "2016.yaml").read_text().replace("ruleset: tern-sound", "ruleset: wren-bay")
    (folder / "2016.yaml").write_text(text)
    return folder / "2016.yaml"


def test_a_draft_is_used_only_on_purpose_and_what_comes_out_says_so(edition: Path) -> None:
    refused = run("judge", PASS, "--under", edition)
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert "draft: wren-bay@2016 is a draft: nobody has enacted it" in refused.stderr and "--draft" in refused.stderr
    assert "draft: wren-bay@2016" in run("limits", "--procedure", "dti-lot", "--under", edition).stderr
    judged = run("judge", PASS, "--under", edition, "--draft")
    assert judged.exit_code == 0 and "draft, not enacted" in judged.stdout


def test_an_enacted_edition_is_used_until_it_is_changed(edition: Path) -> None:
    told = run("enact", edition, "--by", "J. Orr", "--on", "2016-02-20")
    assert told.exit_code == 0 and told.stdout.startswith("wren-bay@2016 is enacted, m1:")
    judged = run("judge", PASS, "--under", "wren-bay@2016", "--rulesets", edition.parents[1])
    assert judged.exit_code == 0 and "enacted on 2016-02-20 by J. Orr" in judged.stdout
    edition.write_text(edition.read_text().replace("1/2 in: 12 kip", "1/2 in: 12.1 kip"))
    for command in (["judge", PASS, "--under"], ["limits", "--procedure", "dti-lot", "--under"], ["shelf", "--show"],
                    ["enact", "--by", "J. Orr"]):  # fmt: skip
        refused = run(*command, edition)
        assert refused.exit_code == 2
        assert "enacted-changed: wren-bay@2016 was enacted on 2016-02-20 and has been changed since" in refused.stderr


@pytest.mark.parametrize(
    "change", [lambda text: f"# a remark\n{text}\n", lambda text: text.replace("  A325:\n", "  A325:   # grade\n")]
)
def test_layout_and_remarks_are_no_change(edition: Path, change: object) -> None:
    assert callable(change)
    run("enact", edition, "--by", "J. Orr", "--on", "2016-02-20")
    edition.write_text(change(edition.read_text()))
    assert run("judge", PASS, "--under", edition).exit_code == 0


def test_a_field_that_says_something_else_now_is_found(edition: Path) -> None:
    run("enact", edition, "--by", "J. Orr", "--on", "2016-02-20")
    listed = edition.with_name("enacted.yaml")
    listed.write_text(listed.read_text().replace("dti-lot.head_held: yes-no", "dti-lot.head_held: text"))
    told = run("judge", PASS, "--under", edition).stderr
    assert "enacted-fields: a record does not say any more what it said" in told and "dti-lot.head_held" in told


def test_a_second_edition_joins_the_list_and_the_first_stays_as_it_was(edition: Path) -> None:
    run("enact", edition, "--by", "J. Orr", "--on", "2016-02-20")
    listed = edition.with_name("enacted.yaml")
    before = listed.read_text()
    second = edition.with_name("2017.yaml")
    second.write_text(edition.read_text().replace('edition: "2016"', 'edition: "2017"'))
    assert run("enact", second, "--by", 'O. "Tern" Hale', "--on", "2017-01-05").exit_code == 0
    assert listed.read_text().startswith(before)
    assert yaml.safe_load(listed.read_text())["2017"]["by"] == 'O. "Tern" Hale'


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "enact-by: say who enacts it"),
        (["--by", " "], "enact-by: say who enacts it"),
        (["--by", "J. Orr", "--on", "yesterday"], "enact-on: `yesterday` is not a day"),
    ],
)
def test_what_is_wanting_is_told(edition: Path, arguments: list[str], told: str) -> None:
    result = run("enact", edition, *arguments)
    assert result.exit_code == 2 and told in result.stderr
    assert not edition.with_name("enacted.yaml").exists()


def test_what_cannot_be_enacted(edition: Path) -> None:
    run("enact", edition, "--by", "J. Orr")
    assert "enacted-already" in run("enact", edition, "--by", "J. Orr").stderr
    edition.with_name("enacted.yaml").write_text("2016: {digest: m1:0}\n")
    told = run("enact", edition, "--by", "J. Orr").stderr
    assert "missing-key: `2016` has no `by`" in told
    broken = edition.with_name("2018.yaml")
    broken.write_text(edition.read_text().replace("months: clamp", "months: clam"))
    assert "did you mean `clamp`?" in run("enact", broken, "--by", "J. Orr").stderr


def test_the_shipped_editions_are_enacted_with_all_that_they_read() -> None:
    listed = yaml.safe_load((RULESETS / "tern-sound" / "enacted.yaml").read_text())
    for name, entry in listed.items():
        edition = Shelf.default().edition("tern-sound", name)
        assert edition.enacted is not None and edition.digest == entry["digest"]
        assert signature(edition) == entry["fields"]
        assert entry["fields"]["dti-lot.specimens.at_verification.tension"] == "force"
    assert listed["2025"]["fields"]["dti-lot.device.corrections.points.correction"] == "force"
    assert listed["2025"]["fields"]["dti-short-bolt.evidence.long_bolt.verdict"] == "choice"
    assert re.fullmatch(r"m1:[0-9a-f]{64}", listed["2016"]["digest"])
