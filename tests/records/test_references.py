"""Records that rest on others: by file, by number, written out; and everything that is wrong with such a reference."""

from __future__ import annotations

import ast
import io
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

import tautbook.records
from tautbook import Shelf, judge, read_record
from tautbook.lang.limits import LIMITS
from tautbook.lang.problem import Problem, show
from tautbook.lang.values import data_at
from tautbook.records import evidence, folder
from tautbook.records.gather import gather
from tautbook.records.record import Record, content

LOT = "procedure: dti-lot\nid: {id}\ntested: 2026-04-14\nbolt: {{grade: A325, diameter: 7/8 in}}\n" \
      "indicator: {{type: 325, spaces: 5}}\n"  # fmt: skip
SHORT = LOT.replace("dti-lot", "dti-short-bolt")


def lot(id: str, more: str = "") -> str:
    return LOT.format(id=id) + more


def short(id: str, more: str = "") -> str:
    return SHORT.format(id=id) + more


def gathered(root: Path, name: str) -> tuple[Record | None, tuple[Problem, ...]]:
    ((record, problems),) = gather(str(root / name), io.BytesIO())
    return record, problems


def written(root: Path, files: Mapping[str, str]) -> Path:
    for name, text in files.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(text, encoding="utf-8")
    return root


LONG = lot("L-1", "head_held: true\n")


def as_json(id: str) -> str:
    return json.dumps({
        "procedure": "dti-lot", "id": id, "tested": "2026-04-14", "bolt": {"grade": "A325", "diameter": "7/8 in"},
        "indicator": {"type": "325", "spaces": 5}, "head_held": True,
    })  # fmt: skip


@pytest.mark.parametrize(
    "reference",
    ["long.yaml", "sub/../long.yaml", "L-1", as_json("L-1")],
    ids=["file", "way round", "number", "written out"],
)
def test_however_it_is_named_the_record_is_the_same(tmp_path: Path, reference: str) -> None:
    record, problems = gathered(
        written(tmp_path, {"long.yaml": LONG, "sub/x.txt": "",
                           "short.yaml": short("S-1", f"evidence: {{long_bolt: {reference}}}\n")}),
        "short.yaml",
    )  # fmt: skip
    assert record is not None, [show(problem) for problem in problems]
    assert record.evidence["long_bolt"].id == "L-1"
    assert content(record.shaped)["evidence"]["long_bolt"]["head_held"] is True
    alone, _ = gathered(written(tmp_path, {"whole.json": json.dumps(content(record.shaped))}), "whole.json")
    assert alone is not None and alone.digest == record.digest
    assert record.evidence["long_bolt"].digest == gathered(tmp_path, "long.yaml")[0].digest  # type: ignore[union-attr]


def test_a_number_is_found_in_folders_below_and_in_json_lines(tmp_path: Path) -> None:
    files = {"below/more.jsonl": f"{as_json('L-7')}\n", "s.yaml": short("S-1", "evidence: {long_bolt: L-7}\n")}
    record, _ = gathered(written(tmp_path, files), "s.yaml")
    assert record is not None and record.evidence["long_bolt"].id == "L-7"


def test_the_fields_and_the_verdict_of_another_record_can_be_read(tmp_path: Path) -> None:
    examples = Path(tautbook.records.__file__).parents[3] / "rulesets" / "tern-sound" / "examples"
    edition = Shelf.default().edition("tern-sound", "2025")
    verdict = judge(read_record(examples / "0603-fail-nut-does-not-run-load-low.yaml"), edition)
    reading = data_at(verdict.observed.group, "evidence.rotational_capacity.verdict")
    assert reading is not None and (reading.path, reading.written) == (  # type: ignore[union-attr]
        "evidence.rotational_capacity.verdict", "pass"
    )  # fmt: skip
    earlier = Shelf.default().edition("tern-sound", "2016")
    verdict = judge(read_record(examples / "0603-fail-nut-does-not-run-load-low.yaml"), earlier)
    assert set(verdict.evidence) == {"long_bolt"}
    assert data_at(verdict.observed.group, "evidence.rotational_capacity.bolt.lot") is not None
    assert data_at(verdict.observed.group, "evidence.rotational_capacity.verdict") is None


