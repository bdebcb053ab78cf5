"""Explanation -> the JSON object of a verdict. It holds the whole record, so that it can be judged again."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ..editions.edition import Edition, NamedException
from ..explaining.comparisons import Comparison
from ..explaining.explain import Explained, Explanation
from ..judging.verdict import Verdict
from ..judging.waivers import Waiver
from ..lang.evaluate import Step
from ..lang.quantity import Quantity
from ..lang.values import Open
from ..records.record import Record, content
from .parts_json import engine_json, from_json, left_json, rules_json, value_json


def verdict_json(explanation: Explanation) -> dict[str, Any]:
    """The object that ``schemas/verdict.schema.json`` describes."""
    verdict = explanation.verdict
    record = verdict.record
    return {
        "verdict": verdict.verdict,
        "could_be": list(verdict.could_be),
        "advisory": explanation.advisory,
        "demonstration": explanation.demonstration,
        "waived": list(_waived(verdict, "")),
        "ignored_waivers": [{**_waiver(each.waiver), "ignored": each.why} for each in verdict.ignored_waivers],
        "set_aside": list(verdict.observed.set_aside),
        "evidence": [_evidence(slot, other, explanation) for slot, other in record.evidence.items()],
        "headline": explanation.headline,
        "record": {
            "id": record.id,
            "file": record.file,
            "digest": record.digest,
            "content": content(record.shaped),
        },
        "rules": rules_json(verdict.edition),
        "engine": engine_json(),
        "findings": [_finding(each, verdict.edition) for each in explanation.findings],
        "left_to_people": left_json(verdict.edition.left_in(verdict.procedure.id)),
        **({"remarks": list(explanation.remarks)} if explanation.remarks else {}),
    }


def _evidence(slot: str, other: Record, explanation: Explanation) -> dict[str, Any]:
    """What the record rests on. The other record stands whole in the content of this one."""
    judged = explanation.evidence.get(slot)
    return {
        "path": f"evidence.{slot}",
        "id": other.id,
        "file": other.file,
        "digest": other.digest,
        "verdict": None if judged is None else judged.verdict.verdict,
        "headline": None if judged is None else judged.headline,
    }


def _waived(verdict: Verdict, prefix: str) -> Iterator[dict[str, Any]]:
    """Waived findings, those of the records that this one rests on included."""
    for each in verdict.findings:
        if each.waiver is not None:
            item = None if each.item is None else prefix + each.item
            yield {"item": item, **_waiver(each.waiver), "path": prefix + each.waiver.path}
    for slot, other in verdict.evidence.items():
        yield from _waived(other, f"{prefix}evidence.{slot}.")


def _waiver(waiver: Waiver) -> dict[str, Any]:
    return {
        "requirement": waiver.requirement, "by": waiver.by, "role": waiver.role, "on": waiver.on, "why": waiver.why,
        "path": waiver.path,
    }  # fmt: skip


def _finding(explained: Explained, edition: Edition) -> dict[str, Any]:
    finding = explained.finding
    requirement = finding.requirement
    return {
        "requirement": requirement.id,
        "title": requirement.title,
        "kind": requirement.kind,
        "outcome": finding.outcome,
        "voided": finding.voided,
        "decides": explained.decides,
        "item": finding.item,
        "clause": requirement.origin.clause,
        "source": requirement.origin.source,
        "standing": requirement.origin.standing,
        "layer": requirement.origin.layer,
        "comparisons": [_comparison(each, edition) for each in explained.comparisons],
        "exception": None if finding.exception is None else finding.exception.id,
        "exceptions": [
            _exception(*each, edition)
            for each in zip(requirement.unless, finding.exceptions, explained.exceptions, strict=True)
        ],
        "missing": list(finding.missing),
        "no_rule": [reason.told for reason in finding.no_rule],
        "sentence": explained.sentence,
        "next": explained.next,
    }


def _exception(
    named: NamedException, step: Step, told: tuple[Comparison, ...], edition: Edition
) -> dict[str, Any]:  # fmt: skip
    return {
        "id": named.id,
        "title": named.title,
        "clause": named.clause,
        "outcome": "open" if isinstance(step.value, Open) else "met" if step.value is True else "not met",
        "comparisons": [_comparison(each, edition) for each in told],
    }


def _comparison(comparison: Comparison, edition: Edition) -> dict[str, Any]:
    observed = {**value_json(comparison.observed.value), "path": comparison.observed.path}
    if comparison.observed.raw is not None:
        observed["raw"] = value_json(comparison.observed.raw.value)
    if comparison.observed.origins:
        observed["from"] = [from_json(origin, edition) for origin in comparison.observed.origins]
    limit = comparison.limit
    return {
        "observed": observed,
        "relation": comparison.relation,
        "limit": None if limit is None else _limit(comparison, edition),
        "margin": _margin(comparison.margin),
        "tie": comparison.tie,
        "outcome": comparison.outcome,
    }


def _limit(comparison: Comparison, edition: Edition) -> dict[str, Any]:
    limit = comparison.limit
    assert limit is not None
    found = {**value_json(limit.value), "from": [from_json(origin, edition) for origin in limit.origins]}
    if limit.path is not None and limit.raw is None:
        found["from"] = [{"path": limit.path, **value_json(limit.value)}]
    return found


def _margin(margin: Quantity | int | None) -> str | None:
    """In the unit of the limit; whole days between dates."""
    return str(margin) if isinstance(margin, int) else value_json(margin)["value"]
