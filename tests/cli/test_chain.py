"""A chain of national standard, agency and the special provision of one contract, in the job's own folder."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tautbook import Shelf
from tautbook.cli.group import tautbook

RULESETS = Path(__file__).parents[2] / "rulesets"
RECORD = RULESETS / "tern-sound" / "examples" / "0401-pass-seven-eighths.yaml"


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(tautbook, [str(each) for each in arguments])


@pytest.fixture
def contract(tmp_path: Path) -> Path:
    """The provision in ``job/rules``, the agency's edition in ``rules``; a shipped edition is the national standard."""
    agency = tmp_path / "rules" / "wren-bay" / "2022.yaml"
    agency.parent.mkdir(parents=True)
    base = Shelf.default().edition("tern-sound", "2016").digest
    agency.write_text(
        "ruleset: wren-bay\nedition: 2022\nlanguage: 1\ntitle: Wren Bay bolting provisions\n"
        f"amends: {{ruleset: tern-sound, edition: 2016, digest: {base}}}\n"
        "tables:\n  refusals_before_tension:\n    title: most refusals\n    by: [{key: indicator.spaces}]\n"
        "    source: {of: ts, clause: Table 2}\n    rows: {4: 1, 5: 1, 6: 1, 7: 2, 8: 2, 9: 3}\n"
        "    why: stricter on our coast\n"
    )
    last = tmp_path / "job" / "rules" / "special.yaml"
    last.parent.mkdir(parents=True)
    digest = Shelf.default(tmp_path / "rules").edition("wren-bay", "2022").digest
    last.write_text(
        "ruleset: wren-creek-bridge\nedition: 1\nlanguage: 1\ntitle: Special provision 12\n"
        f"amends: {{ruleset: wren-bay, edition: 2022, digest: {digest}}}\n"
        "terms:\n  verification_tension:\n    title: verification tension\n    clause: SP 12\n    why: longer spans\n"
        "    is: printed_verification_tension[bolt.grade, bolt.diameter] + 1 kip\n"
    )
    return last


def layers(told: Result) -> dict[str, str | None]:
    """The layer of each table and term that a limit of a verdict came from; None is the provision itself."""
    found = {}
    for finding in json.loads(told.stdout)["findings"]:
        for compared in finding["comparisons"]:
            for origin in (compared["limit"] or {}).get("from", ()):
                if "table" in origin or "term" in origin:
                    found[origin.get("table") or origin["term"]] = origin.get("layer")
    return found


def test_a_draft_layer_of_a_job_is_used_on_purpose_and_each_figure_knows_its_layer(contract: Path) -> None:
    folders = ["--rulesets", contract.parents[2] / "rules"]
    for command in (["judge", RECORD], ["limits", "--procedure", "dti-lot"]):
        refused = run(*command, "--under", contract, *folders)
        assert refused.exit_code == 2 and "draft: wren-creek-bridge@1 is a draft" in refused.stderr
    judged = run("judge", RECORD, "--under", contract, *folders, "--draft", "--format", "json")
    rules = json.loads(judged.stdout)["rules"]
    assert [layer["name"] for layer in rules["layers"]] == ["tern-sound@2016", "wren-bay@2022"]
    assert rules["enacted"] is False
    assert layers(judged) == {
        "verification_tension": None,
        "printed_verification_tension": "tern-sound@2016",
        "highest_tension": "tern-sound@2016",
        "fewest_refusals_in_the_work": "tern-sound@2016",
        "refusals_before_tension": "wren-bay@2022",
    }
    text = " ".join(run("judge", RECORD, "--under", contract, *folders, "--draft").stdout.split())
    assert "amends tern-sound@2016" in text and "amends wren-bay@2022" in text
    limits = " ".join(run("limits", "--record", RECORD, "--under", contract, *folders, "--draft").stdout.split())
    assert "42 kip" in limits and "wren-bay@2022" in limits and "tern-sound@2016" in limits
    shown = " ".join(run("shelf", "--show", contract, *folders).stdout.split())
    assert "Special provision 12" in shown and "wren-bay@2022" in shown and "SP 12" in shown


def test_a_layer_of_a_job_is_enacted_beside_it_once_those_below_are(contract: Path) -> None:
    folders = ["--rulesets", contract.parents[2] / "rules"]
    assert "enact-on-draft: wren-bay@2022" in run("enact", contract, "--by", "M. Ito", *folders).stderr
    assert run("enact", "wren-bay@2022", "--by", "J. Orr", "--on", "2022-01-05", *folders).exit_code == 0
    told = run("enact", contract, "--by", "M. Ito", "--on", "2026-03-01", *folders)
    assert told.exit_code == 0 and told.stdout.startswith("wren-creek-bridge@1 is enacted, m1:")
    assert contract.with_name("enacted.yaml").is_file()
    judged = run("judge", RECORD, "--under", contract, *folders)
    assert judged.exit_code == 1 or judged.exit_code == 0
    assert "enacted on 2026-03-01 by M. Ito" in " ".join(judged.stdout.split())
    contract.write_text(contract.read_text().replace("+ 1 kip", "+ 2 kip"))
    assert "enacted-changed: wren-creek-bridge@1" in run("judge", RECORD, "--under", contract, *folders).stderr


def test_without_the_agency_at_hand_the_layer_that_is_wanting_is_told(contract: Path) -> None:
    told = run("judge", RECORD, "--under", contract, "--draft")
    assert told.exit_code == 2 and "amends-unknown: wren-bay@2022, which this amends, is not at hand" in told.stderr
    assert "--rulesets" in told.stderr
