"""A whole record that two editions judge differently, made from what the solver found and held to the evaluator."""

from __future__ import annotations

import copy
import datetime
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from typing import Any

import z3

from ..explaining.explain import Explained, Explanation, explain
from ..explaining.labels import item_label, label
from ..judging.verdict import Verdict, judge_record
from ..lang import operations as do
from ..lang.kinds import ChoiceKind, NumberKind, QuantityKind, TextKind
from ..lang.quantity import ONE, Quantity, Unit
from ..lang.units import UNITS
from ..lang.values import Leaf, Plain
from ..proofreading.record_data import read_back
from .blank import as_data
from .effect import Deciding, Outcome
from .likes import Like, Likes
from .models import Wish, fulfilled, value_of, whole_of
from .paths import at_path
from .proof import Given, Prover, Question, Strength, Way
from .solving import Solver
from .symbols import OTHER, Day, Flag, NotReached, disj
from .turns import ORDER, rank, turn, worst
from .unknowns import AnyOther, Unknown, is_value, on_grid

STEPS = 1_000_000
"""Of the solver, for one record: where it takes more, a plainer one is tried."""
_EVIDENCE, _CORRECTIONS = "evidence.", "device.corrections."
_TRIES: tuple[tuple[bool, tuple[str, ...], int], ...] = (
    (False, (_EVIDENCE, _CORRECTIONS), 1), (True, (_EVIDENCE, _CORRECTIONS), 1), (False, (_EVIDENCE,), 1),
    (False, (), 1), (True, (_EVIDENCE, _CORRECTIONS), 10), (True, (_EVIDENCE, _CORRECTIONS), 100),
    (False, (_EVIDENCE,), 10),
)  # fmt: skip
"""Whether points are a straight line at nothing, what is taken from the record at hand, and into how many parts the
step of a reading is cut: the plainest first."""
_VERDICTS = {"pass": "accepted", "fail": "not met"}


