"""A small edition, written out of the parts that a test is about, and records for it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import yaml

from tautbook.editions.edition import Edition
from tautbook.editions.read import read_edition
from tautbook.judging.findings import Finding
from tautbook.judging.verdict import Verdict, judge_record
from tautbook.lang.problem import Problem, show
from tautbook.records.evidence import with_evidence
from tautbook.records.read import read_records
from tautbook.records.record import Record


class _Plain(yaml.SafeDumper):
    """Writes a part that stands twice out twice: records take no aliases."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def _yaml(written: Mapping[str, Any]) -> bytes:
    return yaml.dump(written, Dumper=_Plain, sort_keys=False, width=2000).encode()


COUNT = {"kind": "acceptance", "each": "specimens", "require": "specimen.at_verification.refusals <= 2"}
"""Acceptance of each specimen: at most 2 refusals."""
LOADED = {"kind": "setup", "each": "specimens", "require": "specimen.at_verification.tension >= 41 kip"}
HELD = {"kind": "setup", "require": "head_held"}


def edition(requirements: Mapping[str, Mapping[str, Any]], asks: int = 3, **more: Any) -> Edition:
    written = {
        "ruleset": "small", "edition": "1", "language": 1, "title": "A small edition",
        "effective": {"from": "2020-01-01"}, "months": "clamp",
        "sources": {"s": {"title": "Invented", "standing": "invented"}},
        "covers": {"bolt.grade": ["A325"]},
        "procedures": {"dti-lot": {
            **({"asks": {"specimens": asks}} if asks else {}),
            "requirements": {id: {"title": id, **parts} for id, parts in requirements.items()},
        }},
        **more,
    }  # fmt: skip
    found, problems = read_edition(_yaml(written), "small.yaml")
    assert found is not None, "\n".join(show(problem) for problem in problems)
    return found


def record(*specimens: Mapping[str, Any] | tuple[str, int], **more: Any) -> Record:
    """A specimen is (tension, refusals), or written out."""
    written = {
        "procedure": "dti-lot", "id": "S-1", "tested": "2026-04-14",
        "bolt": {"grade": "A325", "diameter": "7/8 in"}, "indicator": {"type": "325", "spaces": 5},
        "specimens": [_specimen(each) for each in specimens], **more,
    }  # fmt: skip
    return recorded(written)


def recorded(written: Mapping[str, Any]) -> Record:
    """A record written out in full, with the records that it rests on inside it."""
    ((found, problems),) = read_records(_yaml(written), "small-record.yaml")
    if found is not None:
        found, problems = with_evidence(found, None)
    assert found is not None, "\n".join(show(problem) for problem in problems)
    return found


def _specimen(written: Mapping[str, Any] | tuple[str, int]) -> Mapping[str, Any]:
    if isinstance(written, Mapping):
        return written
    return {"at_verification": {"tension": written[0], "refusals": written[1]}}


def judged(by: Edition, on: Record) -> Verdict:
    verdict, problems = judge_record(on, by)
    assert verdict is not None, "\n".join(show(problem) for problem in problems)
    return verdict


def problems_of(by: Edition, on: Record) -> tuple[Problem, ...]:
    verdict, problems = judge_record(on, by)
    assert verdict is None
    return problems


def finding(verdict: Verdict, id: str, item: str | None = None) -> Finding:
    (found,) = [each for each in verdict.findings if each.id == id and each.item == item]
    return found
