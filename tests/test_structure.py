"""What the engine's source must and must not hold, read from its syntax trees."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

ENGINE = Path(__file__).parents[1] / "engine" / "tautbook"
FILES = sorted(ENGINE.rglob("*.py"))
LAYERS = [
    ["lang"], ["shape"], ["editions", "records"], ["judging"], ["explaining"],
    ["proofreading", "drafting"], ["comparing"], ["jobs"], ["sheet"], ["rendering"], ["cli"],
]  # fmt: skip
"""Each may import those before it, and no other of its own row."""
RANK = {name: rank for rank, row in enumerate(LAYERS) for name in row}


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ENGINE)))
def test_no_binary_floating_point_and_nothing_that_runs_text(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        assert not (isinstance(node, ast.Constant) and isinstance(node.value, float)), node.lineno
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in {"float", "eval", "exec", "compile", "__import__"}, node.lineno
        if isinstance(node, ast.Import):
            names = {alias.name for alias in node.names}
            assert not names & {"math", "pickle", "socket", "subprocess", "urllib", "time", "random"}


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ENGINE)))
def test_imports_go_one_way(path: Path) -> None:
    layer = path.relative_to(ENGINE).parts[0]
    if layer not in RANK:
        return
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.level == 2:
            other = (node.module or "").split(".")[0]
            if not other:  # the package itself, for its version
                continue
            assert RANK[other] < RANK[layer], node.lineno


OF_THE_TRADE = re.compile(
    r"\b(bolt|indicator|specimen|refusal|gauge|wrench|washer|nut|protrusion|thread|grip|dti|A325|A490)s?\b",
    re.IGNORECASE,
)


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ENGINE)))
def test_no_word_of_the_trade_stands_in_code(path: Path) -> None:
    """What is tested, and by which figures, is data: names and texts of the engine know nothing of it."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        # Examples in what is said of a module, a class, a function or a field are for its readers.
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            node.value.value = ""
    for node in ast.walk(tree):
        match node:
            case ast.Constant(value=str() as text):
                assert not OF_THE_TRADE.search(text), (node.lineno, text)
            case ast.Name(id=name) | ast.Attribute(attr=name) | ast.arg(arg=name) | ast.FunctionDef(name=name):
                assert not OF_THE_TRADE.search(name.replace("_", " ")), (node.lineno, name)


def test_the_yaml_parser_is_the_pure_one() -> None:
    for path in FILES:
        text = path.read_text(encoding="utf-8")
        assert "CSafeLoader" not in text and "yaml.load" not in text and "CLoader" not in text, path