@dataclass(slots=True)
class Maker:
    """Makes records for one procedure."""

    prover: Prover
    likes: Likes
    others: Mapping[str, Sequence[Deciding]] = field(default_factory=dict)
    """By procedure, deciding records that one of this procedure can rest on."""

    def deciding(
        self, id: str | None, fixed: Mapping[str, Plain], way: Way, strength: Strength, name: str
    ) -> Deciding | None:
        """A record that is judged so, on the grid of its readings if there is one; None: none could be made that the
        evaluator agrees with."""
        near = list(self.likes.near(self.prover.after.procedure, fixed, self._slots(id)))
        if id is None:
            near[:0] = [like for each in near[:1] for like in self.likes.resting_on(each, self.others)]
        for flat, taken, parts in _TRIES if id is not None else _TRIES[:2]:
            for like in near if parts == 1 and taken else near[:2]:
                base = self.likes.flat(like) if flat else like
                if base is None or not (len(taken) == len(_TAKEN) or _has_more(base.content, taken)):
                    continue
                found = self._made(base, id, fixed, way, strength, taken, parts, name)
                if found is not None:
                    return found
        return None

    def _slots(self, id: str | None) -> frozenset[str]:
        """What of other records the requirement reads."""
        if id is None:
            return frozenset()
        fields: set[str] = set()
        for side in (self.prover.before, self.prover.after):
            if id in side.requirements:
                fields |= self.prover.reach(id, side).fields
        return frozenset(path.split(".")[1] for path in fields if path.startswith("evidence."))

    def _made(
        self, like: Like, id: str | None, fixed: Mapping[str, Plain], way: Way, strength: Strength,
        taken: tuple[str, ...], parts: int, name: str,
    ) -> Deciding | None:  # fmt: skip
        given = Given(like.groups, taken)
        ask = self.prover
        try:
            question = ask.of_verdict(fixed, given) if id is None else ask.of_requirement(id, fixed, given=given)
        except NotReached:
            return None
        flag = question.of(way, strength)
        if flag is False:
            return None
        solver = Solver([*question.must, *question.lines, flag], STEPS, thorough=True)
        solver.add(step for unknown in question.unknowns.fields.values() for step in self._grid(unknown, like, parts))
        wishes, units = self._wishes(question, like, parts)
        model = fulfilled(solver, wishes)
        if model is None:
            return None
        record, told = self._written(question, model, like, units, fixed)
        record["id"] = name
        return self._held(record, id, way, strength, name, told)

    # What the record had better be

    def _unit(self, unknown: Unknown, like: Like) -> Unit | None:
        if not isinstance(unknown.kind, NumberKind | QuantityKind):
            return None
        leaf = like.leaf(unknown.path)
        value = leaf.value if leaf is not None else self.likes.seen(unknown.path)
        if isinstance(value, Quantity):
            return value.unit
        names = unknown.info.units if unknown.info is not None else ()
        return UNITS[names[0]] if names else ONE

    def _grid(self, unknown: Unknown, like: Like, parts: int) -> Iterator[Flag]:
        unit = self._unit(unknown, like)
        if unit is None or unknown.info is None:
            return
        step = unknown.info.resolution.get(unit.name)
        marks = like.leaf(unknown.info.read_in) if unknown.info.read_in else None
        if marks is not None and isinstance(marks.value, Quantity):
            yield on_grid(unknown, marks.value.value / parts)
        elif step is not None:
            yield on_grid(unknown, step * unit.scale / parts, unit.offset)

    def _wishes(self, question: Question, like: Like, parts: int) -> tuple[list[Wish], dict[str, Unit | None]]:
        units = {path: self._unit(unknown, like) for path, unknown in question.unknowns.fields.items()}
        wishes: list[tuple[tuple[int, int], Wish]] = []
        for number, (path, unknown) in enumerate(question.unknowns.fields.items()):
            leaf = at_path(like.groups[1], path)
            if isinstance(leaf, Leaf):
                flag = is_value(unknown, leaf.value, question.unknowns.words)
                wish = Wish(flag, _distance(unknown, leaf.value, self._step(unknown, units[path]) / parts))
                wishes.append(((0 if path == "tested" else 2 if "[" in path else 1, number), wish))
                wishes.append(((5, number), Wish(self._instead(unknown, flag))))
            else:
                wishes.append(((3, number), Wish(z3.Not(unknown.known))))
                seen = self.likes.seen(path)
                if seen is not None:
                    flag = z3.Implies(unknown.known, is_value(unknown, seen, question.unknowns.words))
                    distance = _distance(unknown, seen, self._step(unknown, units[path]) / parts)
                    wishes.append(((4, number), Wish(flag, distance)))
        for number, (path, listed) in enumerate(question.unknowns.lists.items()):
            if not isinstance(listed.length, int):
                data = at_path(like.groups[1], path)
                length = min(len(getattr(data, "items", ())), listed.most)
                wishes.append(((0, number), Wish(listed.length == length)))
                wishes.append(((0, number), Wish(listed.written == (length > 0))))
        return [wish for _, wish in sorted(wishes, key=lambda each: each[0])], units

    def _instead(self, unknown: Unknown, same: Flag) -> Flag:
        """What to record where it cannot be what the record at hand has. Words that some rule uses for something else
        are the last choice."""
        match unknown.kind:
            case TextKind():
                return disj(same, unknown.value >= OTHER)
            case ChoiceKind(options=None):
                return disj(same, z3.Not(unknown.known))
            case _:
                return disj(same, unknown.known)

    def _step(self, unknown: Unknown, unit: Unit | None) -> Fraction:
        if unit is None or unknown.info is None:
            return Fraction(1)
        return unknown.info.resolution.get(unit.name, Fraction(1)) * unit.scale

    # The record as it is written

    def _written(
        self, question: Question, model: Any, like: Like, units: Mapping[str, Unit | None], fixed: Mapping[str, Plain]
    ) -> tuple[dict[str, Any], list[str]]:
        record = copy.deepcopy(like.content)
        told: list[str] = []
        words = question.unknowns.vocabulary
        for path, listed in question.unknowns.lists.items():
            if not isinstance(listed.length, int):
                _resize(record, path, whole_of(model, listed.length))
        for path, always in fixed.items():
            if not isinstance(always, AnyOther):
                _put(record, self._path(path), always)
        for path, unknown in question.unknowns.fields.items():
            value = value_of(model, unknown, question.unknowns.words, units[path])
            before = at_path(like.groups[1], path)
            known_before = before.value if isinstance(before, Leaf) else None
            if value == known_before:
                continue
            if value is not None and re.search(r" \([12]\)$", path):
                continue  # the verdict on another record is never written
            _put(record, self._path(path), value)
            item = re.match(r"[a-z_]+\[[0-9]+\]", path)
            where = f"{item_label(item[0], words)}, " if item else ""
            said = "not recorded" if value is None else do.words(value)
            told.append(f"{where}{label(path, words)}: {said}")
        return record, told

    def _path(self, path: str) -> str:
        own = self.likes.editions[1].ruleset
        return f"local.{own}.{path.removeprefix('local.')}" if path.startswith("local.") else path

    # The evaluator has the last word

    def _held(
        self, record: dict[str, Any], id: str | None, way: Way, strength: Strength, name: str, told: list[str]
    ) -> Deciding | None:
        found, _ = read_back(json.dumps(record), f"{name}.json")
        if found is None:
            return None
        before, after = (judge_record(found, edition)[0] for edition in self.likes.editions)
        if before is None or after is None:
            return None
        told_before, told_after = explain(before), explain(after)
        better, worse = (told_before, told_after) if way == "stricter" else (told_after, told_before)
        if id is None:
            ranks = tuple(ORDER[_VERDICTS.get(each.verdict.verdict, "open")] for each in (better, worse))
            id_told = _deciding_requirement(better, worse)
        else:
            ranks, id_told = (), id
        good_one, bad_one = _pair(better, worse, id_told)
        good, bad = ranks or (_rank(good_one), _rank(bad_one))
        if not (good > bad and (strength != "decided" or (good, bad) == (2, 0))):
            return None
        one, two = (good_one, bad_one) if way == "stricter" else (bad_one, good_one)
        said = "" if bad_one is None else turn(good_one, bad_one, way, found.words)
        return Deciding(
            name, way, record, _outcome(before, one, id), _outcome(after, two, id), "; ".join(told), said
        )


