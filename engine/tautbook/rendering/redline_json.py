"""Redline -> the JSON object that ``schemas/redline.schema.json`` describes."""

from __future__ import annotations

from typing import Any

from ..comparing.asked import RESTS_ON, AskedOtherwise
from ..comparing.change import Change
from ..comparing.effect import Deciding, Effect, Outcome
from ..comparing.redline import Redline
from .parts_json import engine_json, rules_json
from .redline import headline


def redline_json(redline: Redline) -> dict[str, Any]:
    effects = redline.effects
    return {
        "headline": headline(redline),
        "from": rules_json(redline.old),
        "to": rules_json(redline.new),
        "engine": engine_json(),
        "bounds": [{"name": name, "value": value} for name, value in effects.bounds],
        "missing": effects.missing,
        "changes": [_change(each) for each in redline.changes],
        "effects": [_effect(each) for each in effects.effects],
        "programme": {"rests_on": RESTS_ON, "tests": [_asked(each) for each in redline.programme]},
    }


def _change(change: Change) -> dict[str, Any]:
    return {
        "id": change.id, "what": change.what, "where": change.where, "change": change.how, "before": change.before,
        "after": change.after, "difference": change.detail or None, "part": list(change.part), "item": change.item,
        "member": change.member or None, "title": change.title or None,
        "why": [{"edition": each.edition, "text": each.why} for each in change.why],
    }  # fmt: skip


def _asked(asked: AskedOtherwise) -> dict[str, Any]:
    return {
        "procedure": asked.procedure, "title": asked.title, "asks": asked.asks, "sentence": asked.sentence,
        "because": list(asked.because),
    }  # fmt: skip


def _effect(effect: Effect) -> dict[str, Any]:
    return {
        "procedure": effect.procedure,
        "requirement": effect.requirement,
        "title": effect.title,
        "advice": effect.advice,
        "effect": effect.effect,
        "scope": [{"path": path, "values": list(values)} for path, values in effect.scope],
        "because": list(effect.because),
        "records": [_record(each) for each in effect.records],
        "reason": effect.reason,
        "sentence": effect.sentence,
    }


def _record(record: Deciding) -> dict[str, Any]:
    return {
        "name": record.name, "direction": record.direction, "about": record.about, "content": record.content,
        "before": _outcome(record.before), "after": _outcome(record.after),
    }  # fmt: skip


def _outcome(outcome: Outcome) -> dict[str, Any]:
    return {"verdict": outcome.verdict, "finding": outcome.finding, "sentence": outcome.sentence}
