"""What the three editions change in effect, whole: every effect decided, every deciding record judged as it is told.

The kept texts were read by a person. The two pairs with 2025 take a solver minutes.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pytest_regressions.file_regression import FileRegressionFixture

from tautbook import Shelf, judge
from tautbook.comparing.redline import redline
from tautbook.proofreading.record_data import read_back
from tautbook.records.evidence import with_evidence
from tautbook.records.folder import Folder, records_in
from tautbook.records.record import Record
from tautbook.rendering.redline_text import redline_text

z3 = pytest.importorskip("z3")
EXAMPLES = Path(__file__).parents[2] / "rulesets" / "tern-sound" / "examples"


def at_hand() -> list[Record]:
    folder = Folder(EXAMPLES)
    found = [record for path in sorted(EXAMPLES.glob("0[4-8]*.yaml")) for record, _ in records_in(path, str(path))]
    whole = [with_evidence(record, folder)[0] for record in found if record is not None]
    assert None not in whole
    return [record for record in whole if record is not None]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("2016", "2021"), pytest.param("2021", "2025", marks=pytest.mark.slow),
        pytest.param("2016", "2025", marks=pytest.mark.slow),
    ],
)  # fmt: skip
def test_every_effect_is_decided_and_shown(old: str, new: str, file_regression: FileRegressionFixture) -> None:
    shelf = Shelf.default()
    before, after = shelf.edition("tern-sound", old), shelf.edition("tern-sound", new)
    # Formulas of some other question: a record that depended on what was asked before would be another one here.
    others = [z3.Real(f"of another question {number}") >= number for number in range(1000)]
    found = redline(before, after, at_hand())
    del others
    for effect in found.effects.effects:
        assert effect.effect != "not decided", (effect.procedure, effect.requirement, effect.scope, effect.reason)
        for record in effect.records:
            again, problems = read_back(json.dumps(record.content), "record.json")
            assert again is not None, problems
            for edition, told in ((before, record.before), (after, record.after)):
                verdict = judge(again, edition)
                assert verdict.verdict == told.verdict, record.name
                if told.finding not in (None, "not asked"):
                    outcomes = {each.outcome for each in verdict.findings if each.id == effect.requirement}
                    assert told.finding in outcomes, record.name
    text = redline_text(found)
    start = text.index("from this edition on")
    file_regression.check(text[start : text.index("\nwording:")], extension=".txt")
