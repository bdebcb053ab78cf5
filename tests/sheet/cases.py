"""Records with what the engine says of them, as data that the page's own judge can be held to."""

import copy
import json
import random
import re
from collections.abc import Iterator
from functools import cache
from typing import Any

from reference.both import EDITIONS, HOME, Pick
from reference.changes import BY_PROCEDURE, PROCEDURES, RECORDS, change, written_out
from reference.shapes import Tree, read, schema
from tautbook import Shelf, explain
from tautbook.editions.edition import Edition
from tautbook.judging.verdict import judge_record
from tautbook.records.evidence import with_evidence
from tautbook.records.read import read_records

Case = dict[str, Any]
"""``edition``, ``procedure``, ``record`` (its values as texts), ``expected``: what the engine says, None where it
refuses the record."""


@cache
def edition_named(name: str) -> Edition:
    return Shelf.default().edition("tern-sound", name)


def worked(edition: str) -> Iterator[Case]:
    """Every worked record that the edition has rules for, and those made for its boundaries."""
    made = [
        read(line)
        for path in sorted((HOME / "boundaries" / "examples").glob("*.jsonl"))
        for line in path.read_text(encoding="utf-8").splitlines()
    ]
    for record in [*RECORDS.values(), *made]:
        if record["procedure"] in edition_named(edition).procedures:
            yield case(edition, written_out(record))


def numbered(edition: str, *numbers: str) -> list[Case]:
    """The worked records of these numbers."""
    found = {record["id"]: record for record in RECORDS.values()}
    return [case(edition, written_out(found[number])) for number in numbers]


def generated(seed: int, count: int) -> Iterator[Case]:
    """Small changes of worked records: readings, units, dates, words, items, set aside, waivers, evidence."""
    pick: Pick = random.Random(seed).randrange
    often = (*PROCEDURES, "dti-lot", "dti-short-bolt")
    for _ in range(count):
        alike = BY_PROCEDURE[often[pick(len(often))]]
        record = written_out(alike[pick(len(alike))]) if pick(3) else copy.deepcopy(alike[pick(len(alike))])
        for _ in range(1 + pick(3)):
            change(record, pick)
        names = [name for name in EDITIONS if record["procedure"] in edition_named(name).procedures]
        yield case(names[pick(len(names))], written_out(record))


def case(edition: str, record: Tree) -> Case:
    expected = expected_of(edition_named(edition), record)
    return {"edition": edition, "procedure": record["procedure"], "record": record, "expected": expected}


_JSON_NUMBER = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][+-]?[0-9]+)?")


def filed(part: Any, of: Tree) -> str:
    """A part of a record, its values as texts, as a JSON file holds it: numbers as they were written."""
    if isinstance(part, dict):
        inside = schema(of["x-procedure"]) if of["x-kind"] == "evidence" else of
        below = inside.get("properties", {})
        told = (f"{json.dumps(key)}: {filed(each, below.get(key, {'x-kind': 'raw'}))}" for key, each in part.items())
        return f"{{{', '.join(told)}}}"
    if isinstance(part, list):
        return f"[{', '.join(filed(each, of.get('items', {'x-kind': 'raw'})) for each in part)}]"
    bare = of["x-kind"] in ("yes-no", "raw") and part in ("true", "false")
    bare = bare or (of["x-kind"] in ("whole", "raw") and _JSON_NUMBER.fullmatch(part) is not None)
    return part if bare else json.dumps(part)


def expected_of(edition: Edition, record: Tree) -> Case | None:
    """What the engine says of a record that has all it rests on in it."""
    ((found, _),) = read_records(filed(record, schema(record["procedure"])).encode(), "record.json")
    if found is not None:
        found, _ = with_evidence(found, None)
    verdict = None if found is None else judge_record(found, edition)[0]
    if verdict is None:
        return None
    explanation = explain(verdict)
    return {
        "verdict": verdict.verdict,
        "could_be": list(verdict.could_be),
        "advisory": explanation.advisory,
        "headline": explanation.headline,
        "void": sorted(explanation.void),
        "ignored": [
            {"path": each.waiver.path, "requirement": each.waiver.requirement, "item": each.waiver.item,
             "why": re.sub(r"`([^`]*)`", r"“\1”", each.why)}
            for each in verdict.ignored_waivers
        ],
        "findings": [
            {
                "requirement": each.finding.id,
                "item": each.finding.item,
                "outcome": each.finding.outcome,
                "voided": each.finding.voided,
                "missing": list(each.finding.missing),
                "no_rule": [reason.told for reason in each.finding.no_rule],
                "decides": each.decides,
                "sentence": each.sentence,
                "next": each.next,
            }
            for each in explanation.findings
        ],
    }
