"""The engine and a second judge, which share no code, on every worked record, on small changes of them, and on
small editions made at random."""

from __future__ import annotations

import copy
import random
import re
from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from yaml.emitter import Emitter
from yaml.representer import SafeRepresenter
from yaml.resolver import BaseResolver
from yaml.serializer import Serializer

from reference.judging import Judged, field, judge, read, schema
from tautbook.editions.edition import Edition
from tautbook.editions.read import read_edition
from tautbook.judging.verdict import Verdict, judge_record
from tautbook.lang.problem import show
from tautbook.records.read import read_records

HOME = Path(__file__).parents[2] / "rulesets" / "tern-sound"
EXAMPLES = sorted((HOME / "examples").glob("*.yaml"))
STATED = read((HOME / "verdicts.yaml").read_text(encoding="utf-8"))
Pick = Callable[[int], int]


class _Plain(Emitter, Serializer, SafeRepresenter, BaseResolver):
    """Writes every scalar as the text that it is, without quotes wherever it can."""

    def __init__(self, stream: Any, **options: Any) -> None:
        Emitter.__init__(self, stream, width=100_000)
        Serializer.__init__(self)
        SafeRepresenter.__init__(self, default_flow_style=False, sort_keys=False)
        BaseResolver.__init__(self)

    def ignore_aliases(self, data: Any) -> bool:
        return True


def write(data: Any) -> str:
    text: str = yaml.dump(data, Dumper=_Plain)  # type: ignore[call-overload]
    return text


@cache
def edition_of(text: str) -> Edition:
    edition, problems = read_edition(text.encode(), "edition.yaml")
    assert edition is not None, [show(problem) for problem in problems]
    return edition


def by_engine(edition: str, record: str) -> Verdict | None:
    """None where the record is refused."""
    ((found, _),) = read_records(record.encode(), "record.yaml")
    return None if found is None else judge_record(found, edition_of(edition))[0]


def same(edition: str, record: str) -> tuple[Verdict, Judged] | None:
    """Both judgements, held to each other; None where the engine refuses the record."""
    verdict = by_engine(edition, record)
    if verdict is None:
        return None
    other = judge(edition, record)
    found = {
        (f.id, f.item): (f.outcome, f.can, set(f.missing), {stuck.by for stuck in f.no_rule}, f.voided)
        for f in verdict.findings
    }
    expected = {key: (f.outcome, f.can, set(f.missing), set(f.stuck), f.voided) for key, f in other.findings.items()}
    assert found == expected, record
    if other.could_be is not None:
        assert set(verdict.could_be) == other.could_be, record
        assert verdict.verdict == other.verdict, record
    return verdict, other


@cache
def shipped() -> dict[str, str]:
    return {path.stem: path.read_text(encoding="utf-8") for path in HOME.glob("*.yaml") if path.stem != "verdicts"}


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_a_worked_record_by_both(path: Path) -> None:
    for name, said in STATED[path.name].items():
        judged = same(shipped()[name], path.read_text(encoding="utf-8"))
        assert judged is not None
        assert judged[0].verdict == said["verdict"]
        assert judged[1].verdict in (said["verdict"], None)