@dataclass(frozen=True)
class Case:
    files: Mapping[str, str]
    shown: str
    judged: str = "s.yaml"


def on_long(reference: str) -> str:
    return short("S-1", f"evidence: {{long_bolt: {reference}}}\n")


CASES = {
    "evidence-missing": Case({"s.yaml": on_long("long.yaml")}, """\
s.yaml:6:23: evidence-missing: there is no file `long.yaml`
  6 | evidence: {long_bolt: long.yaml}
    |                       ^^^^^^^^^
  help: the name counts from the folder of this record
"""),
    "evidence-missing-number": Case({"s.yaml": on_long("L-9"), "long.yaml": LONG}, """\
s.yaml:6:23: evidence-missing: no record in this folder has the number L-9
  6 | evidence: {long_bolt: L-9}
    |                       ^^^
  help: check the number, or name the file of the record
"""),
    "evidence-outside": Case({"in/s.yaml": on_long("../long.yaml"), "long.yaml": LONG}, """\
s.yaml:6:23: evidence-outside: this file lies outside of the folder that was named
  6 | evidence: {long_bolt: ../long.yaml}
    |                       ^^^^^^^^^^^^
  help: copy it beside this record, or name a folder that holds both
""", "in/s.yaml"),
    "evidence-outside-absolute": Case({"s.yaml": on_long("/etc/hostname.yaml")}, """\
s.yaml:6:23: evidence-outside: this file lies outside of the folder that was named
  6 | evidence: {long_bolt: /etc/hostname.yaml}
    |                       ^^^^^^^^^^^^^^^^^^
  help: copy it beside this record, or name a folder that holds both
"""),
    "evidence-twice": Case({"s.yaml": on_long("L-1"), "a.yaml": LONG, "b.yaml": LONG}, """\
s.yaml:6:23: evidence-twice: more than one record has the number L-1: in a.yaml and b.yaml
  6 | evidence: {long_bolt: L-1}
    |                       ^^^
  help: name the file of the one that is meant
"""),
    "evidence-procedure": Case({"s.yaml": on_long("b.yaml"), "b.yaml": short("S-2")}, """\
s.yaml:6:23: evidence-procedure: `evidence.long_bolt` is a record of `dti-lot`, and S-2 is one of `dti-short-bolt`
  6 | evidence: {long_bolt: b.yaml}
    |                       ^^^^^^
  help: name the record that is meant
"""),
    "empty-value": Case({"s.yaml": on_long("")}, """\
s.yaml:6:12: empty-value: nothing is written after `long_bolt:`
  6 | evidence: {long_bolt: }
    |            ^^^^^^^^^
  help: name its file, give its number, or write its fields below
"""),
    "one-value-expected": Case({"s.yaml": on_long("[L-1]")}, """\
s.yaml:6:23: one-value-expected: `long_bolt` is one record
  6 | evidence: {long_bolt: [L-1]}
    |                       ^^^^^
  help: name its file, give its number, or write its fields below
"""),
    "evidence-unusable": Case({"s.yaml": on_long("L-1"), "long.yaml": LONG + "wrench: foot\n"}, """\
long.yaml:7:9: unknown-word: `foot` is not one of the words for `wrench`
  7 | wrench: foot
    |         ^^^^
  help: the words here: hand, hand with extension, torque multiplier, impact, electric, hydraulic
s.yaml:6:23: evidence-unusable: the record named in `evidence.long_bolt` cannot be used
  6 | evidence: {long_bolt: L-1}
    |                       ^^^
  help: its own problems are told beside
"""),
    "evidence-circle-itself": Case({"s.yaml": lot("L-1", "evidence: {earlier: L-1}\n")}, """\
s.yaml:6:21: evidence-circle: L-1 rests on itself
  6 | evidence: {earlier: L-1}
    |                     ^^^
  help: leave one of the references out
"""),
    "evidence-circle": Case({"s.yaml": lot("L-1", "evidence: {earlier: t.yaml}\n"),
                             "t.yaml": lot("L-2", "evidence: {earlier: s.yaml}\n")}, """\
s.yaml:6:21: evidence-unusable: the record named in `evidence.earlier` cannot be used
  6 | evidence: {earlier: t.yaml}
    |                     ^^^^^^
  help: its own problems are told beside
t.yaml:6:21: evidence-circle: L-1 and L-2 rest on each other
  6 | evidence: {earlier: s.yaml}
    |                     ^^^^^^
  help: leave one of the references out
"""),
    "one-record": Case({"s.yaml": on_long("many.jsonl"),
                        "many.jsonl": (as_json("L-1") + "\n") * 2}, """\
s.yaml:6:23: one-record: `many.jsonl` holds 2 records, and one is meant
  6 | evidence: {long_bolt: many.jsonl}
    |                       ^^^^^^^^^^
  help: give the number of the record instead
"""),
}  # fmt: skip


