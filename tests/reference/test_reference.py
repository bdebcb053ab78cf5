"""The second reading held to what is stated by hand, and its generated cases to the rules of kinds."""

import pytest

from reference.checking import check
from reference.generate import seeded
from reference.language import Known
from reference.plain import outcome
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
