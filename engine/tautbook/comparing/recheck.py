"""A stored verdict held to a new judgement of the record that it holds, by the edition that it was given by."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal

from ..editions.edition import Edition
from ..explaining.explain import Explanation, explain
from ..judging.verdict import judge_record
from ..lang.problem import Problem
from ..records.evidence import with_evidence
from ..records.read import record_of
from .replay import Replayed, replay_record
from .stored import Stored

AsStored = Callable[[Explanation], dict[str, Any]]
"""How a verdict is written to be stored: the JSON that ``judge`` prints."""

Part = Literal["record", "rules", "verdict", "headline", "finding", "figure", "wording"]

_PARTS: dict[str, Part] = {"record": "record", "rules": "rules", "headline": "headline", "left_to_people": "wording"}
_OF_VERDICT = (
    "verdict", "could_be", "advisory", "demonstration", "waived", "ignored_waivers", "set_aside", "evidence",
)  # fmt: skip
_OF_FINDING = ("kind", "outcome", "voided", "decides", "item", "exception", "missing", "no_rule", "requirement")
_OF_FIGURES = ("comparisons", "exceptions")
_LONGEST = 200


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing in which a stored verdict and the new judgement part. Texts are as JSON writes them."""

    part: Part
    where: str
    stated: str | None
    """None: the stored verdict does not have it."""
    now: str | None
    """None: the new judgement does not have it."""


@dataclass(frozen=True, slots=True)
class Rechecked:
    stored: Stored
    now: Explanation
    edition: Edition
    differences: tuple[Difference, ...]
    notes: tuple[str, ...]
    """What is worth knowing and breaks nothing."""
    version: str
    """Of the program that judges now."""
    under: Replayed | None = None
    """The record under another edition, if that was asked."""

    @property
    def holds(self) -> bool:
        """Another version of the program may word a finding in another way, and say nothing else in it."""
        same_program = self.stored.version == self.version
        return all(each.part == "wording" and not same_program for each in self.differences)


def recheck_stored(
    stored: Stored, edition: Edition, as_stored: AsStored, under: Edition | None = None
) -> tuple[Rechecked | None, tuple[Problem, ...]]:
    """``stored`` judged again by ``edition``, which is the one of its digest; or why its record cannot be judged."""
    record, problems = record_of(stored.content, stored.record_file)
    if record is not None:
        # Everything that the record rests on is written out in it. Nothing else is read.
        record, problems = with_evidence(record, None)
    if record is None:
        return None, problems
    # A draft can be enacted as it is. The verdict was one by a draft all the same, and says so.
    drafted = _at(stored.whole, "rules", "enacted") is False
    verdict, problems = judge_record(record, replace(edition, enacted=None) if drafted else edition)
    if verdict is None:
        return None, problems
    explanation = explain(verdict)
    now = as_stored(explanation)
    other = None
    if under is not None:
        other, problems = replay_record(record, edition, under)
        if other is None:
            return None, problems
    differences = tuple(differences_of(stored.whole, now))
    return Rechecked(
        stored, explanation, edition, differences, tuple(_notes(stored, edition, now)), now["engine"]["version"], other
    ), ()


def _notes(stored: Stored, edition: Edition, now: dict[str, Any]) -> Iterator[str]:
    version = now["engine"]["version"]
    if stored.version != version:
        yield f"judged by version {stored.version} of the program, and again by {version}"
    if edition.enacted is None:
        yield "judged by a draft: nobody has enacted it"
    elif not now["rules"]["enacted"]:
        yield f"judged by a draft, which was enacted as it was on {edition.enacted.on.isoformat()}"


def _at(tree: Any, *path: str) -> Any:
    for name in path:
        tree = tree.get(name) if isinstance(tree, dict) else None
    return tree


