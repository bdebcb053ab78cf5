"""Small changes of worked records: in the record itself, and in the evidence once it is written out in it."""

import copy
import re
from collections.abc import Iterator
from datetime import date, timedelta
from fractions import Fraction
from typing import Any

from reference.both import EDITIONS, FOLDER, WORKED, Pick, write
from reference.evidence import rests_on
from reference.shapes import DEEPEST, Tree, read, schema, slots, top_lists

RECORDS = {name: read(text) for name, text in WORKED.items()}
PROCEDURES = sorted({record["procedure"] for record in RECORDS.values()})
BY_PROCEDURE = {p: [r for r in RECORDS.values() if r["procedure"] == p] for p in PROCEDURES}
REQUIREMENTS = {
    procedure: sorted({
        id
        for edition in map(read, EDITIONS.values())
        for id in edition["procedures"].get(procedure, {"requirements": ()})["requirements"]
    })
    for procedure in PROCEDURES
}  # fmt: skip
UNJUDGED = {"procedure", "job", "performed_by", "observed_by", "drawn", "waivers", "evidence", "local", "notes"}
GRADES = ["A325", "A490", "Group 120", "Group 150"]
OTHERS = {"grade": GRADES, "standard": ["A325", "F3125"], "type": ["325", "490"], "diameter": ["7/8 in", "1-1/8 in"],
          "finish": ["plain", "galvanized", "mechanically galvanized"]}  # fmt: skip


def written_out(record: Tree, deepest: int = DEEPEST) -> Tree:
    """The record with all that it rests on in it."""
    whole = copy.deepcopy(record)
    for slot, other in rests_on(whole, FOLDER).items() if deepest else ():
        whole["evidence"][slot] = written_out(other, deepest - 1)
    return whole


def wholes(record: Tree) -> Iterator[Tree]:
    """The record, and those that are written out in it."""
    yield record
    for other in record.get("evidence", {}).values():
        if isinstance(other, dict):
            yield from wholes(other)


def leaves(tree: Any, of: Tree, path: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], Tree]]:
    """Every scalar by its path, and what the schema says of it."""
    if isinstance(tree, dict):
        for key, below in tree.items():
            if path or key not in UNJUDGED:
                yield from leaves(below, of["properties"][key], (*path, key))
    elif isinstance(tree, list):
        for n, below in enumerate(tree):
            yield from leaves(below, of["items"], (*path, n))
    else:
        yield path, of


def other(written: str, name: str, info: Tree, pick: Pick) -> str:
    """Another value of the field: a step of its resolution up or down, another choice, another unit."""
    kind = info["x-kind"]
    if name in OTHERS and pick(4):
        return OTHERS[name][pick(len(OTHERS[name]))]
    if kind == "yes-no":
        return "false" if written == "true" else "true"
    if kind == "date":
        return str(date.fromisoformat(written) + timedelta(days=(1, -1, 190, -190, 366, -366)[pick(6)]))
    if kind == "choice":
        options = info.get("enum") or [written]
        return str(options[pick(len(options))])
    if kind == "whole":
        return str(max(0, int(written) + (1, -1)[pick(2)]))
    if kind == "text":
        return ("X-1", "TS-0411")[pick(2)]
    number, _, unit = written.partition(" ")
    if unit and pick(4) == 0:
        return f"{number} {info['x-unit'][pick(len(info['x-unit']))]}"
    if re.search(r"\d[-/]", number):
        return ("7/8", "1-1/8", "3/4", "2")[pick(4)] + f" {unit}"
    step = Fraction(str((info.get("x-resolution") or {}).get(unit, "1"))) * (1, -1, 10, -10)[pick(4)]
    return f"{float(Fraction(number) + step):g} {unit}".strip()


