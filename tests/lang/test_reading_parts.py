"""Long JSON files read part by part: each part with its own problem, and what follows a fault that ends it."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest

from tautbook.lang.limits import LIMITS
from tautbook.lang.reading_parts import read_json_parts

SMALL = replace(LIMITS, bytes=40)


def parts(text: str, limits: object = LIMITS) -> list[str]:
    """Of each part ``ok``, or the code of its problem."""
    found = read_json_parts(io.BytesIO(text.encode()), "x.json", limits)  # type: ignore[arg-type]
    return ["ok" if not problems else problems[0].code for _, _, problems in found]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('[{"a": 1}, {"b": 2}]', ["ok", "ok"]),
        ('[{"a": "x]\\",["},\n{"b": 2}]\n\n  \n', ["ok", "ok"]),
        ("[]", ["file-empty"]),
        ('[{"a": 1}]\n\n  \n', ["ok"]),
        ('[{"a": 1},]', ["ok", "trailing-comma"]),
        ('[,{"a": 1}]', ["stray-bracket", "ok"]),
        ('[{"a": 1}] x', ["ok"]),
        ('[{"a": 1}]\n\nx', ["ok"]),
        ('[{"a": 1}', []),
    ],
)  # fmt: skip
def test_a_list_is_read_item_by_item(text: str, told: list[str]) -> None:
    found = parts(text)
    assert found[: len(told)] == told
    ends = text.rstrip().endswith("]")
    assert len(found) == len(told) + (not ends), "what does not end as a list does is one problem more"


def test_an_item_longer_than_a_file_may_be_ends_it() -> None:
    assert parts('[{"a": 1},\n{"b": "' + 70_000 * "x" + '"}]', SMALL) == ["ok", "file-large"]


def test_a_backslash_at_the_end_of_what_was_read_stands_for_what_comes() -> None:
    """After the first line 65,536 bytes are read at a time."""
    start, item = '{"b": "', '{"b": 12345678},'
    many = (65_535 - len(start)) // len(item) - 1
    filler = "y" * (65_535 - len(start) - many * len(item))
    text = f'[{{"a": 1}},\n{many * item}{start}{filler}\\"z"}}]'
    assert text.partition("\n")[2][65_535] == "\\"
    assert parts(text) == ["ok"] * (many + 2)


@pytest.mark.parametrize("at", [0, 1, 2])
def test_a_line_that_is_too_long_is_passed_over_and_the_others_are_read(at: int) -> None:
    lines = ['{"a": 1}', '{"b": 2}', '{"c": 3}']
    lines[at] = f'{{"long": "{"x" * 200}"}}'
    found = read_json_parts(io.BytesIO("\n".join(lines).encode()), "x.jsonl", SMALL)
    assert [bool(problems) for _, _, problems in found] == [number == at for number in range(3)]
