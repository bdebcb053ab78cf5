"""The table of worked records by edition, made from what the engine says of them now.

``TAUTBOOK_REWRITE=1`` writes it anew, to be read.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
import yaml

from tautbook import Shelf, judge, read_record
from tautbook.api import Edition, Unusable
from tautbook.shape.vocabulary import vocabulary

RULESETS = sorted(path.parent for path in (Path(__file__).parents[1] / "rulesets").glob("*/verdicts.yaml"))
WORDS = ("pass", "fail", "invalid", "incomplete", "no rules")


@cache
def editions(ruleset: Path) -> tuple[Edition, ...]:
    names = sorted(path.stem for path in ruleset.glob("*.yaml") if path.stem not in ("verdicts", "enacted"))
    return tuple(Shelf.default().edition(ruleset.name, name) for name in names)


def verdict_of(file: Path, edition: Edition) -> str:
    try:
        return judge(read_record(file), edition).verdict
    except Unusable as error:
        assert error.problems[0].code == "procedure-not-in-edition"
        return "no rules"


def table(ruleset: Path) -> Iterator[str]:
    stated = yaml.safe_load((ruleset / "verdicts.yaml").read_text(encoding="utf-8"))
    names = [edition.edition for edition in editions(ruleset)]
    yield f"# Worked records of {ruleset.name} by edition"
    yield ""
    yield "What each edition says of each record of the folder `examples`, worked out from the records and checked by"
    yield "the tests against `verdicts.yaml`, which was written by hand. All of it is invented."
    counts = {name: Counter[str]() for name in names}
    procedure = None
    for file in sorted((ruleset / "examples").glob("*.yaml")):
        record = read_record(file)
        if record.procedure != procedure:
            procedure = record.procedure
            words = vocabulary(procedure)
            assert words is not None
            yield ""
            yield f"## {words.title}"
            yield ""
            yield f"| record | {' | '.join(names)} | why |"
            yield f"| --- | {' | '.join('---' for _ in names)} | --- |"
        verdicts = {edition.edition: verdict_of(file, edition) for edition in editions(ruleset)}
        for name, verdict in verdicts.items():
            counts[name][verdict] += 1
        whys = dict.fromkeys((said["why"], tuple(said["under"])) for said in stated[file.name])
        single = len(whys) == 1
        why = "; ".join(text if single else f"{', '.join(under)}: {text}" for text, under in whys)
        yield f"| `{file.stem}` | {' | '.join(verdicts[name] for name in names)} | {why} |"
    yield ""
    yield "## For the boundaries"
    yield ""
    lines = [path.read_text(encoding="utf-8").count("\n") for path in (ruleset / "boundaries/examples").iterdir()]
    yield f"{sum(lines)} more records, in the folder `boundaries`, were made for the limits of the editions: at a"
    yield "limit, one step of the reading to either side of it, without the reading. What is stated of them is what"
    yield "each edition gave, not what somebody worked out; they are not counted here."
    yield ""
    yield "## How many"
    yield ""
    yield f"| verdict | {' | '.join(names)} |"
    yield f"| --- | {' | '.join('---:' for _ in names)} |"
    for word in WORDS:
        yield f"| {word} | {' | '.join(str(counts[name][word]) for name in names)} |"


@pytest.mark.parametrize("ruleset", RULESETS, ids=lambda path: path.name)
def test_the_table_is_what_the_engine_says(ruleset: Path) -> None:
    found = "".join(f"{line}\n" for line in table(ruleset))
    kept = ruleset / "worked-records.md"
    if os.environ.get("TAUTBOOK_REWRITE"):
        kept.write_text(found, encoding="utf-8")
    assert found == kept.read_text(encoding="utf-8")
