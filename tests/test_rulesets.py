"""Every shipped edition and worked record is well formed, and every rule in an edition parses."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
import yaml

from tautbook import Shelf, judge, read_record
from tautbook.api import Edition, Unusable
from tautbook.judging.verdict import judge_record
from tautbook.lang.parse import parse
from tautbook.lang.problem import show
from tautbook.lang.reading import read_text, read_tree
from tautbook.records.evidence import with_evidence
from tautbook.records.read import read_record_lines
from tautbook.shape.convert import shape
from tautbook.shape.schemas import load_schema
from tautbook.shape.shaped import Shaped, ShapedList, ShapedMap, ShapedValue

RULESETS = Path(__file__).parents[1] / "rulesets"
EDITIONS = sorted(path for path in RULESETS.glob("*/*.yaml") if path.stem not in ("verdicts", "enacted"))
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


def is_amendment(path: Path) -> bool:
    return "\namends:" in path.read_text(encoding="utf-8")


@pytest.mark.parametrize("path", [path for path in EDITIONS if not is_amendment(path)], ids=lambda path: path.stem)
def test_an_edition_is_well_formed_and_its_rules_parse(path: Path) -> None:
    found = rules(shaped(path, "edition"))
    assert len(found) > 30
    for rule in found:
        expression, problems = parse(rule.scalar)
        assert expression is not None, [show(problem) for problem in problems]


STATED = [
    (path.parent, file, edition, said["verdict"])
    for path in sorted(RULESETS.glob("*/verdicts.yaml"))
    for file, statements in yaml.safe_load(path.read_text(encoding="utf-8")).items()
    for said in statements
    for edition in said["under"]
]


@cache
def edition_of(ruleset: str, edition: str) -> Edition:
    return Shelf.default().edition(ruleset, edition)


@pytest.mark.parametrize(
    ("ruleset", "file", "edition", "verdict"), STATED, ids=[f"{each[1][:4]}-{each[2]}" for each in STATED]
)
def test_a_worked_record_gets_its_stated_verdict(ruleset: Path, file: str, edition: str, verdict: str) -> None:
    record, rules = read_record(ruleset / "examples" / file), edition_of(ruleset.name, edition)
    if verdict == "no rules":
        with pytest.raises(Unusable, match="procedure-not-in-edition"):
            judge(record, rules)
        return
    found = judge(record, rules)
    assert found.verdict == verdict
    assert verdict == "incomplete" or found.could_be == (verdict,)


def test_every_worked_record_has_one_stated_verdict_under_every_edition() -> None:
    stated = [(ruleset / "examples" / file, edition) for ruleset, file, edition, _ in STATED]
    editions = {(path.parent, path.stem) for path in EDITIONS}
    wanted = [(path, edition) for path in RECORDS for ruleset, edition in editions if ruleset == path.parents[1]]
    assert sorted(stated) == sorted(wanted)
    assert len(RECORDS) >= 100


MADE = sorted(RULESETS.glob("*/boundaries/examples/*.jsonl"))
"""Records made for the boundaries of the editions, one a line."""


def test_each_record_made_for_boundaries_has_one_verdict_under_every_edition_and_gets_it() -> None:
    for file in MADE:
        ruleset = file.parents[2]
        names = sorted(path.stem for path in EDITIONS if path.parent == ruleset)
        stated = yaml.safe_load((file.parents[1] / "verdicts.yaml").read_text(encoding="utf-8"))[file.name]
        said = [(number, edition, each["verdict"]) for each in stated for number in each["records"]
                for edition in each["under"]]  # fmt: skip
        given = []
        for record, problems in read_record_lines(file.read_bytes().splitlines(), file.name):
            assert record is not None, [show(problem) for problem in problems]
            whole, _ = with_evidence(record, None)
            assert whole is not None
            for name in names:
                verdict, problems = judge_record(whole, edition_of(ruleset.name, name))
                no_rules = [problem.code for problem in problems] == ["procedure-not-in-edition"]
                given.append((record.id, name, "no rules" if no_rules or verdict is None else verdict.verdict))
        assert sorted(said) == sorted(given)
    assert MADE


def test_what_was_not_stated_by_hand_says_so() -> None:
    for file in RULESETS.glob("*/boundaries/verdicts.yaml"):
        stated = yaml.safe_load(file.read_text(encoding="utf-8"))
        whys = {each["why"] for statements in stated.values() for each in statements}
        assert whys <= {"given by the edition, not stated by hand", "the edition knows no such test"}


def test_the_editions_differ_where_the_records_say_so() -> None:
    """What the worked records are for: each way in which two editions part is shown by one of them at least."""
    by_record: dict[str, dict[str, str]] = {}
    for _, file, edition, verdict in STATED:
        by_record.setdefault(file, {})[edition] = verdict
    seen = {tuple(verdicts[edition] for edition in ("2016", "2021", "2025")) for verdicts in by_record.values()}
    assert {
        ("pass", "fail", "fail"), ("pass", "pass", "fail"), ("fail", "fail", "pass"), ("fail", "invalid", "invalid"),
        ("pass", "invalid", "invalid"), ("pass", "pass", "invalid"), ("invalid", "invalid", "pass"),
        ("invalid", "pass", "pass"), ("pass", "pass", "incomplete"), ("pass", "incomplete", "incomplete"),
        ("incomplete", "incomplete", "pass"), ("no rules", "no rules", "pass"),
    } <= seen  # fmt: skip


@pytest.mark.parametrize("path", [*EDITIONS, *RECORDS], ids=lambda path: path.stem)
def test_an_editor_finds_the_schema_from_the_first_line(path: Path) -> None:
    first = path.read_text(encoding="utf-8").splitlines()[0]
    assert first.startswith("# yaml-language-server: $schema=")
    schema = path.parent / first.partition("=")[2]
    assert schema.resolve() in {each.resolve() for each in RULESETS.parent.glob("schemas/**/*.schema.json")}
