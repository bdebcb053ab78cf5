"""The judge of the page and the engine, held to each other in a real browser, finding by finding."""

import copy
import json
from collections import Counter
from collections.abc import Iterable
from typing import Any

import pytest

from sheet.cases import EDITIONS, Case, case, edition_named, generated, numbered, worked
from sheet.chromium import result_of
from tautbook.rendering.sheet_script import JUDGING, data_in_script, script_of
from tautbook.sheet.pack import pack

BATCH = 250
JUDGE_ALL = """
const { packs, cases } = JSON.parse(document.getElementById("cases").textContent);
const told = ({ edition, procedure, record }) => {
  try {
    return Tautbook.judge(packs[edition + " " + procedure], record);
  } catch (fault) {
    return { fault: fault.stack };
  }
};
document.getElementById("result").textContent = JSON.stringify(cases.map(told));
"""

Packs = dict[str, Any]


def packs_of(cases: Iterable[Case]) -> Packs:
    pairs = {(each["edition"], each["procedure"]) for each in cases}
    return {f"{edition} {procedure}": pack(edition_named(edition), procedure) for edition, procedure in sorted(pairs)}


def by_page(cases: Iterable[Case], packs: Packs) -> list[Any]:
    """What the page says of each record."""
    told = [{name: each[name] for name in ("edition", "procedure", "record")} for each in cases]
    data = data_in_script({"packs": packs, "cases": told})
    page = (
        f'<!DOCTYPE html><meta charset="utf-8"><script type="application/json" id="cases">{data}</script>'
        f'<pre id="result"></pre><script>{script_of(*JUDGING)}</script><script>{JUDGE_ALL}</script>'
    )
    found = result_of(page)
    assert isinstance(found, list)
    return found


def differences(expected: Any, told: Any) -> list[str]:
    """Where the page says something else than the engine."""
    if "fault" in told:
        return [told["fault"]]
    refused = [*told["problems"], *told["lacking"]]
    if expected is None or refused:
        return [] if expected is None and refused else [f"refused by one only: {refused}"]
    found = [
        f"{key}: {expected[key]} and {told[key]}"
        for key in ("verdict", "could_be", "advisory", "headline", "ignored")
        if expected[key] != told[key]
    ]
    if sorted(told["void"]) != expected["void"]:
        found.append(f"void: {expected['void']} and {told['void']}")
    if len(expected["findings"]) != len(told["findings"]):
        found.append("not as many findings")
    pairs = zip(expected["findings"], told["findings"], strict=False)
    return found + [f"{ours} and {theirs}" for ours, theirs in pairs if ours != theirs]


def held_to_each_other(cases: list[Case]) -> Counter[str]:
    """How many records came to each verdict, once both say the same of all of them."""
    packs = packs_of(cases)
    for start in range(0, len(cases), BATCH):
        batch = cases[start : start + BATCH]
        for each, told in zip(batch, by_page(batch, packs), strict=True):
            wrong = differences(each["expected"], told)
            assert not wrong, (each["edition"], json.dumps(each["record"]), wrong[:3])
    return Counter("refused" if each["expected"] is None else each["expected"]["verdict"] for each in cases)


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_worked_record(edition: str) -> None:
    seen = held_to_each_other(list(worked(edition)))
    assert seen.total() > 200 and not seen["refused"]
    assert set(seen) == {"pass", "fail", "invalid", "incomplete"}


def test_changed_records() -> None:
    seen = held_to_each_other(list(generated(seed=0, count=150)))
    assert set(seen) == {"pass", "fail", "invalid", "incomplete", "refused"}


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1, 11))
def test_five_thousand_changed_records(seed: int) -> None:
    seen = held_to_each_other(list(generated(seed, count=500)))
    assert all(seen[word] > 10 for word in ("pass", "fail", "invalid", "incomplete", "refused")), seen


TURNED = {"<=": "<", ">=": ">", "=": "!=", "and": "or", "or": "and", "every": "some", "smallest": "largest"}
TELLING = (401, 405, 406, 409, 411, 413, 416, 418, 423, 425, 434, 436, 441, 453)


def test_a_rule_that_reads_otherwise_is_found() -> None:
    """Nodes of the rules turned about, one at a time: these few records tell the better half of them."""
    cases = numbered("2016", *(f"TS-0{number}" for number in TELLING))
    ((name, right),) = packs_of(cases).items()
    turned = {name: right}
    for n, row in enumerate(right["nodes"]):
        for i in (0, 2, 3):
            word = row[i] if len(row) > i and isinstance(row[i], str) else ""
            if word in TURNED and (i == 0 or row[0] in ("compare", "over")):
                wrong = copy.deepcopy(right)
                wrong["nodes"][n][i] = TURNED[word]
                turned[f"{name} {n}"] = wrong
    every = [{**each, "procedure": f"dti-lot{which.removeprefix(name)}"} for which in turned for each in cases]
    told = iter(by_page(every, turned))
    found = {which for which in turned for each in cases if differences(each["expected"], next(told))}
    assert name not in found
    assert len(turned) > 60 and len(found) > len(turned) // 2, sorted(set(turned) - found)


TEXTS = {
    "temperature": (
        "68 degF", "20 degC", "68 kip", "68", "68degF", "68  degF", " 68 degF", "68 degF ", "068 degF", "68. degF",
        "6,8 degF", "1,068 degF", "+68 degF", "-4 degF", "- 4 degF", "135/2 degF", "67-1/2 degF", "67-2/2 degF",
        "67-1/0 degF", "0/5 degF", "6e1 degF", "161 degF", "160 degF", "320/2 degF", "71.1111 degC", "71.2 degC",
        "٦٨ degF", "68 degf", "68 degF x", "", " ", "\u00a068 degF", "null", "9" * 41 + " degF", "constructor",
        "68 __proto__", "68 toString", ".5 degF", "0.50 degF", "00.5 degF", "1/07 degF", "5 %",
    ),
    "tested": (
        "2026-04-14", "2026-4-14", "14/04/2026", "2026-02-29", "2024-02-29", "1900-02-29", "1899-12-31", "2200-01-01",
        "2026-13-01", "2026-00-10", "2026-04-00", "2026-04-14 ", "2026-04-14T10:00", "20260414",
    ),
    "threads_in_grip": ("4", "04", "-0", "4.0", "4.5", "1e0", "10e-1", "4 ", "+4", "four", "41", "-1", "4,0", "1e999"),
    "head_held": ("true", "false", "yes", "True", "1", ""),
    "wrench": ("hand", "Hand", " hand", "__proto__", "constructor"),
    "lubrication": ("as delivered", "as  delivered\t", "caf\u0065\u0301", "<b>", "\u202edry", "\ufeff", "\x1f",
                    "\x85", "x\x07", "\U0001f529", "a\u2028b", "\u200b"),
    "no_such_field": ("1",),
    "__proto__": ("1",),
    "constructor": ("1",),
}  # fmt: skip
"""By a field of a record, texts that are a value there for both or for neither."""


def test_a_text_is_a_value_for_both_or_for_neither() -> None:
    (right,) = numbered("2016", "TS-0401")
    record = right["record"]
    cases = [case("2016", {**record, name: text}) for name, texts in TEXTS.items() for text in texts]
    seen = held_to_each_other(cases)
    assert seen["refused"] > 50 and seen["pass"] + seen["invalid"] > 20
