"""The second reading held to what is stated by hand, and its generated cases to the rules of kinds."""

import random
from typing import Any

import pytest

from reference.checking import check
from reference.findings import seeded_findings
from reference.generate import seeded
from reference.language import Known, at
from reference.plain import kinds_of_fields, outcome
from reference.records import LISTS, VALUES
from reference.verdicts import Finding, could_be, verdict_of

KINDS = {"yes/no": bool, "choice": str}


def test_generated_cases_are_of_one_kind_and_come_out_known_and_open() -> None:
    known = bounded = stuck = 0
    for text, given in seeded(1500, seed=7):
        kind = check(text, frozenset(given.get("item", {})))
        found = outcome(text, given)
        if isinstance(found, Known):
            known += 1
            assert kind not in KINDS or isinstance(found.value, KINDS[kind]), text
        else:
            assert found.missing or found.stuck, text
            bounded += found.lo is not None or found.hi is not None
            stuck += bool(found.stuck)
    assert known > 500 and 1500 - known > 300 and bounded > 3 and stuck > 50


def _filled(record: dict[str, Any], source: random.Random, prefix: str = "") -> dict[str, Any]:
    """The record with every field that it leaves out, in the items of its lists too."""
    full = dict(record)
    for path, kind_of in kinds_of_fields().items():
        first = path.split(".")[0]
        if prefix and path.startswith(prefix):
            name = path[len(prefix) :]
        elif prefix or first in LISTS:
            continue
        else:
            name = path
        if at(full, name) is None:
            written = source.choice(VALUES[kind_of])
            *above, last = name.split(".")
            into = full
            for part in above:
                into[part] = dict(into.get(part, {}))
                into = into[part]
            into[last] = written == "yes" if kind_of == "yes/no" else written
    for name in LISTS if not prefix else ():
        if name in full:
            full[name] = [_filled(item, source, f"{name}.") for item in full[name]]
    return full


def test_what_is_known_stays_so_when_more_is_recorded() -> None:
    source = random.Random(11)
    settled = 0
    for text, given in seeded(3000, seed=11):
        before = outcome(text, given)
        more = {**given, "record": _filled(given["record"], source)}
        if isinstance(before, Known):
            assert outcome(text, more) == before, (text, given)
        else:
            settled += isinstance(outcome(text, more), Known)
    assert settled > 300


GOOD = (Finding("acceptance", item=1), "met")
BAD = (Finding("acceptance", item=1), "not met")
OTHER = (Finding("acceptance", item=2), "met")
WHOLE = (Finding("acceptance", list_wide=True), "met")


def fault(voids: str, item: int | None) -> tuple[Finding, str]:
    return Finding("setup", voids, item), "not met"


@pytest.mark.parametrize(
    ("assignment", "asks", "verdict"),  # two items are there
    [
        ([GOOD, OTHER], 2, "pass"),
        ([BAD, OTHER], 2, "fail"),
        ([], 2, "incomplete"),
        ([(Finding("setup"), "met")], 0, "incomplete"),
        ([(Finding("acceptance"), "waived")], 0, "pass"),
        ([(Finding("acceptance"), "not applicable")], 0, "incomplete"),
        ([GOOD, (Finding("acceptance", item=2), "open")], 2, "incomplete"),
        ([GOOD, (Finding("advice", item=2), "not met")], 2, "pass"),
        ([GOOD, (Finding("advice"), "open")], 2, "pass"),
        ([GOOD, OTHER, fault("passes", 1)], 2, "invalid"),
        ([GOOD, OTHER, fault("passes", 1)], 1, "pass"),
        ([BAD, OTHER, fault("passes", 1)], 2, "fail"),
        ([BAD, OTHER, fault("failures", 1)], 2, "invalid"),
        ([BAD, OTHER, fault("failures", 1)], 1, "pass"),
        ([GOOD, OTHER, fault("failures", 1)], 2, "pass"),
        ([BAD, OTHER, fault("both", 2)], 2, "fail"),
        ([BAD, OTHER, fault("both", None)], 2, "invalid"),
        ([GOOD, OTHER, fault("failures", None)], 2, "pass"),
        ([GOOD, OTHER, fault("passes", None)], 1, "invalid"),
        ([WHOLE, OTHER, fault("passes", 1)], 1, "invalid"),
        ([WHOLE, OTHER, fault("failures", 1)], 1, "pass"),
        ([(WHOLE[0], "not met"), OTHER, fault("failures", 1)], 1, "invalid"),
        ([(WHOLE[0], "not met"), OTHER, fault("passes", 1)], 1, "fail"),
        ([(Finding("acceptance", item=1), "open"), OTHER, fault("passes", 1)], 1, "pass"),
        ([GOOD, OTHER], 3, "incomplete"),
        ([BAD, OTHER], 3, "fail"),
        ([GOOD, OTHER, fault("passes", 1)], 3, "invalid"),
        ([(WHOLE[0], "waived"), OTHER, fault("passes", 1)], 1, "pass"),
        ([(WHOLE[0], "waived"), OTHER, fault("both", None)], 1, "invalid"),
        ([(Finding("setup", "both", 1), "waived"), GOOD, OTHER], 2, "pass"),
        ([(Finding("setup"), "open"), GOOD, OTHER], 2, "incomplete"),
        ([(Finding("setup", item=1), "open"), fault("passes", 1), GOOD, OTHER], 1, "pass"),
        ([GOOD, fault("passes", 1)], 1, "incomplete"),
        ([(Finding("acceptance"), "not met"), OTHER, fault("both", 1)], 1, "fail"),
        ([(Finding("acceptance"), "not met"), OTHER, fault("failures", None)], 1, "invalid"),
        ([BAD, (Finding("acceptance", item=2), "not met"), fault("failures", 1)], 1, "fail"),
    ],
)
def test_verdict(assignment: list[tuple[Finding, str]], asks: int, verdict: str) -> None:
    assert verdict_of(assignment, 2, asks) == verdict


def test_could_be_is_what_any_combination_gives() -> None:
    either = frozenset({"met", "not met"})
    short = Finding("setup", "passes", 1, can=either)
    count = Finding("acceptance", item=1, can=either)
    assert could_be([short, count], 1, 1) == {"pass", "fail", "invalid"}
    assert could_be([Finding("setup", "both", 1, can=either), count], 1, 1) == {"pass", "fail", "invalid"}
    assert could_be([short, Finding("acceptance", item=1)], 1, 1) == {"pass", "invalid"}
    assert could_be([Finding("acceptance", can=frozenset({"open"}))], 0, 0) == {"incomplete"}
    to_come = Finding("acceptance", item=2, can=either)
    assert could_be([Finding("acceptance", item=1), to_come], 1, 2) == {"pass", "fail"}


def test_generated_findings_come_to_every_set_of_verdicts() -> None:
    seen = {frozenset(could_be(*lists)) for lists in seeded_findings(3000, seed=5)}
    assert {v for found in seen for v in found if len(found) == 1} == {
        "pass",
        "fail",
        "invalid",
        "incomplete",
    }
    assert len(seen) >= 12
