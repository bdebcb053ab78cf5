"""Reading: what is refused and where, what is kept as it was written, and that nothing else ever escapes."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tautbook.lang.limits import Limits
from tautbook.lang.problem import show
from tautbook.lang.reading import Form, form_of, read_text, read_tree
from tautbook.lang.source import Source
from tautbook.lang.tree import Mapping, Scalar, Sequence, Tree


def plain(tree: Tree | None) -> object:
    match tree:
        case Scalar(text=text):
            return text
        case Sequence(items=items):
            return [plain(item) for item in items]
        case Mapping(entries=entries):
            return {entry.key.text: plain(entry.value) for entry in entries}
    return None


@pytest.mark.parametrize(
    ("text", "code", "place"),
    [
        ("a: &x 1\n", "anchor", (1, 4)),
        ("a: *x\n", "alias", (1, 4)),
        ("a: !!str 1\n", "tag", (1, 4)),
        ("<<: {a: 1}\n", "merge-key", (1, 1)),
        ("a: 1\na: 2\n", "duplicate-key", (2, 1)),
        ("? [a]\n: 1\n", "key-form", (1, 3)),
        ("?\n: 1\n", "key-empty", (1, 2)),
        ("a: 1\n---\nb: 2\n", "second-document", (2, 1)),
        ("%YAML 1.1\n---\na: 1\n", "directive", (1, 1)),
        ("# nothing\n", "file-empty", (1, 1)),
        ('a: "open\n', "unclosed-quote", (1, 4)),
        ("a: @x\n", "reserved-character", (1, 4)),
    ],
)
def test_yaml_that_could_mean_something_else_is_refused(text: str, code: str, place: tuple[int, int]) -> None:
    source = Source("a.yaml", text)
    tree, problems = read_tree(source, "yaml")
    assert tree is None
    assert [problem.code for problem in problems] == [code]
    assert problems[0].span is not None
    assert source.position(problems[0].span.start) == place


@pytest.mark.parametrize("word", ["0217", "yes", "on", "1_000", "0x1F", "12:30", "1e3", "2026-04-14", "7.10", "~"])
def test_yaml_words_stay_what_was_written(word: str) -> None:
    assert plain(read_tree(Source("a.yaml", f"a: {word}\n"), "yaml")[0]) == {"a": word}


@pytest.mark.parametrize(
    "text",
    ['{"a": 1, "a": 2}',
     '{"a": 01}', '{"a": NaN}', "[1,]", "{'a': 1}", "[1] 2", '["\\ud800"]', "[+1]", "[1", '{"a" 1}', ""],
)  # fmt: skip
def test_json_that_the_standard_leaves_out_is_refused(text: str) -> None:
    tree, problems = read_tree(Source("a.json", text), "json")
    assert tree is None and len(problems) == 1
    assert "object" not in show(problems[0]) and "Error" not in show(problems[0])


def test_yaml_and_json_give_the_same_tree() -> None:
    yaml_tree, _ = read_tree(Source("a.yaml", 'a: {b: [1, 0.50, true], c: "x"}\nd: []\n'), "yaml")
    json_tree, _ = read_tree(Source("a.json", '{"a": {"b": [1, 0.50, true], "c": "x"}, "d": []}'), "json")
    assert plain(yaml_tree) == plain(json_tree) == {"a": {"b": ["1", "0.50", "true"], "c": "x"}, "d": []}


@pytest.mark.parametrize("text", ["a: x <= 3\n", "a: 'x <= 3'\n", "a: |\n  x <= 3\n  and y\n", 'a: "x <= 3"\n'])
def test_a_place_inside_a_value_is_exact(text: str) -> None:
    tree, _ = read_tree(Source("a.yaml", text), "yaml")
    assert isinstance(tree, Mapping)
    value = tree.get("a")
    assert isinstance(value, Scalar)
    assert value.place(2, 4).text == "<="
    last = value.text.rstrip("\n")[-1]
    assert value.place(len(value.text.rstrip("\n")) - 1, len(value.text.rstrip("\n"))).text == last


@pytest.mark.parametrize(
    ("limits", "text", "beyond", "code"),
    [
        (Limits(depth=2), "[[1]]", "[[[1]]]", "too-deep"),
        (Limits(nodes=3), "[1, 2]", "[1, 2, 3]", "too-large"),
        (Limits(scalar=3), "[abc]", "[abcd]", "text-long"),
    ],
)
def test_each_limit_holds_at_its_figure_and_one_beyond(limits: Limits, text: str, beyond: str, code: str) -> None:
    assert read_tree(Source("a.yaml", text), "yaml", limits)[1] == ()
    assert [problem.code for problem in read_tree(Source("a.yaml", beyond), "yaml", limits)[1]] == [code]


def test_the_limit_on_bytes_and_the_form_of_text() -> None:
    assert read_text(b"abc", "a", Limits(bytes=3))[1] == ()
    assert [p.code for p in read_text(b"abcd", "a", Limits(bytes=3))[1]] == ["file-large"]
    assert [p.code for p in read_text("a: é".encode("utf-16"), "a")[1]] == ["not-utf-8"]
    assert [p.code for p in read_text(b"a: \x1b[31m", "a")[1]] == ["hidden-character"]
    source, _ = read_text(b"\xef\xbb\xbfa: 1", "a")
    assert source is not None and source.text == "a: 1"
    assert [form_of(n, t) for n, t in [("a.json", ""), ("a.yml", "{"), ("-", '{"a"'), ("-", "a: 1")]] == [
        "json", "yaml", "json", "yaml",
    ]  # fmt: skip


@settings(max_examples=400, deadline=None)
@given(
    st.text(alphabet=st.sampled_from("ab:-[]{}\"'|>&*!%@#, \n\t\\01é"), max_size=40), st.sampled_from(["yaml", "json"])
)  # fmt: skip
def test_any_text_gives_a_tree_or_problems_inside_it(text: str, form: Form) -> None:
    tree, problems = read_tree(Source("a", text), form)
    assert (tree is None) == bool(problems)
    for problem in problems:
        assert problem.span is not None and 0 <= problem.span.start <= problem.span.end <= len(text)
        show(problem)


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=60))
def test_any_bytes_give_text_or_problems(data: bytes) -> None:
    source, problems = read_text(data, "a")
    assert (source is None) == bool(problems)
    for problem in problems:
        show(problem)
