"""Two editions -> what changes in effect: for each requirement, and for the verdict of each procedure, proved.

A requirement that is the same rule in both, with all that it comes to, has no effect without more. Of any other a
solver is asked, for each combination of the keys that its figures are found by, whether there is a record that one
edition accepts and the other does not, or that one decides and the other leaves open. Records that only one of the two
editions covers are told once, under what each of them covers.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from ..editions.edition import Edition, Requirement
from ..lang.values import Plain
from ..records.record import Record
from ..shape.vocabulary import vocabulary
from .causes import Part, differing, place_of, with_parts
from .change import Change
from .deciding import Maker
from .effect import Deciding, Direction, Effect, Effects
from .likes import Likes
from .proof import STRENGTHS, WAYS, NotReached, Prover, Question, Strength, Way
from .reached import Reach, alike, combinations
from .scopes import among, boxes, scope
from .side import Side
from .solving import STEPS
from .unknowns import FIRST, ITEMS, LAST, POINTS

Answer = tuple[Strength, Strength]
"""How far a requirement is stricter, and how far looser."""
NONE: Answer = ("none", "none")
UNKNOWN: Answer = ("unknown", "unknown")

BOUNDS = (
    ("items of a list", f"up to as many as are asked for, or {ITEMS} if that is more"),
    ("lines of a correction table", f"1 to {POINTS}"),
    ("lists within items", "none: a count is written, not space by space"),
    ("records that a record rests on", "any; for one requirement judged alike by both editions, for the verdict as "
     "their own procedure has effects"),
    ("dates", f"{FIRST} to {LAST}"),
    ("readings", "every value in the range that the record allows"),
    ("waivers, and items set aside", "none"),
    ("work", f"{STEPS:,} steps of the solver for one question"),
)


_NO_ANSWER = f"no answer within {STEPS:,} steps of the solver"


@dataclass(frozen=True, slots=True)
class Case:
    """One combination of keys: the answer, and what causes it."""

    fixed: Mapping[str, Plain]
    answer: Answer
    parts: tuple[Part, ...] = ()
    reason: str | None = None


@dataclass(slots=True)
class _Procedure:
    """The effects in one procedure that both editions have."""

    id: str
    title: str
    prover: Prover
    maker: Maker
    changes: Sequence[Change]
    rests_on: frozenset[str] = frozenset()
    """The procedures of the records whose verdict its rules read."""
    names: set[str] = field(default_factory=set)
    verdicts: Answer = NONE
    """How far verdicts are stricter, and how far looser."""

    def effects(self) -> Iterator[Effect]:
        before, after = self.prover.before, self.prover.after
        found: list[Effect] = []
        for id in dict.fromkeys([*after.requirements, *before.requirements]):
            found += self.of_requirement(id)
        yield from found
        yield self.of_verdict(found)

    # One requirement

    def of_requirement(self, id: str) -> Iterator[Effect]:
        prover = self.prover
        old, new = prover.before.requirements.get(id), prover.after.requirements.get(id)
        said = new or old
        assert said is not None
        whole = Effect(self.id, id, said.title, said.kind == "advice", "none", (), (), ())
        if old is not None and new is not None and alike(old, new, prover.before, prover.after):
            yield replace(whole, reason="the same rule")
            return
        reaches = [prover.reach(id, side) for side in (prover.before, prover.after) if id in side.requirements]
        keys, every = combinations(reaches)
        cases = [self._case(id, old, new, fixed) for fixed in every]
        if all(case.answer == NONE for case in cases):
            yield self._without_effect(whole, id, old, new, every)
            return
        groups: dict[tuple[object, ...], list[Case]] = {}
        for case in cases:
            if case.answer != NONE:
                kinds = tuple(dict.fromkeys(map(_kind, case.parts)))
                groups.setdefault((case.answer, kinds, case.reason), []).append(case)
        for group in groups.values():
            for box in boxes(keys, [case.fixed for case in group]):
                inside = self._caused(id, [case for case in group if _in(case.fixed, keys, box)])
                narrowed = scope(keys, box)
                yield self._effect(replace(whole, scope=narrowed, among=among(keys, narrowed)), id, inside)

    def _case(self, id: str, old: Requirement | None, new: Requirement | None, fixed: Mapping[str, Plain]) -> Case:
        try:
            question = self.prover.of_requirement(id, fixed)
        except NotReached as beyond:
            return Case(fixed, UNKNOWN, (), f"the proof does not reach {beyond}")
        answer = self._answer(question)
        if answer == NONE:
            return Case(fixed, answer)
        parts = differing(old, new, self.prover.before, self.prover.after, _cells(question))
        reason = _NO_ANSWER if "unknown" in answer else None
        return Case(fixed, answer, parts, reason)

    def _caused(self, id: str, group: Sequence[Case]) -> list[Case]:
        """Cases in which the same parts differ, each with those that cause its effect, as far as one at either end
        tells: that have one alone, or without which it would be another. Where that is none, all: they act only
        together."""
        if len({_kind(part) for part in group[0].parts}) < 2:
            return list(group)
        acting: set[tuple[str, str]] = set()
        for case in (group[0], group[-1]):
            for kind in dict.fromkeys(map(_kind, case.parts)):
                if kind not in acting and self._acts(id, case, kind):
                    acting.add(kind)
        return [
            replace(case, parts=tuple(part for part in case.parts if _kind(part) in acting) or case.parts)
            for case in group
        ]

    def _acts(self, id: str, case: Case, kind: tuple[str, str]) -> bool:
        """Whether parts of one kind have an effect alone, or the others without them another."""
        if self._alone(id, case.fixed, [part for part in case.parts if _kind(part) == kind]):
            return True
        question = self._with(id, case.fixed, [part for part in case.parts if _kind(part) != kind])
        return question is None or self._answer(question) != case.answer

    def _alone(self, id: str, fixed: Mapping[str, Plain], parts: Sequence[Part]) -> bool:
        """Whether some parts have an effect without the others."""
        question = self._with(id, fixed, parts)
        return question is not None and not self.prover.judges_alike(question)

    def _answer(self, question: Question) -> Answer:
        return self.prover.strength(question, "stricter"), self.prover.strength(question, "looser")

    def _with(self, id: str, fixed: Mapping[str, Plain], parts: Sequence[Part]) -> Question | None:
        """What the edition before would do with some parts of the other put in; None: it would make no sense."""
        before = self.prover.before
        try:
            mixed = with_parts(before, self.prover.after, parts, id)
            return self.prover.of_requirement(id, fixed, after=mixed)
        except (NotReached, KeyError, ValueError, AttributeError):
            return None
        except Exception as error:
            if type(error).__module__.startswith("z3"):
                return None  # kinds that do not go together
            raise

    def _without_effect(
        self, whole: Effect, id: str, old: Requirement | None, new: Requirement | None,
        every: Sequence[Mapping[str, Plain]],
    ) -> Effect:  # fmt: skip
        parts = differing(old, new, self.prover.before, self.prover.after)
        alone = len(parts) > 1 and any(
            self._alone(id, fixed, [part]) for fixed in every[:40] for part in parts[:10]
        )
        reason = "proved: the changes cancel each other" if alone else "proved: no record is judged otherwise"
        return replace(whole, reason=reason, because=self._ids(parts, id))

    def _effect(self, whole: Effect, id: str, cases: Sequence[Case]) -> Effect:
        answer = cases[0].answer
        parts = tuple(dict.fromkeys(part for case in cases for part in case.parts))
        made = replace(whole, because=self._ids(parts, id))
        if cases[0].reason is not None:
            return replace(made, effect="not decided", reason=cases[0].reason)
        records: list[Deciding] = []
        for way, strength in zip(WAYS, answer, strict=True):
            if not _counts(answer, strength):
                continue
            record = self._record(id, cases, way, strength)
            if record is None:
                reason = f"a record that would be judged {way} was found and could not be written down"
                return replace(made, effect="not decided", reason=reason)
            records.append(record)
        return replace(made, effect=_direction(answer), records=tuple(records), said=_said(records))

    def _record(self, id: str | None, cases: Sequence[Case], way: Way, strength: Strength) -> Deciding | None:
        name = self._name(id, way)
        for case in self._likeliest(cases)[:3]:
            found = self.maker.deciding(id, case.fixed, way, strength, name)
            if found is not None:
                return found
        return None

    def _likeliest(self, cases: Sequence[Case]) -> list[Case]:
        """The combinations of which there are records at hand first."""
        return sorted(cases, key=lambda case: -self.maker.likes.having(self.id, case.fixed))

    def _name(self, id: str | None, way: Way) -> str:
        base = f"{self.id}-{id or 'verdict'}-{way}"
        name = next(n for n in (base, *(f"{base}-{i}" for i in range(2, 10000))) if n not in self.names)
        self.names.add(name)
        return name

    def _ids(self, parts: Sequence[Part], requirement: str) -> tuple[str, ...]:
        """The changes of wording at the places of the parts."""
        found: dict[str, None] = {}
        for part in parts:
            place = place_of(part, self.id, requirement)
            for change in self.changes:
                if change.part[: len(place)] == place or (change.part and place[: len(change.part)] == change.part):
                    found[change.id] = None
        return tuple(found)

    # The verdict

    def of_verdict(self, found: Sequence[Effect]) -> Effect:
        whole = Effect(self.id, None, f"verdict: {self.title}", False, "none", (), (), ())
        weighing = [each for each in found if not each.advice or self._weighs(each.requirement)]
        if all(each.effect == "none" for each in weighing) and self._same_weights() and self.prover.same_verdicts:
            return replace(whole, reason="no requirement is judged otherwise, and each weighs what it weighed")
        because = tuple(dict.fromkeys(id for each in weighing if each.effect != "none" for id in each.because))
        because += tuple(id for id in self._weights_changed() if id not in because)
        whole = replace(whole, because=because)
        # A record can rest on an earlier one of its own kind, which is judged by what is being compared here.
        self.prover.verdicts = {**self.prover.verdicts, **dict.fromkeys(self.rests_on & {self.id}, UNKNOWN)}
        self.prover.doubtful = False
        try:
            question = self.prover.of_verdict({})
        except NotReached as beyond:
            self.verdicts = UNKNOWN
            return replace(whole, effect="not decided", reason=f"the proof does not reach {beyond}")
        answer = self._answer(question)
        self.verdicts = UNKNOWN if self.prover.doubtful else answer
        if answer == NONE:
            return replace(whole, reason="proved: no record gets another verdict")
        records: list[Deciding] = []
        for way, strength in zip(WAYS, answer, strict=True):
            if strength == "unknown" or not _counts(answer, strength):
                continue
            record = self._of_verdict(weighing, answer, way, strength)
            if record is None:
                reason = f"a record with a {way} verdict was found and could not be written down"
                return replace(whole, effect="not decided", reason=reason)
            records.append(record)
        if "unknown" in answer:
            return replace(whole, effect="not decided", reason=_NO_ANSWER, records=tuple(records))
        said = _said(records, verdict=True)
        return replace(whole, effect=_direction(answer), records=tuple(records), said=said)

    def _of_verdict(self, found: Sequence[Effect], answer: Answer, way: Way, strength: Strength) -> Deciding | None:
        """A record with another verdict: one at hand, or one made; if it can be, one that goes from pass to fail."""
        for each in STRENGTHS[STRENGTHS.index(strength) :]:
            record = self._ready(found, way, each) or self._record(None, [Case({}, answer)], way, each)
            if record is not None:
                return record
        return None

    def _ready(self, found: Sequence[Effect], way: Way, strength: Strength) -> Deciding | None:
        """A record made for a requirement that also has another verdict."""
        for effect in found:
            for each in effect.records:
                if each.direction == way and _turns(each, way, strength):
                    return replace(each, before=replace(each.before, finding=None),
                                   after=replace(each.after, finding=None))  # fmt: skip
        return None

    def _weighs(self, id: str | None) -> bool:
        """Whether a requirement is more than advice in one of the editions."""
        sides = (self.prover.before, self.prover.after)
        return any(id in side.requirements and side.requirements[id].kind != "advice" for side in sides if id)

    def _same_weights(self) -> bool:
        before, after = self.prover.before, self.prover.after
        return {
            id: (each.kind, each.voids, each.over, each.each) for id, each in before.requirements.items()
        } == {id: (each.kind, each.voids, each.over, each.each) for id, each in after.requirements.items()} and dict(
            before.asks
        ) == dict(after.asks)

    def _weights_changed(self) -> Iterator[str]:
        place = ("procedures", self.id)
        for change in self.changes:
            if change.part[:2] == place and (change.part[-1] in ("kind", "voids") or change.part[2:3] == ("asks",)):
                yield change.id


def effects(old: Edition, new: Edition, changes: Sequence[Change], like: Sequence[Record] = ()) -> Effects:
    """All effects of going from ``old`` to ``new``, requirements in the order of ``new``, then the verdict of each
    procedure. Deciding records are made like the records in ``like``."""
    likes = Likes(like, (old, new))
    found: list[Effect] = []
    settled: dict[str, Answer] = {}
    deciding: dict[str, tuple[Deciding, ...]] = {}
    for name in _in_order(old, new):
        if name not in old.procedures or name not in new.procedures:
            found.append(_only_one(name, old, new, changes))
            settled[name] = UNKNOWN
            continue
        before, after = Side.of(old.procedures[name], old), Side.of(new.procedures[name], new)
        rests_on = _rests_on(before) | _rests_on(after)
        others = {other: settled.get(other, UNKNOWN) for other in rests_on if other != name}
        prover = Prover(before, after, verdicts=others)
        maker = Maker(prover, likes, {other: deciding[other] for other in rests_on if other in deciding})
        here = _Procedure(name, new.procedures[name].title, prover, maker, changes, frozenset(rests_on))
        mine = list(here.effects())
        settled[name], deciding[name] = here.verdicts, mine[-1].records
        found += mine
    order = {name: number for number, name in enumerate(dict.fromkeys([*new.procedures, *old.procedures]))}
    return Effects(tuple(sorted(found, key=lambda each: order[each.procedure])), BOUNDS)


def _in_order(old: Edition, new: Edition) -> list[str]:
    """Procedures, those before that others rest on."""
    names = list(dict.fromkeys([*new.procedures, *old.procedures]))
    on = {
        name: {other for edition in (old, new) if name in edition.procedures
               for other in _rests_on(Side.of(edition.procedures[name], edition))} - {name}
        for name in names
    }  # fmt: skip
    found: list[str] = []
    while names:
        free = next((name for name in names if not (on[name] & set(names))), names[0])
        names.remove(free)
        found.append(free)
    return found


def _rests_on(side: Side) -> set[str]:
    """The procedures of the records that rules of one procedure read the verdict of."""
    words = vocabulary(side.procedure)
    read = Reach(side.rules)
    for requirement in side.requirements.values():
        for node in (requirement.require, requirement.applies, *(each.when for each in requirement.unless)):
            if node is not None:
                read.into(node)
    slots = {path.split(".")[1] for path in read.fields if path.startswith("evidence.") and path.endswith(".verdict")}
    infos = [] if words is None else [words.fields.get(f"evidence.{slot}") for slot in slots]
    return {info.procedure for info in infos if info is not None and info.procedure is not None}


def _only_one(name: str, old: Edition, new: Edition, changes: Sequence[Change]) -> Effect:
    has = new if name in new.procedures else old
    way: Literal["stricter", "looser"] = "stricter" if has is new else "looser"
    reason = f"only {has.name} has rules for it: records of it are judged by no other"
    ids = tuple(change.id for change in changes if change.part[:2] == ("procedures", name))
    said = {"stricter": "there are rules for it now, and were none before",
            "looser": "there are no rules for it any more"}[way]  # fmt: skip
    title = f"verdict: {has.procedures[name].title}"
    return Effect(name, None, title, False, way, (), ids, (), reason, ((way, said),))


def _said(records: Sequence[Deciding], verdict: bool = False) -> tuple[tuple[str, str], ...]:
    told = []
    for each in records:
        becomes = f"{each.before.verdict} becomes {each.after.verdict}" if verdict else ""
        turn = f"{each.turn}{_where(each)}" if each.turn else ""
        told.append((each.direction, ": ".join(part for part in (becomes, turn) if part)))
    return tuple(told)


def _where(record: Deciding) -> str:
    """The one other reading that makes the record what it is, where what turns does not name it."""
    name, _, value = record.about.rpartition(": ")
    reading = re.sub(r"^[^,]* [0-9]+, ", "", name)
    if not name or "; " in record.about or reading in record.turn:
        return ""
    return f", where {reading} is {value}"


def _kind(part: Part) -> tuple[str, str]:
    return part.what, part.name


def _turns(record: Deciding, way: Way, strength: Strength) -> bool:
    """Whether the verdict turns as well, as far as ``strength`` says."""
    pair = record.before.verdict, record.after.verdict
    good, bad = pair if way == "stricter" else pair[::-1]
    match strength:
        case "decided":
            return good == "pass" and bad == "fail"
        case "open":
            return good == "pass" and bad != "pass"
        case _:
            return good != "fail" and bad == "fail"


def _counts(answer: Answer, strength: Strength) -> bool:
    """Whether one way is worth telling: that what was refused is left open, for want of a reading that the other way
    asks for as well, is not."""
    return strength != "none" and not (strength == "refused" and any(each in ("decided", "open") for each in answer))


def _direction(answer: Answer) -> Direction:
    stricter, looser = (_counts(answer, each) for each in answer)
    return "both ways" if stricter and looser else "stricter" if stricter else "looser"


def _cells(question: Question) -> Mapping[str, set[tuple[object, ...]]]:
    found: dict[str, set[tuple[object, ...]]] = {}
    for translation in question.translations:
        for table, keys in translation.cells.items():
            found.setdefault(table, set()).update(keys)
    return found


def _in(fixed: Mapping[str, Plain], keys: Mapping[str, tuple[Plain, ...]], box: tuple[tuple[Plain, ...], ...]) -> bool:
    return all(fixed[path] in values for path, values in zip(keys, box, strict=True))

