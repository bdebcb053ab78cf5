"""Reading keeps source text and places, gives one tree for both forms, and never raises."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tautbook.lang.limits import Limits
from tautbook.lang.problem import Problem, show
from tautbook.lang.reading import Form, form_of, read_json_lines, read_text, read_tree
from tautbook.lang.reading_yaml_faults import fault_of_exception
from tautbook.lang.source import Source
from tautbook.lang.tree import Mapping, Scalar, Sequence, Tree


def good(text: str, form: Form = "yaml") -> Tree:
    tree, problems = read_tree(Source("x", text), form)
    assert problems == () and tree is not None, [show(problem) for problem in problems]
    return tree


def plain(tree: Tree) -> Any:
    if isinstance(tree, Scalar):
        return tree.text
    if isinstance(tree, Sequence):
        return [plain(item) for item in tree.items]
    return {entry.key.text: plain(entry.value) for entry in tree}


def scalars(tree: Tree) -> list[Scalar]:
    if isinstance(tree, Scalar):
        return [tree]
    if isinstance(tree, Sequence):
        return [scalar for item in tree.items for scalar in scalars(item)]
    return [scalar for entry in tree for scalar in (entry.key, *scalars(entry.value))]


def first(text: str, form: Form = "yaml") -> Scalar:
    tree = good(text, form)
    value = tree.entries[0].value if isinstance(tree, Mapping) else tree
    assert isinstance(value, Scalar)
    return value


@pytest.mark.parametrize(
    "word",
    ["yes", "no", "on", "Off", "0217", "12:30", "2026-04-14", "1_000", "0x1F", ".5", "1e3", "~", "null", "7.10", "NO"],
)
def test_words_keep_their_source_text(word: str) -> None:
    scalar = first(f"a: {word} # why\n")
    assert (scalar.text, scalar.style, scalar.span.text) == (word, "plain", word)


def test_styles_and_spans() -> None:
    text = "a: x\nb: 'it''s'\nc: \"y\"\nd: |\n  one\n  two\ne: >-\n  one\n  two\nf:\n"
    tree = good(text)
    assert isinstance(tree, Mapping)
    assert [s.style for s in scalars(tree)[1::2]] == ["plain", "single", "double", "literal", "folded", "plain"]
    spans = [s.span.text for s in scalars(tree)[1::2]]
    assert spans == ["x", "'it''s'", '"y"', "|\n  one\n  two", ">-\n  one\n  two", ""]
    assert tree.span.text == text.rstrip("\n")
    assert [s.offsets is None for s in scalars(tree)[1::2]] == [False, True, False, False, True, False]


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("a: |\n  x <= 3\n    and y\n\n  z\n", "x <= 3\n  and y\n\nz\n"),
        ("a: |-\n  x\n", "x"),
        ("a: |+\n  x\n\n\nb: 1\n", "x\n\n\n"),
        ("a: |\r\n  x\r\n  y\r\nb: 1", "x\ny\n"),
        ("a: |\n\n  x", "\nx"),
        ("a: | # note\n x\n", "x\n"),
        ("- |2\n    x\n   y\n", "  x\n y\n"),
    ],
)
def test_offsets_of_a_literal_block(text: str, value: str) -> None:
    scalar = scalars(good(text))[-1 if text.startswith("-") else 1]
    assert scalar.text == value
    assert scalar.offsets is not None and len(scalar.offsets) == len(value) + 1
    for char, at in zip(value, scalar.offsets, strict=False):
        assert text[at] == char or (char == "\n" and text[at] == "\r")


def test_an_ordinary_comment_is_no_problem() -> None:
    assert plain(good("a: 1 # one\nb: 2   #  two\nc: x#3\nd: '#4'\n#five\n")) == {
        "a": "1",
        "b": "2",
        "c": "x#3",
        "d": "#4",
    }


def test_keys_without_value_in_braces() -> None:
    """With a colon, or with no value before them that a comma could have cut, they are for the shape to judge."""
    assert plain(good("{a: , b: 1}")) == {"a": "", "b": "1"}
    assert plain(good("{a, b}")) == {"a": "", "b": ""}
    _, problems = read_tree(Source("x", "{r: largest(a, a, a), s: 1, s: 2}"), "yaml")
    assert [(p.code, p.span.text if p.span else "") for p in problems] == [
        ("comma-cut", "largest(a, a, a)"),
        ("duplicate-key", "s"),
    ]


def test_all_problems_of_content_at_once() -> None:
    _, problems = read_tree(Source("x", "a: *b\na: &c d\n? [e]\n: f\ng: !h i\n"), "yaml")
    assert [p.code for p in problems] == ["alias", "duplicate-key", "anchor", "key-form", "tag"]


def test_text() -> None:
    source, problems = read_text(b"\xef\xbb\xbfa: \xc3\xa9\n", "x")
    assert problems == () and source is not None and source.text == "a: é\n"
    for encoding in ("utf-16", "utf-16-le", "utf-16-be", "utf-32"):
        assert [p.code for p in read_text("a: 1".encode(encoding), "x")[1]] == ["not-utf-8"]
    assert [p.code for p in read_text("a\ufeff \u2028\x85\x00".encode(), "x")[1]] == ["hidden-character"] * 4


def test_at_most_ten_hidden_characters_are_shown() -> None:
    assert len(read_text(b"\x01" * 50, "x")[1]) == 10


@pytest.mark.parametrize(
    "text", ["%YAML 1.1\n%YAML 1.1\n---\na: 1", "%YAML 2.0\n---\na: 1", "%TAG ! a\n%TAG ! b\n---\na: 1"]
)
def test_directives_in_any_number(text: str) -> None:
    assert [problem.code for problem in read_tree(Source("x", text), "yaml")[1]] == ["directive"]


def test_what_the_parser_did_not_foresee_is_a_fault_of_form() -> None:
    fault = fault_of_exception(1, "abc")
    assert (fault.code, fault.start, fault.end) == ("not-yaml", 1, 2)


def test_two_limits_passed_at_once_are_one_problem() -> None:
    limits = Limits(depth=1, nodes=1)
    assert len(read_tree(Source("x", "[[1]]"), "json", limits)[1]) == 1


def test_form() -> None:
    assert form_of("a.json", "a: 1") == form_of("-", ' {"a": 1}') == form_of("-", "[\n{}]") == "json"
    assert form_of("a.YML", "{}") == form_of("a.yaml", "[[") == form_of("-", "{a: 1}") == form_of("-", "") == "yaml"


def test_json_lines() -> None:
    lines = [b'{"a": 1}\n', b"\n", b"{]\r\n", b"\xff\n", b"2"]
    found = list(read_json_lines(lines, "r.jsonl"))
    assert [number for number, _, _ in found] == [1, 3, 4, 5]
    assert [plain(tree) if tree else None for _, tree, _ in found] == [{"a": "1"}, None, None, "2"]
    assert [[show(p).split(":")[0] for p in problems] for _, _, problems in found] == [
        [],
        ["r.jsonl line 3"],
        ["r.jsonl line 4"],
        [],
    ]
    assert [p.code for _, _, ps in read_json_lines([b"1\n", b"\xef\xbb\xbf2"], "r") for p in ps] == ["hidden-character"]


def test_a_file_full_of_problems_ends_early() -> None:
    assert len(read_tree(Source("x", "- *a\n" * 5000), "yaml")[1]) == 100


@pytest.mark.parametrize("text", ["[" * 100_000, "{a: " * 50_000, "- " * 50_000, "? " * 50_000, "{" * 100_000])
def test_deep_nesting_is_refused(text: str) -> None:
    assert "too-deep" in {problem.code for problem in read_tree(Source("x", text), "yaml")[1]}
    assert read_tree(Source("x", text), "json")[0] is None


PIECES = st.sampled_from(
    ["a", "b: ", "- ", "? ", ": ", "\n", "  ", "[", "]", "{", "}", ", ", "|", ">",
     "'", '"', "#", " #x", "&a ", "*a", "!t ", "%", "@", "`", "---\n", "...\n", "<<", "\\",
     "\\u", "\\UFFFFFFFF", "\t", "\r", "0", "-1.5", "null", "true", "~", "%YAML 1.", "é",
     "\U0001f600", "\ufeff", "\u2028",
     "\x85", "\x00", "=", ".", "1e9", "\ud800", "//", "+", "|2", "|-\n", "\n\n"]
)  # fmt: skip
VALID = (
    'bolt: {grade: A325, diameter: "7/8 in"}\nspecimens:\n  - at: {tension: 41 kip}\n  - "x"\nnote: |\n  one\n   two\n'
)
TEXTS = st.one_of(
    st.text(max_size=60),
    st.lists(PIECES, max_size=30).map("".join),
    st.tuples(st.integers(0, len(VALID)), st.integers(0, 8), PIECES).map(
        lambda m: VALID[: m[0]] + m[2] + VALID[m[0] + m[1] :]
    ),
)


def in_file(problem: Problem) -> bool:
    assert show(problem)
    span = problem.span
    return span is None or 0 <= span.start <= span.end <= len(span.source.text)


@given(TEXTS, st.sampled_from(["yaml", "json"]), st.sampled_from([Limits(), Limits(60, 3, 12, 10, 5, items=4)]))
@example('["a" ', "json", Limits())
@example('{"open', "json", Limits())
@example("[1", "json", Limits())
@example("%YAML 1." + "9" * 5000, "yaml", Limits())
@example('a: "\\UFFFFFFFF', "yaml", Limits())
@example("&0 #\n!", "yaml", Limits())
@settings(max_examples=3000, deadline=None)
def test_total(text: str, form: Form, limits: Limits) -> None:
    tree, problems = read_tree(Source("x", text), form, limits)
    assert (tree is None) == bool(problems)
    assert all(in_file(problem) for problem in problems)
    for scalar in scalars(tree) if tree else []:
        assert 0 <= scalar.span.start <= scalar.span.end <= len(text)
        if scalar.offsets is not None:
            assert len(scalar.offsets) == len(scalar.text) + 1
            for char, at in zip(scalar.text, scalar.offsets, strict=False):
                assert text[at] == char or (char == "\n" and text[at] == "\r") or (at == len(text) and char == "\n")


@given(st.binary(max_size=80))
@settings(max_examples=500, deadline=None)
def test_bytes_total(data: bytes) -> None:
    source, problems = read_text(data, "x")
    assert (source is None) == bool(problems)
    assert all(in_file(problem) for problem in problems)


WORDS = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zl", "Zp"], exclude_characters="\ufeff"), max_size=12
).filter(lambda word: not re.search("[\ufffe\uffff]", word))
DATA = st.recursive(
    WORDS | st.integers(-(10**9), 10**9) | st.booleans(),
    lambda part: st.lists(part, max_size=4) | st.dictionaries(WORDS, part, max_size=4),
    max_leaves=12,
)


@given(DATA, st.booleans())
@settings(max_examples=500, deadline=None)
def test_one_tree_for_both_forms(data: object, flow: bool) -> None:
    from_json = good(json.dumps(data), "json")
    raw = good(json.dumps(data, ensure_ascii=False), "json")
    dumped = yaml.safe_dump(data, allow_unicode=True, default_flow_style=flow, width=10**6)
    from_yaml = good(re.sub(r"\n\.\.\.\n\Z", "\n", dumped))
    assert plain(from_json) == plain(raw) == plain(from_yaml)


@given(TEXTS)
@settings(max_examples=1500, deadline=None)
def test_json_takes_just_what_the_standard_takes(text: str) -> None:
    """The standard library, told to be strict, is the reference; what we refuse besides has a code of its own."""

    def refuse(word: str) -> None:
        raise ValueError(word)

    try:
        json.loads(text, parse_constant=refuse)
        standard = True
    except ValueError:
        standard = False
    _, problems = read_tree(Source("x", text), "json")
    codes = {problem.code for problem in problems}
    assert (not codes) == standard or (standard and codes <= {"duplicate-key", "hidden-character", "number-long"})