def _pair(better: Explanation, worse: Explanation, id: str | None) -> tuple[Explained | None, Explained | None]:
    """The findings of a requirement on the item on which they are furthest apart; None: nothing is asked."""
    if id is None:
        return None, None
    pairs = [
        (worst(better, id, each.finding.item) or worst(better, id), each)
        for each in worse.findings if each.finding.id == id
    ]  # fmt: skip
    furthest = max(pairs, key=lambda pair: (_rank(pair[0]) - _rank(pair[1]), -_rank(pair[1])), default=None)
    return furthest or (worst(better, id), None)


def _rank(told: Explained | None) -> int:
    return ORDER["accepted"] if told is None else rank(told)


def _deciding_requirement(better: Explanation, worse: Explanation) -> str | None:
    """The requirement that makes a verdict worse: one that decides it, and came out better in the other."""
    for each in worse.findings:
        other = worst(better, each.finding.id, each.finding.item)
        if each.decides and (other is None or rank(other) > rank(each)):
            return each.finding.id
    return next((each.finding.id for each in worse.findings if each.decides), None)


_TAKEN = (_EVIDENCE, _CORRECTIONS)


def _has_more(content: dict[str, Any], taken: tuple[str, ...]) -> bool:
    """Whether something is left to be looked for that could be taken."""
    return any(_has(content, path) for path in _TAKEN if path not in taken)


def _has(content: dict[str, Any], path: str) -> bool:
    """Whether a record holds anything below a path."""
    place: Any = content
    for name in path.rstrip(".").split("."):
        place = place.get(name) if isinstance(place, dict) else None
    return place is not None


def _outcome(verdict: Verdict, told: Explained | None, id: str | None) -> Outcome:
    if told is None:
        return Outcome(verdict.verdict, None if id is None else "not asked", "")
    return Outcome(verdict.verdict, None if id is None else told.finding.outcome, told.sentence)


def _distance(unknown: Unknown, value: Plain, step: Fraction) -> Any:
    """How many steps a reading is from a value."""
    if isinstance(value, Quantity):
        away = (unknown.value - z3.Q(value.value.numerator, value.value.denominator)) / z3.Q(
            step.numerator, step.denominator
        )
        return z3.If(away >= 0, away, -away)
    if isinstance(unknown.value, Day) and isinstance(value, datetime.date):
        away = (unknown.value.month - (value.year * 12 + value.month - 1)) * 31 + unknown.value.day - value.day
        return z3.If(away >= 0, away, -away)
    return None


def _resize(record: dict[str, Any], path: str, length: int) -> None:
    """A list with as many items; new ones are like the last, or empty."""
    *above, name = path.split(".")
    place: Any = record
    for part in above:
        place = place.setdefault(part, {})
    items = place.get(name, [])
    counting = [item for item in items if not (isinstance(item, dict) and "set_aside" in item)]
    if len(counting) == length:
        return
    if length == 0:
        place.pop(name, None)
        return
    while len(counting) < length:
        counting.append(copy.deepcopy(counting[-1]) if counting else {})
    place[name] = counting[:length]


def _put(record: dict[str, Any], path: str, value: Plain | None) -> None:
    """Writes a value, or takes it away with the groups that are then empty."""
    steps: list[str | int] = [int(p) - 1 if p.isdigit() else p for p in re.findall(r"[^.\[\]]+", path)]
    places: list[Any] = [record]
    for here, then in pairwise(steps):
        place = places[-1]
        fresh: Any = [] if isinstance(then, int) else {}
        if isinstance(here, int):
            while len(place) <= here:
                place.append({})
            places.append(place[here])
        else:
            places.append(place.setdefault(here, fresh))
    last = steps[-1]
    if value is not None:
        places[-1][last] = as_data(value)
        return
    if isinstance(places[-1], dict):
        places[-1].pop(last, None)
    for place, step in zip(reversed(places[:-1]), reversed(steps[:-1]), strict=True):
        if isinstance(place, dict) and place.get(step) == {}:
            del place[step]
