"""One bad file for each problem code of editions and of records, with the exact text that people are shown.

``editions/`` and ``records/``: ``<code>[-more].yaml`` beside ``.expected``, each one slip away from the good
``edition.yaml``, by which records are judged, or from a good record. ``TAUTBOOK_REWRITE=1`` writes new texts.
"""

from __future__ import annotations

import ast
import os
import re
from dataclasses import replace
from pathlib import Path

import pytest

import tautbook
from tautbook import Shelf
from tautbook.editions import procedures as reading_procedures
from tautbook.editions.edition import Edition
from tautbook.editions.read import read_edition
from tautbook.judging import verdict as judging
from tautbook.lang.limits import LIMITS
from tautbook.lang.problem import Problem, show
from tautbook.records.evidence import with_evidence
from tautbook.records.read import read_records
from tautbook.shape.schemas import procedures
from tautbook.shape.vocabulary import vocabulary

FOLDER = Path(__file__).parent
BAD = sorted([*(FOLDER / "editions").glob("*.yaml"), *(FOLDER / "records").glob("*.yaml")])
GOOD = (FOLDER / "edition.yaml").read_bytes()
RECORD = (FOLDER / "record.yaml").read_bytes()

ELSEWHERE = {
    "requirements-many": "made below, a file of thousands of requirements",
    "terms-deep": "made below, a file of hundreds of terms",
    "terms-steps": "made below",
    "file-large": "held in test_reading_mistakes.py, by a smaller limit",
    "file-unreadable": "a file that cannot be opened has no text",
    "steps-many": "made below, with a smaller limit",
    "evidence-unusable": "held in tests/records/test_references.py and tests/judging/test_evidence.py",
    "table-large": "held in tests/cli/test_huge.py",
    "covers-large": "held in tests/cli/test_huge.py",
    "procedure-not-in-edition": "made below, of an edition without procedures",
}

ELSEWHERE_TESTED = {
    "shelf", "gather", "given", "evidence", "folder", "amend", "enacted", "table", "table_cells", "table_csv",
    "table_excel", "table_file", "table_headings", "table_package", "table_parts", "table_sheet",
    "table_trees",
}  # fmt: skip
"""What is given on the command line, what lies in folders or in other editions, and tables: with tests of their own."""


def edition() -> Edition:
    found, problems = read_edition(GOOD, "edition.yaml")
    assert found is not None, problems
    return found


def problems_of_record(data: bytes, name: str, by: Edition) -> tuple[Problem, ...]:
    ((record, problems),) = read_records(data, name)
    if record is not None and record.procedure == "dti-installed":
        by = Shelf.default().edition("tern-sound", "2025")
    if record is not None:
        record, problems = with_evidence(record, None)
    return problems if record is None else judging.judge_record(record, by)[1]


def problems_of(path: Path) -> tuple[Problem, ...]:
    if path.parent.name == "editions":
        return read_edition(path.read_bytes(), path.name)[1]
    return problems_of_record(path.read_bytes(), path.name, edition())


def named(path: Path) -> str:
    return f"{path.parent.name}/{path.stem}"


def test_the_good_files_are_good() -> None:
    assert problems_of_record(RECORD, "record.yaml", edition()) == ()


@pytest.mark.parametrize("path", BAD, ids=named)
def test_shown_exactly(path: Path) -> None:
    shown = "".join(show(problem) + "\n" for problem in problems_of(path)).encode()
    expected = path.with_suffix(".expected")
    if os.environ.get("TAUTBOOK_REWRITE") and (not expected.exists() or expected.read_bytes() != shown):
        expected.write_bytes(shown)
    assert shown == expected.read_bytes()


@pytest.mark.parametrize("path", BAD, ids=named)
def test_messages_keep_to_the_conventions(path: Path) -> None:
    problems = problems_of(path)
    assert any(path.stem == problem.code or path.stem.startswith(f"{problem.code}-") for problem in problems)
    for problem in problems:
        assert problem.span is not None
        assert not problem.message.endswith(".") and not problem.message[0].isupper()
        assert not re.search(r"\b(Error|scalar|dict|str|tuple)\b", problem.message)


def with_terms(terms: list[str]) -> bytes:
    return GOOD.replace(b"terms:\n", "\n".join(["terms:", *terms, ""]).encode())


def codes(data: bytes) -> list[str]:
    return [problem.code for problem in read_edition(data, "x.yaml")[1]]


def test_terms_stand_so_deep_and_no_deeper() -> None:
    def chain(length: int) -> bytes:
        calls = [f"  t{n}: {{title: t, is: t{n - 1} + 1}}" for n in range(1, length)]
        return with_terms(["  t0: {title: t, is: 1 + 1}", *calls])

    assert codes(chain(20)) == []
    assert set(codes(chain(LIMITS.terms_depth + 1))) == {"terms-deep"}


def test_terms_take_so_many_steps_and_no_more() -> None:
    def doubling(length: int) -> bytes:
        calls = [f"  t{n}: {{title: t, is: t{n - 1} + t{n - 1}}}" for n in range(1, length)]
        return with_terms(["  t0: {title: t, is: 1 + 1}", *calls])

    assert codes(doubling(8)) == []
    assert codes(doubling(20)) == ["terms-steps"]


def test_so_many_requirements_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    def many(number: int) -> bytes:
        more = "".join(f"      r{n}: {{title: r, kind: advice, absent: no}}\n" for n in range(1, number))
        return GOOD + more.replace("absent: no", 'require: "yes"').encode()

    monkeypatch.setattr(reading_procedures, "LIMITS", replace(LIMITS, requirements=5))
    assert codes(many(5)) == []
    assert codes(many(6)) == ["requirements-many"]


def test_judging_takes_so_many_steps_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(judging, "LIMITS", replace(LIMITS, steps=10))
    (problem,) = problems_of_record(RECORD, "record.yaml", edition())
    assert problem.code == "steps-many" and problem.help == "split the record"


def test_an_edition_without_rules_for_the_procedure() -> None:
    (problem,) = problems_of_record(RECORD, "record.yaml", replace(edition(), procedures={}))
    assert problem.code == "procedure-not-in-edition"
    assert problem.message == "sound@1 has no rules for `dti-lot`"
    assert problem.span is not None and problem.span.text == "dti-lot"


def codes_in_source() -> set[str]:
    """Every code that stands first in a call that makes a problem, and those of what no real test shows."""
    found: set[str] = set()
    engine = Path(tautbook.__file__).parent
    for folder in ("lang", "shape", "editions", "records", "judging"):
        for source in (engine / folder).glob("*.py"):
            if folder in {"editions", "records"} and source.stem in ELSEWHERE_TESTED:
                continue
            for node in ast.walk(ast.parse(source.read_text(encoding="utf-8"))):
                match node:
                    case ast.Call(
                        func=ast.Name(id=name) | ast.Attribute(attr=name), args=[ast.Constant(value=str(code)), *_]
                    ) if name in {"Problem", "Mistake", "add", "fail"}:
                        found.add(code)
    for procedure in procedures():
        words = vocabulary(procedure)
        assert words is not None
        found |= {sound.id for sound in words.sound}
    return found


def test_every_code_has_a_bad_file() -> None:
    shown = {path.stem for path in FOLDER.glob("*/*.*")}
    found = codes_in_source()
    assert len(found) > 70
    missing = {code for code in found if not any(each == code or each.startswith(f"{code}-") for each in shown)}
    assert missing == ELSEWHERE.keys()
