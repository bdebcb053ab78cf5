"""Records with what the engine says of them, as data that the page's own judge can be held to."""

import random
from collections.abc import Iterator
from functools import cache
from typing import Any

from reference.both import EDITIONS, HOME, Pick, write
from reference.changes import RECORDS, changed, written_out
from reference.shapes import Tree, read
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


def worked() -> Iterator[Case]:
    """Every worked record by every edition that has rules for it, and those made for the boundaries."""
    made = [
        read(line)
        for path in sorted((HOME / "boundaries" / "examples").glob("*.jsonl"))
        for line in path.read_text(encoding="utf-8").splitlines()
    ]
    for record in [*RECORDS.values(), *made]:
        for name in EDITIONS:
            if record["procedure"] in edition_named(name).procedures:
                yield case(name, written_out(record))


def generated(seed: int, count: int) -> Iterator[Case]:
    """Small changes of worked records: readings, units, dates, words, items, set aside, waivers, evidence."""
    pick: Pick = random.Random(seed).randrange
    made = 0
    while made < count:
        record = written_out(read(changed(pick)))
        names = [name for name in EDITIONS if record["procedure"] in edition_named(name).procedures]
        yield case(names[pick(len(names))], record)
        made += 1


def case(edition: str, record: Tree) -> Case:
    expected = expected_of(edition_named(edition), record)
    return {"edition": edition, "procedure": record["procedure"], "record": record, "expected": expected}


def expected_of(edition: Edition, record: Tree) -> Case | None:
    """What the engine says of a record that has all it rests on in it."""
    ((found, _),) = read_records(write(record).encode(), "record.yaml")
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
        "findings": [
            {
                "requirement": each.finding.id,
                "item": each.finding.item,
                "outcome": each.finding.outcome,
                "voided": each.finding.voided,
                "missing": list(each.finding.missing),
                "no_rule": [reason.told for reason in each.finding.no_rule],
                "decides": each.decides,
            }
            for each in explanation.findings
        ],
    }