def differences_of(stated: dict[str, Any], now: dict[str, Any]) -> Iterator[Difference]:
    """Member by member, the record first. What says where a file stood when it was judged is left out."""
    before, after = _comparable(stated), _comparable(now)
    for name in dict.fromkeys(["record", "rules", *after, *before]):
        if name == "findings":
            yield from _of_findings(before.get(name), after[name])
        else:
            for where, was, is_now in _unlike(before.get(name, _NOTHING), after.get(name, _NOTHING), name):
                part = "verdict" if name in _OF_VERDICT else _PARTS.get(name, "wording")
                yield Difference(part, where, was, is_now)


def _comparable(whole: dict[str, Any]) -> dict[str, Any]:
    """Without the record itself, which its digest stands for, the program, where files stood, and what was said of the
    job that the record is of, which depends on the other papers there."""
    found = {name: value for name, value in whole.items() if name not in ("engine", "remarks")}
    for name, left_out in (("record", ("content", "file")), ("rules", ())):
        if isinstance(found.get(name), dict):
            found[name] = {key: value for key, value in found[name].items() if key not in left_out}
    for above, name in ((found, "evidence"), (found.get("rules"), "layers")):
        if isinstance(above, dict) and isinstance(above.get(name), list):
            above[name] = [_without_file(each) for each in above[name]]
    return found


def _without_file(value: Any) -> Any:
    return {key: below for key, below in value.items() if key != "file"} if isinstance(value, dict) else value


def _of_findings(stated: Any, now: list[dict[str, Any]]) -> Iterator[Difference]:
    """Findings by requirement and item; which of their members part."""
    after = _keyed(now)
    before = _keyed(stated)
    if before is None or after is None:
        for where, was, is_now in _unlike(stated, now, "findings"):
            yield Difference("finding", where, was, is_now)
        return
    for key in dict.fromkeys([*after, *before]):
        if key not in before or key not in after:
            was, is_now = (_outcome(each.get(key)) for each in (before, after))
            yield Difference("finding", key, was, is_now)
            continue
        for name in dict.fromkeys([*after[key], *before[key]]):
            part: Part = "finding" if name in _OF_FINDING else "figure" if name in _OF_FIGURES else "wording"
            for where, was, is_now in _unlike(before[key].get(name, _NOTHING), after[key].get(name, _NOTHING), name):
                yield Difference(part, f"{key}: {where}", was, is_now)
    if list(before) != list(after) and set(before) == set(after):
        yield Difference("wording", "order of the findings", "another", "that of the edition")


def _keyed(findings: Any) -> dict[str, dict[str, Any]] | None:
    """By what a person calls each; None if that cannot tell them apart."""
    found: dict[str, dict[str, Any]] = {}
    for each in findings if isinstance(findings, list) else [None]:
        if not isinstance(each, dict) or not isinstance(each.get("requirement"), str):
            return None
        item = each.get("item")
        key = each["requirement"] if item is None else f"{each['requirement']} {item}"
        if key in found:
            return None
        found[key] = each
    return found


def _outcome(finding: dict[str, Any] | None) -> str | None:
    return None if finding is None else _text(finding.get("outcome"))


_NOTHING = object()
"""Stands for a member that is not there."""


def _unlike(stated: Any, now: Any, where: str) -> Iterator[tuple[str, str | None, str | None]]:
    """Where two JSON values part, as deep as they can be told apart. Never deeper than reading allows."""
    if isinstance(stated, dict) and isinstance(now, dict):
        for name in dict.fromkeys([*now, *stated]):
            yield from _unlike(stated.get(name, _NOTHING), now.get(name, _NOTHING), f"{where}.{name}")
    elif isinstance(stated, list) and isinstance(now, list) and len(stated) == len(now):
        for number, (was, is_now) in enumerate(zip(stated, now, strict=True), 1):
            yield from _unlike(was, is_now, f"{where}[{number}]")
    elif type(stated) is not type(now) or stated != now:
        yield where, _text(stated), _text(now)


def _text(value: Any) -> str | None:
    """A text as it is, anything else as JSON; a long one cut."""
    if value is _NOTHING:
        return None
    text = value if isinstance(value, str) else json.dumps(value, default=str, ensure_ascii=False)
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}..."
