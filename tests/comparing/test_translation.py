"""Each formula that the solver reads says of a record what the evaluator says of it."""

from __future__ import annotations

import random
from collections import Counter

import pytest

pytest.importorskip("z3")

from comparing.proving import disagreements
from reference.at_random import small_edition, small_record
from reference.both import EDITIONS, WORKED, by_engine, edition_of, write
from reference.changes import changed, wholes

ALL = [(name, edition) for name in WORKED for edition in EDITIONS]


def hold(edition: str, record: str, seen: Counter[str]) -> None:
    """One record by one edition, by both."""
    verdict, _ = by_engine(edition, record)
    if verdict is None:
        seen["refused"] += 1
        return
    found = disagreements(verdict, edition_of(edition))
    assert not found, f"{found}\n{record}"
    if found is None:
        seen["beyond the bounds"] += 1
        return
    seen["held"] += 1
    seen[verdict.verdict] += 1
    seen.update(finding.outcome for finding in verdict.findings)
    seen["can still fail"] += any(len(finding.can) > 1 for finding in verdict.findings)


def test_worked_records_sample() -> None:
    seen: Counter[str] = Counter()
    for name, edition in ALL[::23]:
        hold(EDITIONS[edition], WORKED[name], seen)
    assert seen["held"] > 8, seen


@pytest.mark.slow
@pytest.mark.parametrize("edition", EDITIONS)
def test_worked_records(edition: str) -> None:
    seen: Counter[str] = Counter()
    for record in WORKED.values():
        hold(EDITIONS[edition], record, seen)
    assert seen["held"] > 50 and seen["beyond the bounds"] < 20, seen
    assert {"pass", "fail", "invalid", "incomplete"} <= seen.keys()


@pytest.mark.parametrize(
    "count", [pytest.param(15), pytest.param(300, marks=pytest.mark.slow)], ids=["sample", "many"]
)
def test_changed_worked_records(count: int) -> None:
    """Readings left out, at limits and beside them, items more and less, other choices and dates."""
    pick = random.Random(5).randrange
    seen: Counter[str] = Counter()
    while seen["held"] < count:
        hold(EDITIONS[list(EDITIONS)[pick(len(EDITIONS))]], changed(pick), seen)
    assert seen["incomplete"] and seen["open"] > count // 2, seen


@pytest.mark.parametrize(
    "count", [pytest.param(10), pytest.param(150, marks=pytest.mark.slow)], ids=["sample", "many"]
)
def test_small_editions(count: int) -> None:
    """Any rule beside any other, any voiding, records that rest on others."""
    pick = random.Random(6).randrange
    seen: Counter[str] = Counter()
    for _ in range(count):
        edition = small_edition(pick)
        for _ in range(6):
            record = small_record(pick, ("dti-lot", "dti-short-bolt")[pick(2)])
            for each in wholes(record):
                each.pop("waivers", None)
                for specimen in each["specimens"]:
                    specimen.pop("set_aside", None)
                if not each["specimens"] and pick(2):
                    del each["specimens"]
            hold(edition, write(record), seen)
    assert seen["held"] > 3 * count, seen
