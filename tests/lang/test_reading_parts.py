"""Values of a long file, one after the other: the same ones as if it were read whole, with the memory of one."""

from __future__ import annotations

import json
from io import BytesIO
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tautbook.lang import reading_parts
from tautbook.lang.limits import Limits
from tautbook.lang.reading import read_tree
from tautbook.lang.reading_parts import Part, bounded_lines, opening, read_json_parts, rest_of
from tautbook.lang.source import Source
from tautbook.lang.tree import Mapping, Scalar, Sequence, Tree


def plain(tree: Tree | None) -> Any:
    match tree:
        case Mapping(entries=entries):
            return {entry.key.text: plain(entry.value) for entry in entries}
        case Sequence(items=items):
            return [plain(item) for item in items]
        case Scalar(text=text, style=style):
            return (text, style)
        case None:
            return None


def parts(text: str, limits: Limits = Limits(), name: str = "v.json") -> list[Part]:  # noqa: B008
    return list(read_json_parts(BytesIO(text.encode()), name, limits))


TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]) | st.sampled_from('"\\{}[],: '), max_size=8)
VALUES = st.recursive(
    TEXTS | st.integers(-9, 9) | st.booleans(),
    lambda below: st.lists(below, max_size=3) | st.dictionaries(TEXTS, below, max_size=3),
    max_leaves=8,
)


@given(st.lists(VALUES, min_size=1, max_size=5), st.integers(1, 9), st.sampled_from([None, 1]))
def test_items_of_a_list_are_those_of_the_list_read_whole(values: list[Any], chunk: int, indent: int | None) -> None:
    text = json.dumps(values, ensure_ascii=False, indent=indent)
    whole, problems = read_tree(Source("v.json", text), "json")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(reading_parts, "_CHUNK", chunk)
        found = parts(text)
    if whole is None:  # say two keys that are one: then the item of it is refused
        assert problems and any(tree is None for _, tree, _ in found)
        return
    assert [name for name, _, _ in found] == [f"v.json item {n}" for n in range(1, len(values) + 1)]
    assert [plain(tree) for _, tree, _ in found] == plain(whole)


@given(st.text(st.sampled_from('[]{}",:\\ \n01a'), max_size=12), st.integers(1, 4))
def test_whatever_stands_in_a_file_is_read_or_is_a_problem(text: str, chunk: int) -> None:
    """What is no JSON as a whole holds no items that are all good; what is JSON does."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(reading_parts, "_CHUNK", chunk)
        found = parts(text)
    assert all((tree is None) == bool(problems) for _, tree, problems in found)
    if text.lstrip().startswith("[") and not opening(BytesIO(text.encode()))[1]:
        whole, _ = read_tree(Source("v.json", text), "json")
        good = bool(found) and all(tree is not None for _, tree, _ in found)
        assert good == (whole is not None and isinstance(whole, Sequence) and bool(whole.items))


def test_lines_items_and_a_single_value_are_told_apart() -> None:
    assert [name for name, _, _ in parts('{"a": 1}')] == ["v.json"]
    assert [name for name, _, _ in parts('\n{"a": 1}\n\n{"a": 2}\n')] == ["v.json line 2", "v.json line 4"]
    assert [name for name, _, _ in parts('{\n"a": 1}\n')] == ["v.json"]
    assert [name for name, _, _ in parts('[{"a": 1}]\n', name="v.jsonl")] == ["v.jsonl line 1"]
    assert [plain(tree) for _, tree, _ in parts('\ufeff[{"a": 1}]')] == [{"a": ("1", "json number")}]


def test_an_item_that_is_too_long_ends_the_list_and_one_line_only_itself() -> None:
    few = Limits(bytes=20)
    found = parts(f'[1, "{"x" * 100_000}", 2]', few)
    assert [(name, [each.code for each in problems]) for name, _, problems in found] == [
        ("v.json item 1", []), ("v.json item 2", ["file-large"]),
    ]  # fmt: skip
    found = parts(f'{{"a": 1}}\n{{"a": "{"x" * 100_000}"}}\n{{"a": 2}}\n', few)
    assert [[each.code for each in problems] for _, _, problems in found] == [[], ["file-large"], []]


def test_of_a_line_without_end_only_a_little_is_held() -> None:
    text = b"a\n" + b"x" * 1_000 + b"\nb\n" + b"y" * 1_000
    assert [len(line) for line in bounded_lines(BytesIO(text), Limits(bytes=20))] == [2, 21, 2, 21]


def test_what_was_read_to_see_is_not_lost() -> None:
    for text in (b"", b"\n", b"a: 1\nb: 2\n", b'{"a": 1}\n', b'{"a":\n1}'):
        file = BytesIO(text)
        head, lines = opening(file)
        assert not lines and rest_of(file, head) == text
