"""Records read from bytes, and the data that rules see of them."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from tautbook.lang.kinds import (
    CalendarSpanKind,
    ChoiceKind,
    DateKind,
    GroupKind,
    NumberKind,
    QuantityKind,
    TextKind,
    YesNoKind,
)
from tautbook.lang.quantity import dimension_named
from tautbook.lang.values import Group, Items, Leaf
from tautbook.records.data import Observed, observed
from tautbook.records.gather import gather
from tautbook.records.read import read_records
from tautbook.records.record import Record, content

GOOD = (Path(__file__).parents[1] / "mistakes" / "record.yaml").read_text(encoding="utf-8")


def read(text: str) -> Record:
    ((record, problems),) = read_records(text.encode(), "x.yaml")
    assert record is not None, problems
    return record


def seen(text: str, **asks: int) -> Observed:
    data, problems = observed(read(text), asks, "sound", None)
    assert data is not None, problems
    return data


def leaf(group: Group, path: str) -> Leaf | None:
    data: object = group
    for name in path.split("."):
        data = data.items[int(name)] if isinstance(data, Items) else (
            data.fields.get(name) if isinstance(data, Group) else None)  # fmt: skip
    return data if isinstance(data, Leaf) else None


def line(id: str = "T-1") -> bytes:
    data = content(read(GOOD).shaped)
    return json.dumps({**data, "id": id}).encode()


def test_what_a_stored_verdict_holds_reads_back_as_the_same_record() -> None:
    text = GOOD + "head_held: true\nlocal: {sound: {a: [1, 1.50, true, word, 'quoted']}}\n"
    ((again, problems),) = read_records(json.dumps(content(read(text).shaped)).encode(), "x.json")
    assert again is not None, problems
    assert again.digest == read(text).digest


@pytest.mark.parametrize("name", ["x.jsonl", "-"])
def test_a_record_a_line(name: str) -> None:
    data = line("T-1") + b"\n\n" + line("T-2") + b"\n"
    assert [record.id for record, _ in read_records(data, name) if record is not None] == ["T-1", "T-2"]


def test_one_bad_line_does_not_stop_the_others() -> None:
    found = list(read_records(line("T-1") + b"\n{\n" + line("T-3"), "x.jsonl"))
    assert [record is not None for record, _ in found] == [True, False, True]


def test_a_byte_order_mark_changes_nothing() -> None:
    ((record, _),) = read_records(b"\xef\xbb\xbf" + GOOD.encode(), "x.yaml")
    assert record is not None and record.digest == read(GOOD).digest


def test_no_text_and_no_yaml() -> None:
    for data in (b"\xff\xfe\x00", b"a: ["):
        ((record, problems),) = read_records(data, "x.yaml")
        assert record is None and problems


def test_items_set_aside_keep_their_number_and_do_not_count() -> None:
    text = GOOD + "  - set_aside: {why: dropped, by: M. Ito}\n  - mark: c\n"
    data = seen(text, specimens=4)
    items = data.group.fields["specimens"]
    assert isinstance(items, Items)
    assert data.set_aside == ("specimens[2]",)
    assert [item.path for item in items.items] == [f"specimens[{n}]" for n in (1, 3, 4, 5)]


def test_counts_and_what_ended_the_test_are_worked_out() -> None:
    text = GOOD.replace("refusals: 1}", "spaces: [through, partial, through, refused, through]}")
    group = seen(text).group
    count, ended = leaf(group, "specimens.0.at_verification.refusals"), leaf(group, "specimens.0.ended")
    assert count is not None and count.written == "2"
    assert ended is not None and ended.value == "nothing"
    stripped = seen(GOOD + "    ended: stripped\n").group
    said = leaf(stripped, "specimens.0.ended")
    assert said is not None and said.value == "stripped"


def test_a_list_that_is_not_there_is_filled_up_or_left_out() -> None:
    text = GOOD[: GOOD.index("specimens:")]
    assert "specimens" not in seen(text).group.fields
    items = seen(text, specimens=2).group.fields["specimens"]
    assert isinstance(items, Items) and len(items.items) == 2 and not items.written


def test_names_on_the_command_line(tmp_path: Path) -> None:
    empty = io.BytesIO()
    (tmp_path / "b.jsonl").write_bytes(line("T-2") + b"\n" + line("T-3"))
    (tmp_path / "a.yaml").write_text(GOOD, encoding="utf-8")
    (tmp_path / ".hidden.yaml").write_text("a", encoding="utf-8")
    (tmp_path / "none").mkdir()
    assert [record.id for record, _ in gather(str(tmp_path), empty) if record] == ["T-1", "T-2", "T-3"]
    assert [record.id for record, _ in gather("-", io.BytesIO(GOOD.encode())) if record] == ["T-1"]
    for name, code in (("none", "folder-empty"), ("x.yaml", "file-unreadable"), ("x.jsonl", "file-unreadable")):
        assert [p.code for _, problems in gather(str(tmp_path / name), empty) for p in problems] == [code]
    assert [p.code for _, problems in gather("a\0b", empty) for p in problems] == ["file-unreadable"]


def own() -> GroupKind:
    length = dimension_named("length")
    assert length is not None
    inner = GroupKind({"depth": QuantityKind(length), "whole": NumberKind(whole=True), "number": NumberKind()})
    return GroupKind({
        "coating": inner, "shade": ChoiceKind(("light", "dark")), "any": ChoiceKind(), "seen": YesNoKind(),
        "on": DateKind(), "held": CalendarSpanKind(), "text": TextKind(),
    })  # fmt: skip


def test_an_authority_reads_its_own_observations_in_their_kinds_and_no_others() -> None:
    local = """local:
  sound: {coating: {depth: 3 mm, whole: 2, number: 1.5}, shade: dark, any: blue, seen: true,
    on: 2026-04-14, held: 3 days, text: words}
  other: {whatever: [1, 2]}
"""
    record = read(GOOD + local)
    data, problems = observed(record, {}, "sound", own())
    assert data is not None, problems
    below = data.group.fields["local"]
    assert isinstance(below, Group) and len(below.fields) == 7
    depth, shade = leaf(below, "coating.depth"), leaf(below, "shade")
    assert depth is not None and depth.path == "local.sound.coating.depth" and depth.written == "3 mm"
    assert shade is not None and shade.value == "dark"
    data, _ = observed(record, {}, "sound", None)
    assert data is not None and "local" not in data.group.fields
    data, _ = observed(record, {}, "third", own())
    assert data is not None and "local" not in data.group.fields


def test_an_own_observation_of_another_kind_is_a_problem() -> None:
    record = read(GOOD + "local: {sound: {shade: pale, seen: maybe}}\n")
    data, problems = observed(record, {}, "sound", own())
    assert data is None
    assert {problem.code for problem in problems} == {"unknown-word", "yes-no"}