def leaves(tree: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    if isinstance(tree, dict):
        return [leaf for key, below in tree.items() for leaf in leaves(below, (*path, key))]
    if isinstance(tree, list):
        return [leaf for n, below in enumerate(tree) for leaf in leaves(below, (*path, n))]
    return [path]


JUDGED = re.compile(r"tested|bolt|indicator|device|gauge|wrench|head|insert|threads|specimens|ended")


def change(record: dict[str, Any], pick: Pick) -> None:
    """One small change."""
    way = pick(12)
    specimens = record["specimens"]
    if way == 0 and specimens:
        specimens.pop(pick(len(specimens)))
    elif way == 1 and specimens:
        specimens.append(copy.deepcopy(specimens[pick(len(specimens))]))
    elif way == 2 and specimens:
        specimens[pick(len(specimens))]["set_aside"] = {"why": "spoiled", "by": "M. Ito"}
    elif way == 3 and specimens:
        specimens[pick(len(specimens))]["ended"] = ("nothing", "fracture", "stripped", "seized")[pick(4)]
    else:
        open_to_change = [leaf for leaf in leaves(record) if JUDGED.match(leaf[0])]
        path = open_to_change[pick(len(open_to_change))]
        *above, last = path
        into: Any = record
        for step in above:
            into = into[step]
        if way == 4:
            del into[last]
        else:
            info = schema("dti-lot")
            for step in path:
                info = info["items"] if isinstance(step, int) else field({"properties": info["properties"]}, step)
            into[last] = other(into[last], info, pick)


def other(written: str, info: dict[str, Any], pick: Pick) -> str:
    """Another value of the field: a step of its resolution up or down, another choice, another unit."""
    match info["x-kind"]:
        case "yes-no":
            return "false" if written == "true" else "true"
        case "date":
            return str(date.fromisoformat(written) + timedelta(days=(1, -1, 366, -366)[pick(4)]))
        case "choice":
            options = info.get("enum") or ["A325", "A490", "325", "490", "plain", "galvanized"]
            return str(options[pick(len(options))])
        case "whole":
            return str(max(0, int(written) + (1, -1)[pick(2)]))
        case "quantity" | "number":
            number, _, unit = written.partition(" ")
            if unit and pick(4) == 0:
                units = info["x-unit"]
                return f"{number} {units[pick(len(units))]}"
            if "/" in number or "-" in number:
                return ("7/8", "1-1/8", "3/4", "2")[pick(4)] + f" {unit}"
            step = Fraction(str((info.get("x-resolution") or {}).get(unit, "1"))) * (1, -1)[pick(2)]
            moved = max(Fraction(0), Fraction(number) + step)
            return f"{float(moved):g} {unit}".strip()
        case _:
            return written


def changed(path: Path, pick: Pick) -> str:
    record = read(path.read_text(encoding="utf-8"))
    for _ in range(1 + pick(3)):
        change(record, pick)
    return write(record)


@pytest.mark.parametrize("seed", range(4))
def test_changed_records_by_both(seed: int) -> None:
    pick = random.Random(seed).randrange
    judged = brute = 0
    seen = set()
    while judged < 400:
        result = same(shipped()["2016"], changed(EXAMPLES[pick(len(EXAMPLES))], pick))
        if result is not None:
            judged += 1
            brute += result[1].could_be is not None
            seen.add(result[0].verdict)
    assert brute > 200
    assert seen == {"pass", "fail", "invalid", "incomplete"}


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_changed_records_by_both_and_shrunk(data: st.DataObject) -> None:
    pick: Pick = lambda n: data.draw(st.integers(0, n - 1)) if n > 1 else 0  # noqa: E731
    same(shipped()["2016"], changed(EXAMPLES[pick(len(EXAMPLES))], pick))


OF_ITEMS = (
    "specimen.at_verification.refusals <= 2",
    "specimen.at_verification.tension >= load",
    "specimen.at_full_refusal.tension <= 1.2 * load",
    "specimen.at_full_refusal.visible_gap",
    'not (specimen.ended is one of {"fracture", "seized"})',
    "specimen.at_verification.refusals <= indicator.spaces / 2",
)
OF_RECORD = (
    "head_held",
    "every(specimens, specimen.at_verification.refusals <= 2)",
    "count(specimens, specimen.at_verification.tension >= load) >= 2",
    "most <= 2",
    "sum(specimens, specimen.at_verification.refusals) <= 4",
    'bolt.grade = "A325" or head_held',
    "tested <= device.calibrated + 6 months",
    "recorded(wrench)",
)


def small_edition(pick: Pick) -> str:
    def one(of: tuple[str, ...]) -> str:
        return of[pick(len(of))]

    requirements: dict[str, Any] = {}
    for n in range(2 + pick(4)):
        each = pick(3) > 0
        pool = OF_ITEMS if each else OF_RECORD
        kind = one(("acceptance", "acceptance", "setup", "setup", "advice"))
        rule: dict[str, Any] = {"title": f"rule {n}", "kind": kind}
        if each:
            rule["each"] = "specimens"
        if pick(12):
            rule["require"] = one(pool)
        else:
            rule["absent"] = "asked in words only"
        if rule["kind"] == "setup" and pick(3):
            rule["voids"] = one(("passes", "failures", "both"))
        if pick(4) == 0:
            rule["applies"] = one((*pool, 'bolt.grade = "A325"'))
        if pick(4) == 0:
            rule["unless"] = {f"case-{k}": {"title": "a case", "when": one(pool)} for k in range(1 + pick(2))}
        if rule["kind"] != "advice" and pick(3) and "absent" not in rule:
            rule["waivable_by"] = ["engineer"]
        requirements[f"rule-{n}"] = rule
    return write({
        "ruleset": "small", "edition": "one", "language": "1", "title": "A small edition",
        "effective": {"from": "2020-01-01"}, "months": "clamp",
        "sources": {"s": {"title": "Invented", "standing": "invented"}},
        "covers": {"bolt.grade": {"A325": {"also": ["Group 120"], "when": "head_held"}, "A490": {}}},
        "tables": {"loads": {"title": "loads", "by": [{"key": "bolt.grade"}], "source": {"of": "s", "clause": "T"},
                             "rows": {"A325": "41 kip", "A490": "51 kip"}}},
        "terms": {"load": {"title": "load", "is": "loads[bolt.grade]"},
                  "most": {"title": "most", "is": "largest(specimens, specimen.at_verification.refusals)"}},
        "procedures": {"dti-lot": {"asks": {"specimens": str(1 + pick(3))}, "requirements": requirements}},
    })  # fmt: skip


def small_record(pick: Pick) -> str:
    def maybe(into: dict[str, Any], name: str, *of: Any) -> None:
        if pick(8):
            into[name] = of[pick(len(of))]

    record: dict[str, Any] = {"procedure": "dti-lot", "id": "S-1"}
    record["tested"] = ("2026-04-14", "2026-08-28", "2026-08-31")[pick(3)]
    grade = ("A325", "A325", "A325", "A490", "Group 120", "Group 144")[pick(6)]
    record["bolt"] = {"grade": grade, "diameter": "7/8 in"}
    record["indicator"] = {"type": "325", "spaces": "5"}
    maybe(record, "device", {"calibrated": "2026-02-28"})
    maybe(record, "head_held", "true", "true", "false")
    maybe(record, "wrench", "hand")
    record["specimens"] = []
    for _ in range(pick(5)):
        counted: dict[str, Any] = {}
        last: dict[str, Any] = {}
        maybe(counted, "tension", "41 kip", "42 kip", "40 kip")
        maybe(counted, "refusals", "0", "1", "2", "2", "3")
        maybe(last, "tension", "48 kip", "49.5 kip")
        maybe(last, "visible_gap", "true", "true", "false")
        specimen: dict[str, Any] = {"at_verification": counted, "at_full_refusal": last}
        if pick(6) == 0:
            specimen["ended"] = ("fracture", "nothing")[pick(2)]
        if pick(8) == 0:
            specimen["set_aside"] = {"why": "spoiled", "by": "M. Ito"}
        record["specimens"].append(specimen)
    for _ in range(pick(6)):
        role = ("engineer", "engineer", "engineer", "inspector")[pick(4)]
        waiver = {"requirement": f"rule-{pick(4)}", "by": "J. Orr", "role": role, "on": "2026-05-01", "why": "agreed"}
        if pick(2):
            waiver["item"] = f"specimens[{1 + pick(4)}]"
        record.setdefault("waivers", []).append(waiver)
    return write(record)


@pytest.mark.parametrize("seed", range(2))
def test_small_editions_by_both(seed: int) -> None:
    pick = random.Random(100 + seed).randrange
    verdicts: list[str] = []
    waived = 0
    for _ in range(40):
        edition = small_edition(pick)
        for _ in range(8):
            result = same(edition, small_record(pick))
            if result is not None:
                verdicts.append(result[0].verdict)
                waived += any(each.outcome == "waived" for each in result[0].findings)
    assert len(verdicts) > 250
    assert waived > 3
    assert set(verdicts) == {"pass", "fail", "invalid", "incomplete"}