@pytest.mark.parametrize(
    "top",
    ['id: "TS\\u002d0401"', '"\\u0069d": TS-0401', "? id\n: TS-0401", f"id: # {'long ' * 60}\n  TS-0401",
     "gauge: {id: G-2}\nid: TS-0401", "'id': TS-0401  # the number"],
)
def test_a_number_is_found_however_it_is_written(tmp_path: Path, top: str) -> None:
    other = LOT.format(id="X").replace("id: X", top)
    record, problems = gathered(written(tmp_path, {"s.yaml": on_long("TS-0401"), "other.yaml": other}), "s.yaml")
    assert record is not None, [show(problem) for problem in problems]
    assert record.evidence["long_bolt"].id == "TS-0401"


@pytest.mark.parametrize("number", ["TS/0401", "A: B", "0217", "1.10", "TS#401", 'a "b", c'])
def test_a_number_may_be_any_text(tmp_path: Path, number: str) -> None:
    text = json.dumps(number)
    record, problems = gathered(
        written(tmp_path, {"s.yaml": on_long(text), "other.yaml": lot(text)}), "s.yaml"
    )  # fmt: skip
    assert record is not None, [show(problem) for problem in problems]
    assert record.evidence["long_bolt"].id == number


@pytest.mark.parametrize(
    "text", ["- id: L-1", "a: {id: L-1}", "x: [id, L-1]", "b: {c: 1}\nid: [L-1]", "&", "id", "{" * 40,
             "id: L-2\nid: L-1", 'a: "\\UFFFFFFFF"\nid: L-1', "%YAML 1." + "9" * 5000 + "\nid: L-1"],
)  # fmt: skip
def test_what_is_no_number_is_not_taken_for_one(tmp_path: Path, text: str) -> None:
    (problem,) = gathered(written(tmp_path, {"s.yaml": on_long("L-1"), "other.yaml": text}), "s.yaml")[1]
    assert problem.code == "evidence-missing"


def test_of_lines_only_the_one_that_is_meant_is_read(tmp_path: Path) -> None:
    lines = f"{as_json('L-1')}\nno json\n[1]\n{as_json('L-2')}\n{as_json('L-3')}\n"
    record, _ = gathered(written(tmp_path, {"s.yaml": on_long("L-2"), "more.jsonl": lines}), "s.yaml")
    assert record is not None and record.evidence["long_bolt"].file.endswith("more.jsonl line 4")


def test_links_that_lead_to_themselves_are_no_files(tmp_path: Path) -> None:
    written(tmp_path, {"s.yaml": on_long("loop.yaml"), "t.yaml": on_long("loop/x"), "u.yaml": on_long("loop/x.yaml")})
    (tmp_path / "loop.yaml").symlink_to(tmp_path / "loop.yaml")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    for name in ("s.yaml", "t.yaml", "u.yaml"):
        assert [problem.code for problem in gathered(tmp_path, name)[1]] == ["evidence-missing"]