def _item(record: Tree, pick: Pick) -> None:
    """One item more or less, one set aside, one that ended early."""
    lists = [record[name] for name in top_lists(record["procedure"]) if name != "waivers" and record.get(name)]
    points = record.get("device", {}).get("corrections", {}).get("points", [])
    if len(points) > 1 and pick(6) == 0:
        points.pop(pick(len(points)))
    elif lists:
        items, way = lists[0], pick(2 if record["procedure"] == "dti-installed" else 4)
        n = pick(len(items))
        if way == 0:
            items.pop(n)
        elif way == 1:
            items.append(copy.deepcopy(items[n]))
        elif way == 2:
            items[n]["set_aside"] = {"why": "spoiled", "by": "M. Ito"}
        else:
            items[n]["ended"] = ("nothing", "fracture", "stripped", "seized")[pick(4)]


def _evidence(record: Tree, pick: Pick) -> None:
    """A test that it rests on left out, named, or written out."""
    takes = slots(record["procedure"])
    if not takes:
        return
    slot = sorted(takes)[pick(len(takes))]
    into = record.setdefault("evidence", {})
    if slot in into and pick(2):
        del into[slot]
    else:
        found = BY_PROCEDURE[takes[slot]][pick(len(BY_PROCEDURE[takes[slot]]))]
        into[slot] = written_out(found) if pick(2) else found["id"]
    if not into:
        del record["evidence"]


def _waiver(record: Tree, pick: Pick) -> None:
    """A waiver, by the right role or another, for what may or may not be waived; often of what is not met."""
    ids = REQUIREMENTS[record["procedure"]]
    id = ids[pick(len(ids))]
    if record["procedure"] == "dti-lot" and pick(3):
        id, name, instead = (("threads-in-grip", "threads_in_grip", "6"), ("hand-wrench", "wrench", "impact"))[pick(2)]
        record[name] = instead
    waive(record, id, None if pick(3) else f"specimens[{1 + pick(3)}]", pick)


def waive(record: Tree, id: str, item: str | None, pick: Pick) -> None:
    role = ("engineer", "engineer", "inspector")[pick(3)]
    waiver = {"requirement": id, "by": "J. Orr", "role": role, "on": "2026-05-01", "why": "agreed"}
    record.setdefault("waivers", []).append(waiver if item is None else {**waiver, "item": item})


def _again(record: Tree, pick: Pick) -> None:
    """A test made again, or not."""
    if record.pop("retest_of", None) is None:
        record["retest_of"] = ("TS-0411", "TS-0601", "TS-0804")[pick(3)]
        if record["procedure"] != "dti-installed" and pick(2):
            role = ("engineer", "inspector")[pick(2)]
            record |= {"retest_leave": {"by": "J. Orr", "role": role, "on": "2026-04-01"}, "new_assemblies": "true"}
        if record["procedure"] == "dti-lot" and pick(2):
            record.setdefault("evidence", {})["earlier"] = "TS-0411"
    elif pick(4):  # else it is refused
        record.get("evidence", {}).pop("earlier", None)


def change(record: Tree, pick: Pick) -> None:
    """One small change."""
    every = list(wholes(record))
    record = every[pick(len(every))] if pick(3) else every[-1]
    way = pick(16)
    if way < 3:
        _item(record, pick)
    elif way < 5:
        _evidence(record, pick)
    elif way == 5:
        _waiver(record, pick)
    elif way == 6:
        _again(record, pick)
    elif way == 7:
        record["local"] = {"tern-sound": {"crew_instructed": ("true", "false")[pick(2)]}}
    else:
        open_to_change = list(leaves(record, schema(record["procedure"])))
        (*above, last), info = open_to_change[pick(len(open_to_change))]
        into: Any = record
        for step in above:
            into = into[step]
        if way < 11:
            del into[last]
        else:
            into[last] = other(into[last], str(last), info, pick)


def changed(pick: Pick) -> str:
    """A worked record with one to three changes."""
    often = (*PROCEDURES, "dti-lot", "dti-short-bolt", "dti-short-bolt")
    of = BY_PROCEDURE[often[pick(len(often))]]
    record = of[pick(len(of))]
    record = written_out(record) if pick(3) else copy.deepcopy(record)
    for _ in range(1 + pick(3)):
        change(record, pick)
    return write(record)
