"""One bad file for each problem code of the shape stage, with the exact text that people are shown.

``tests/mistakes/shape/<code>[-more].yaml|json`` beside ``.txt``. A file with `ruleset` in it is an edition.
``TAUTBOOK_REWRITE=1`` writes what is missing or different, to be read before it is committed.
"""

from __future__ import annotations

import ast
import os
from pathlib import Path

import pytest
from shape_samples import shaped_text

import tautbook.shape.convert as convert_module
from tautbook.lang.problem import Problem, show

FOLDER = Path(__file__).parents[1] / "mistakes" / "shape"
BAD = sorted(path for path in FOLDER.iterdir() if path.suffix in {".yaml", ".json"})


def problems_of(path: Path) -> tuple[Problem, ...]:
    text = path.read_text(encoding="utf-8")
    schema = "edition" if "ruleset" in text else "records/dti-lot"
    shaped, problems = shaped_text(text, schema, path.name)
    assert shaped is None
    return problems


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_shown_exactly(path: Path) -> None:
    shown = "".join(show(problem) + "\n" for problem in problems_of(path)).encode()
    expected = path.with_suffix(".txt")
    if os.environ.get("TAUTBOOK_REWRITE") and (not expected.exists() or expected.read_bytes() != shown):
        expected.write_bytes(shown)
    assert shown == expected.read_bytes()


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_messages_keep_to_the_conventions(path: Path) -> None:
    problems = problems_of(path)
    assert any(path.stem == problem.code or path.stem.startswith(f"{problem.code}-") for problem in problems)
    for problem in problems:
        assert problem.span is not None
        assert not problem.message.endswith(".") and not problem.message[0].isupper()
        for word in ("object", "array", "string", "null", "None", "dict", "'"):
            assert word not in f"{problem.message} {problem.help}".split(), (word, problem)


def test_each_code_of_the_stage_has_a_bad_file() -> None:
    folder = Path(convert_module.__file__).parent
    codes = set()
    for source in folder.glob("*.py"):
        for node in ast.walk(ast.parse(source.read_text(encoding="utf-8"))):
            match node:
                case ast.Call(func=ast.Name(id="Problem"), args=[ast.Constant(value=code), *_]):
                    codes.add(code)
    shown = {problem.code for path in BAD for problem in problems_of(path)}
    assert len(codes) > 15
    assert codes <= shown
