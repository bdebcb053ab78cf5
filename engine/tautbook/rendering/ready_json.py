"""How a job stands, and a sample drawn, as JSON."""

from __future__ import annotations

from typing import Any

from ..jobs.equipment import EquipmentStanding
from ..jobs.fault import Fault
from ..jobs.judged import Judged
from ..jobs.ready import Ready
from ..jobs.sample import Sample
from ..jobs.standing import Standing
from .parts_json import engine_json, left_json, rules_json
from .ready_words import headline


def ready_json(ready: Ready) -> dict[str, Any]:
    """The object that ``schemas/ready.schema.json`` describes."""
    job = ready.job
    return {
        "state": ready.state,
        "headline": headline(ready),
        "asked": ready.asked,
        "passed": ready.passed,
        "on": None if ready.on is None else ready.on.isoformat(),
        "job": {
            "id": job.id, "title": job.title, "contract": job.contract, "owner": job.owner,
            "letting": None if job.letting is None else job.letting.isoformat(), "file": job.file,
        },
        "rules": rules_json(ready.edition),
        "engine": engine_json(),
        "in_the_way": [_fault(each) for each in ready.in_the_way],
        "told": [_fault(each) for each in ready.told],
        "tests": [_test(each) for each in ready.standings],
        "equipment": [_equipment(each) for each in ready.equipment],
        "dispositions": [
            {"of": each.lot.of, "lot": each.lot.number, "maker": each.lot.maker, "decision": each.decision,
             "by": each.by, "role": each.role, "on": each.on.isoformat(), "quantity": each.quantity,
             "treatment": each.treatment, "record": each.record}
            for each in job.dispositions
        ],
        "left_to_people": left_json(ready.edition.left_to_people),
    }  # fmt: skip


def _fault(fault: Fault) -> dict[str, Any]:
    return {"code": fault.code, "text": fault.text, "next": fault.next, "records": list(fault.records)}


def _test(standing: Standing) -> dict[str, Any]:
    need, leave = standing.need, standing.leave
    return {
        "procedure": need.procedure.id,
        "title": need.procedure.title,
        "clause": need.asked.clause,
        "combination": [{"path": key.path, "title": key.title, "value": key.written} for key in need.keys],
        "assemblies": [each.number for each in need.assemblies],
        "state": standing.state,
        "record": None if standing.record is None else _record(standing.record),
        "until": None if standing.until is None else standing.until.isoformat(),
        "missing": list(standing.missing),
        "next": list(standing.next),
        "unsure": list(need.unsure),
        "hidden": [each.id for each in standing.hidden],
        "left_out": None if leave is None else {
            "by": leave.by, "role": leave.role, "on": leave.on.isoformat(), "why": leave.why
        },
        "records": [_record(each) for each in standing.records],
    }  # fmt: skip


def _record(judged: Judged) -> dict[str, Any]:
    return {
        "id": judged.id, "file": judged.record.file, "digest": judged.record.digest,
        "tested": None if judged.tested is None else judged.tested.isoformat(),
        "verdict": judged.verdict, "headline": judged.explanation.headline, "retest_of": judged.retest_of,
        "doubts": [each.code for each in judged.doubts],
    }  # fmt: skip


def _equipment(standing: EquipmentStanding) -> dict[str, Any]:
    return {
        "of": standing.equipment.of,
        "name": standing.equipment.name,
        "usable": [
            {"procedure": each.procedure.id, "requirement": each.requirement.id,
             "clause": each.requirement.origin.clause,
             "until": None if each.until is None else each.until.isoformat(), "on_the_day": each.on_the_day}
            for each in standing.usable
        ],
    }  # fmt: skip


def sample_json(sample: Sample, rules: dict[str, Any]) -> dict[str, Any]:
    return {
        "sample": {
            "of": sample.of, "procedure": sample.need.procedure.id, "figure": sample.title, "clause": sample.clause,
            "population": sample.population, "size": len(sample.drawn), "seed": sample.seed,
            "drawn": list(sample.drawn),
        },
        "rules": rules,
        "engine": engine_json(),
    }  # fmt: skip
