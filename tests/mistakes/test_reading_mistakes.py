"""One bad file for each problem code of reading, with the exact text that people are shown.

``reading/<code>[-more].yaml|json`` beside ``.expected``. ``TAUTBOOK_REWRITE=1`` writes what is missing or
different, to be read before it is committed. Limits of size are tested at the limit and one beyond, generated.
"""

from __future__ import annotations

import ast
import os
import re
from pathlib import Path

import pytest

import tautbook.lang.reading as reading
from tautbook.lang.limits import Limits
from tautbook.lang.problem import Problem, show
from tautbook.lang.source import Source

FOLDER = Path(__file__).parent / "reading"
BAD = sorted(path for path in FOLDER.iterdir() if path.suffix in {".yaml", ".json"})
SMALL = Limits(bytes=60, depth=3, nodes=12, scalar=10, number=5, items=4)


def problems_of(path: Path) -> tuple[Problem, ...]:
    source, problems = reading.read_text(path.read_bytes(), path.name)
    if source is None:
        return problems
    tree, problems = reading.read_tree(source, "json" if path.suffix == ".json" else "yaml")
    assert tree is None
    return problems


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_shown_exactly(path: Path) -> None:
    shown = "".join(show(problem) + "\n" for problem in problems_of(path)).encode()
    expected = path.with_name(f"{path.stem}.expected")
    if os.environ.get("TAUTBOOK_REWRITE") and (not expected.exists() or expected.read_bytes() != shown):
        expected.write_bytes(shown)
    assert shown == expected.read_bytes()


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_messages_keep_to_the_conventions(path: Path) -> None:
    problems = problems_of(path)
    assert any(path.stem == problem.code or path.stem.startswith(f"{problem.code}-") for problem in problems)
    for problem in problems:
        assert problem.help
        assert not problem.message.endswith(".")
        assert not re.search(r"\b(Error|mark|token|scalar|stream|None|dict|str)\b|<[a-z]", problem.message)


OVER = {  # code -> (form, text at the limit, text one beyond)
    "file-large": ("yaml", "#" * 55 + "\na: 1", "#" * 56 + "\na: 1"),
    "too-deep": ("json", "[[[1]]]", "[[[[1]]]]"),
    "too-large": ("json", '{"a":[1,2],"b":[1,2],"c":[1]}', '{"a":[1,2],"b":[1,2],"c":[1,2]}'),
    "text-long": ("json", '"0123456789"', '"0123456789a"'),
    "number-long": ("json", "-1.25", "-1.125"),
    "list-long": ("json", "[1,2,3,4]", "[1,2,3,4,5]"),
}


@pytest.mark.parametrize("code", OVER)
def test_at_the_limit_and_one_beyond(code: str) -> None:
    form, at, beyond = OVER[code]
    forms = ["json"] if code == "number-long" else ["yaml"] if form == "yaml" else ["json", "yaml"]
    for name in forms:
        tree, problems = reading.read_tree(Source("x", at), name, SMALL)  # type: ignore[arg-type]  # a form, from OVER
        assert tree is not None and problems == ()
        tree, problems = reading.read_tree(Source("x", beyond), name, SMALL)  # type: ignore[arg-type]
        assert tree is None
        assert [problem.code for problem in problems] == [code]
    if code == "file-large":
        assert reading.read_text(at.encode(), "x", SMALL)[0] is not None
        assert [p.code for p in reading.read_text(beyond.encode(), "x", SMALL)[1]] == [code]


def codes_in_source() -> set[str]:
    """Every kebab-case word that stands where a code does: first of a call, or in a table of the faults."""
    codes: set[str] = set()
    for path in Path(reading.__file__).parent.glob("reading*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            match node:
                case ast.Call(
                    func=ast.Name(id=name) | ast.Attribute(attr=name), args=[ast.Constant(value=str(code)), *_]
                ):
                    if name in {"Problem", "problem", "_stop", "Fault", "_Fault", "fault"}:
                        codes.add(code)
                case ast.Tuple(elts=[ast.Constant(), ast.Constant(value=str(code)), ast.Constant(), *_]):
                    codes.add(code)
                case ast.IfExp(body=ast.Tuple(elts=[ast.Constant(value=str(one)), _])):
                    codes |= {one, "tag"}
    return {code for code in codes if re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", code)}


def test_every_code_has_a_case() -> None:
    shown = {problem.code for path in BAD for problem in problems_of(path)} | set(OVER)
    codes = codes_in_source()
    assert len(codes) > 30
    assert codes == shown
