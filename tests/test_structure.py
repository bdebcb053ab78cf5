"""What the engine's source must and must not hold, read from its syntax trees."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ENGINE = Path(__file__).parents[1] / "engine" / "tautbook"
FILES = sorted(ENGINE.rglob("*.py"))
LAYERS = [["lang"], ["shape"], ["editions", "records"], ["judging"], ["explaining"], ["rendering"], ["cli"]]
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


def test_the_yaml_parser_is_the_pure_one() -> None:
    for path in FILES:
        text = path.read_text(encoding="utf-8")
        assert "CSafeLoader" not in text and "yaml.load" not in text and "CLoader" not in text, path
