"""Every shipped edition and worked record is well formed, and every rule in an edition parses."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from tautbook import Shelf, judge, read_record
from tautbook.lang.parse import parse
from tautbook.lang.problem import show
from tautbook.lang.reading import read_text, read_tree
from tautbook.shape.convert import shape
from tautbook.shape.schemas import load_schema
from tautbook.shape.shaped import Shaped, ShapedList, ShapedMap, ShapedValue

RULESETS = Path(__file__).parents[1] / "rulesets"
EDITIONS = sorted(path for path in RULESETS.glob("*/*.yaml") if path.stem != "verdicts")
RECORDS = sorted(RULESETS.glob("*/examples/*.yaml"))


def shaped(path: Path, schema: str) -> ShapedMap:
    source, problems = read_text(path.read_bytes(), path.name)
    assert source is not None, [show(problem) for problem in problems]
    tree, problems = read_tree(source, "yaml")
    assert tree is not None, [show(problem) for problem in problems]
    found, problems = shape(tree, load_schema(schema))
    assert isinstance(found, ShapedMap), [show(problem) for problem in problems]
    return found


def rules(node: Shaped, key: str = "") -> list[ShapedValue]:
    match node:
        case ShapedMap(entries=entries):
            return [rule for name, below in entries.items() for rule in rules(below, name)]
        case ShapedList(items=items):
            return [rule for item in items for rule in rules(item, key)]
        case ShapedValue():
            return [node] if key in {"require", "is", "when", "applies", "formula"} else []
    return []


@pytest.mark.parametrize("path", EDITIONS, ids=lambda path: path.stem)
def test_an_edition_is_well_formed_and_its_rules_parse(path: Path) -> None:
    found = rules(shaped(path, "edition"))
    assert len(found) > 30
    for rule in found:
        expression, problems = parse(rule.scalar)
        assert expression is not None, [show(problem) for problem in problems]


@pytest.mark.parametrize("path", RECORDS, ids=lambda path: path.stem)
def test_a_worked_record_is_well_formed(path: Path) -> None:
    record = shaped(path, "records/dti-lot")
    assert "specimens" in record.entries


STATED = [
    (path.parent, file, edition, said["verdict"])
    for path in sorted(RULESETS.glob("*/verdicts.yaml"))
    for file, editions in yaml.safe_load(path.read_text(encoding="utf-8")).items()
    for edition, said in editions.items()
]


@pytest.mark.parametrize(("ruleset", "file", "edition", "verdict"), STATED, ids=[each[1] for each in STATED])
def test_a_worked_record_gets_its_stated_verdict(ruleset: Path, file: str, edition: str, verdict: str) -> None:
    found = judge(read_record(ruleset / "examples" / file), Shelf.default().edition(ruleset.name, edition))
    assert found.verdict == verdict
    assert verdict == "incomplete" or found.could_be == (verdict,)


def test_every_worked_record_has_a_stated_verdict_under_every_edition() -> None:
    stated = {(ruleset / "examples" / file, edition) for ruleset, file, edition, _ in STATED}
    for record in RECORDS:
        editions = {path.stem for path in EDITIONS if path.parent == record.parents[1]}
        assert {(record, edition) for edition in editions} <= stated
    assert len(RECORDS) >= 14


@pytest.mark.parametrize("path", [*EDITIONS, *RECORDS], ids=lambda path: path.stem)
def test_an_editor_finds_the_schema_from_the_first_line(path: Path) -> None:
    first = path.read_text(encoding="utf-8").splitlines()[0]
    assert first.startswith("# yaml-language-server: $schema=")
    schema = path.parent / first.partition("=")[2]
    assert schema.resolve() in {each.resolve() for each in RULESETS.parent.glob("schemas/**/*.schema.json")}
