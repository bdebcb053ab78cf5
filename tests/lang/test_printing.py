"""One spelling of each rule: printing, parsing and printing again changes nothing, and keeps the meaning."""

from __future__ import annotations

import pytest
from lark import Lark

from conformance.test_conformance_reference import CASES
from reference.generate import seeded
from tautbook.lang.parse import grammar_text, parse_text
from tautbook.lang.printing import print_expression
from tautbook.lang.surface_json import surface_json


def same(text: str) -> None:
    first, _ = parse_text(text)
    if first is None:
        return
    printed = print_expression(first)
    second, problems = parse_text(printed)
    assert second is not None, (text, printed, problems)
    assert print_expression(second) == printed
    assert surface_json(second) == surface_json(first), (text, printed)


def test_conformance_cases() -> None:
    for case in CASES:
        same(case["expression"])


def test_generated_expressions() -> None:
    for text, _ in seeded(2_000, 1):
        same(text)


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("((1+2))*x", "(1 + 2) * x"),
        ("a and (b or c)", "a and (b or c)"),
        ("not (a and b)", "not (a and b)"),
        ("x>=0.50 kip", "x >= 0.5 kip"),
        ("(if a then b else c) + 1", "(if a then b else c) + 1"),
        ("x / (1/2 in)", "x / (1/2 in)"),
        ("a - (b - c)", "a - (b - c)"),
        ("nearest(x,1 kip,ties up)", "nearest(x, 1 kip, ties up)"),
    ],
)
def test_canonical_text(text: str, printed: str) -> None:
    expression, problems = parse_text(text)
    assert expression is not None, problems
    assert print_expression(expression) == printed


def test_the_grammar_has_no_conflicts() -> None:
    Lark(grammar_text(), parser="lalr", lexer="basic", strict=True)