def test_many_records_may_rest_on_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(folder, "_KEPT", 1)
    files = {f"s{n}.yaml": short(f"S-{n}", f"evidence: {{long_bolt: L-{n % 2}}}\n") for n in range(4)}
    written(tmp_path, {**files, "a.yaml": lot("L-0"), "b.yaml": lot("L-1")})
    found = [record for record, _ in gather(str(tmp_path), io.BytesIO()) if record is not None and record.evidence]
    assert [record.evidence["long_bolt"].id for record in found] == ["L-0", "L-1", "L-0", "L-1"]


@pytest.mark.parametrize("name", CASES)
def test_what_is_wrong_with_a_reference(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    case = CASES[name]
    written(tmp_path, case.files)
    monkeypatch.chdir((tmp_path / case.judged).parent)
    ((record, problems),) = gather(Path(case.judged).name, io.BytesIO())
    assert record is None
    assert "".join(f"{show(problem)}\n" for problem in problems) == case.shown


def test_a_record_from_elsewhere_can_name_no_other() -> None:
    ((record, problems),) = gather("-", io.BytesIO(on_long("L-1").encode()))
    assert record is None
    assert [problem.code for problem in problems] == ["evidence-no-folder"]


def test_what_a_link_leads_to_outside_is_not_read(tmp_path: Path) -> None:
    root = written(tmp_path, {"in/s.yaml": on_long("link.yaml"), "in/t.yaml": on_long("L-1"), "long.yaml": LONG}) / "in"
    (root / "link.yaml").symlink_to(tmp_path / "long.yaml")
    assert [problem.code for problem in gathered(root, "s.yaml")[1]] == ["evidence-outside"]
    assert [problem.code for problem in gathered(root, "t.yaml")[1]] == ["evidence-missing"]


def chain(length: int) -> str:
    """A record that rests on one that rests on ..., written out."""
    text = lot(f"L-{length}")
    for n in reversed(range(length)):
        inside = "".join(f"    {line}\n" for line in text.splitlines())
        text = lot(f"L-{n}", f"retest_of: L-{n + 1}\nevidence:\n  earlier:\n{inside}")
    return text


def test_records_rest_on_each_other_so_deep_and_no_deeper(tmp_path: Path) -> None:
    assert gathered(written(tmp_path, {"s.yaml": chain(LIMITS.evidence)}), "s.yaml")[1] == ()
    (problem,) = gathered(written(tmp_path, {"s.yaml": chain(LIMITS.evidence + 1)}), "s.yaml")[1]
    assert (problem.code, problem.message) == ("evidence-deep", "records rest on each other more than 4 deep")


def test_a_deep_chain_is_judged_to_its_end(tmp_path: Path) -> None:
    written(tmp_path, {"s.yaml": chain(LIMITS.evidence)})
    verdict = judge(read_record(tmp_path / "s.yaml"), Shelf.default().edition("tern-sound", "2025"))
    deepest = "evidence.earlier.evidence.earlier.evidence.earlier.evidence.earlier.id"
    found = data_at(verdict.observed.group, deepest)
    assert found is not None and (found.path, found.written) == (deepest, "L-4")  # type: ignore[union-attr]


def test_a_large_folder_is_not_looked_through(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(folder, "LIMITS", replace(LIMITS, files=1))
    (problem,) = gathered(written(tmp_path, {"s.yaml": on_long("L-1"), "long.yaml": LONG}), "s.yaml")[1]
    assert problem.code == "folder-large"


def test_every_code_has_a_case() -> None:
    shown = "".join(case.shown for case in CASES.values())
    elsewhere = {"evidence-no-folder", "evidence-deep", "folder-large", "file-unreadable"}
    codes = elsewhere | set(re.findall(r":\d+:\d+: ([a-z-]+): ", shown))
    found = set()
    for module in (evidence, folder):
        for node in ast.walk(ast.parse(Path(module.__file__ or "").read_text(encoding="utf-8"))):
            match node:
                case ast.Call(func=ast.Name(id="Problem"), args=[ast.Constant(value=str(code)), *_]):
                    found.add(code)
    assert found <= codes
