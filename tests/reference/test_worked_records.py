"""The engine and a second judge, which share no code, on every worked record by every edition, and on small changes."""

from __future__ import annotations

import random
from collections import Counter
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reference.amendments import whole
from reference.both import EDITIONS, HOME, WORKED, Pick, by_engine, same, write
from reference.changes import PROCEDURES, RECORDS, changed, waive
from reference.shapes import read
from tautbook.judging.verdict import Verdict

STATED = read((HOME / "verdicts.yaml").read_text(encoding="utf-8"))
SAID = [(name, edition, said["verdict"]) for name, all_said in STATED.items() for said in all_said
        for edition in said["under"]]  # fmt: skip


@cache
def procedures(edition: str) -> frozenset[str]:
    return frozenset(read(EDITIONS[edition])["procedures"])


def editions_for(procedure: str) -> list[str]:
    return [edition for edition in EDITIONS if procedure in procedures(edition)]


def test_every_worked_record_is_stated_under_every_edition() -> None:
    assert sorted((name, edition) for name, edition, _ in SAID) == [(name, e) for name in WORKED for e in EDITIONS]


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("name", WORKED)
def test_a_worked_record_by_both(name: str, edition: str) -> None:
    (stated,) = (verdict for file, under, verdict in SAID if (file, under) == (name, edition))
    if stated == "no rules":
        assert RECORDS[name]["procedure"] not in procedures(edition)
        verdict, problems = by_engine(EDITIONS[edition], WORKED[name])
        assert verdict is None
        assert [problem.code for problem in problems] == ["procedure-not-in-edition"]
        return
    judged = same(EDITIONS[edition], WORKED[name])
    assert judged is not None
    assert judged[0].verdict == judged[1].verdict == stated


MADE = [
    pytest.param(line, id=f"{path.stem}-{n}")
    for path in sorted((HOME / "boundaries" / "examples").glob("*.jsonl"))
    for n, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
]
"""Records made for the boundaries of the editions. What is stated of them is what the engine gave, so that this is
what checks it."""


@pytest.mark.parametrize("line", MADE)
def test_a_record_made_for_boundaries_by_both(line: str) -> None:
    record = read(line)
    for edition in editions_for(record["procedure"]):
        assert same(EDITIONS[edition], write(record)) is not None


def _one_line(tree: Any) -> Any:
    if isinstance(tree, dict):
        return {key: _one_line(below) for key, below in tree.items()}
    if isinstance(tree, list):
        return [_one_line(below) for below in tree]
    return " ".join(tree.split())


@cache
def waivable() -> str:
    """The latest edition, changed: the engineer may waive all, and evidence of one kind is read without rules on it."""
    text = EDITIONS["2025"].replace('and evidence.rotational_capacity.verdict = "pass"', "")
    edition = _one_line(whole(read(text)))
    del edition["procedures"]["rotational-capacity"], edition["left_to_people"]
    edition["programme"] = [each for each in edition["programme"] if each["procedure"] in edition["procedures"]]
    for procedure in edition["procedures"].values():
        for rule in procedure["requirements"].values():
            if rule["kind"] != "advice":
                rule["waivable_by"] = ["engineer"]
    return write(edition)


def with_waiver(record: str, verdict: Verdict, pick: Pick) -> str | None:
    """The record with a waiver of something that is not met."""
    bad = [finding for finding in verdict.findings if finding.outcome == "not met"]
    if not bad:
        return None
    tree, finding = read(record), bad[pick(len(bad))]
    waive(tree, finding.id, finding.item if pick(2) else None, pick)
    return write(tree)


@pytest.mark.parametrize("seed", range(4))
def test_changed_records_by_both(seed: int) -> None:
    pick = random.Random(seed).randrange
    seen: Counter[tuple[str, str]] = Counter()
    outcomes: Counter[str] = Counter()
    inside = 0
    while sum(seen.values()) < 300:
        record = changed(pick)
        procedure = read(record)["procedure"]
        known = [EDITIONS[name] for name in editions_for(procedure)]
        edition = waivable() if pick(4) == 0 and procedure != "rotational-capacity" else known[pick(len(known))]
        result = same(edition, record)
        if result is None:
            continue
        results = [result]
        waived = with_waiver(record, result[0], pick) if edition == waivable() else None
        if waived is not None:
            results += filter(None, [same(edition, waived)])
        for verdict, _ in results:
            seen[procedure, verdict.verdict] += 1
            outcomes.update(finding.outcome for finding in verdict.findings)
            missing = {path for finding in verdict.findings for path in finding.missing}
            inside += any(path.startswith("evidence.") and path.count(".") > 1 for path in missing)
    assert {verdict for _, verdict in seen} == {"pass", "fail", "invalid", "incomplete"}
    assert {procedure for procedure, _ in seen} == set(PROCEDURES)
    assert outcomes["waived"] > 10 and inside > 10, (outcomes, inside)


@settings(max_examples=100, deadline=None)
@given(st.data())
def test_changed_records_by_both_and_shrunk(data: st.DataObject) -> None:
    pick: Pick = lambda n: data.draw(st.integers(0, n - 1)) if n > 1 else 0  # noqa: E731
    record = changed(pick)
    known = editions_for(read(record)["procedure"])
    same(EDITIONS[known[pick(len(known))]], record)
