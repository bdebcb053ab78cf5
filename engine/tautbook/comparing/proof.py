"""Is there a record that one edition accepts and the other does not? Asked of a solver, over exact rationals."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from ..editions.covers import COVERS
from ..editions.edition import Requirement
from ..lang.values import Group, Plain
from .beyond import Beyond
from .judged import NOTHING_ASKED, Found, found_of, judged
from .paths import field_info
from .reached import Reach, reach
from .side import Side
from .solving import Solver
from .soundness import sound
from .symbols import Flag, NotReached, Words, all_flags, conj, disj, neg
from .translate import Here, Translation, items_of
from .unknowns import Unknowns

Way = Literal["stricter", "looser"]
WAYS: tuple[Way, ...] = ("stricter", "looser")
Strength = Literal["decided", "open", "refused", "none", "unknown"]
"""``decided``: what one accepts the other refuses. ``open``: what one accepts the other leaves open at most.
``refused``: only what one refuses the other leaves open. ``none``: proved that there is none of these."""

STRENGTHS: tuple[Strength, ...] = ("decided", "open", "refused")
Rank = tuple[Flag, Flag]


@dataclass(frozen=True, slots=True)
class Given:
    """What each edition reads of a record at hand, and the beginnings of the paths that are taken from it."""

    groups: tuple[Group, Group]
    taken: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Question:
    """Both ranks of one requirement, or of the verdict, over one set of unknowns."""

    unknowns: Unknowns
    before: Rank
    after: Rank
    must: tuple[Flag, ...]
    lines: tuple[Flag, ...]
    """What makes the questions hard: interpolation between points that are looked for too."""
    translations: tuple[Translation, ...] = ()

    def of(self, way: Way, strength: Strength | None = None) -> Flag:
        """That the record is judged in this way, as far as ``strength`` says; None: in any of these ways."""
        (accepts, spares), (accepts_then, spares_then) = (
            (self.before, self.after) if way == "stricter" else (self.after, self.before)
        )
        match strength:
            case "decided":
                return conj(accepts, neg(spares_then))
            case "open":
                return conj(accepts, neg(accepts_then))
            case "refused":
                return conj(spares, neg(spares_then))
            case _:
                return disj(conj(accepts, neg(accepts_then)), conj(spares, neg(spares_then)))


@dataclass(slots=True)
class Prover:
    """Questions about one procedure under two editions. An answer is kept by the formula that was asked."""

    before: Side
    after: Side
    words: Words = field(default_factory=Words)
    verdicts: Mapping[str, tuple[Strength, Strength]] = field(default_factory=dict)
    """By procedure of the records that a record rests on: how far the verdicts on these are stricter, and looser."""
    answers: dict[tuple[object, ...], tuple[object, str]] = field(default_factory=dict)
    doubtful: bool = False
    """Whether a question about how far there is such a record had no answer: it may be further than was said."""
    reaches: dict[tuple[str, int], Reach] = field(default_factory=dict)

    @property
    def same_verdicts(self) -> bool:
        """Whether both editions judge the records alike that a record rests on."""
        return all(answer == ("none", "none") for answer in self.verdicts.values())

    def reach(self, id: str, side: Side) -> Reach:
        """What a requirement comes to, walked through once."""
        key = id, 0 if side is self.before else 1
        if key not in self.reaches:
            self.reaches[key] = reach(side.requirements[id], side)
        return self.reaches[key]

    def unknowns(self, fixed: Mapping[str, Plain]) -> Unknowns:
        one, two = self.before, self.after
        others = {id: _most(one.others.get(id, {}), two.others.get(id, {})) for id in {*one.others, *two.others}}
        return Unknowns(two.procedure, self.words, fixed, _most(one.asks, two.asks), others)

    def of_requirement(
        self, id: str, fixed: Mapping[str, Plain], before: Side | None = None, after: Side | None = None,
        given: Given | None = None, beyond: Beyond | None = None,
    ) -> Question:  # fmt: skip
        """The finding of one requirement, on the first item if it is said of items. Records that only one edition
        covers are looked at once, for the requirement that all is covered."""
        unknowns = self.unknowns(fixed)
        ranks: list[Rank] = []
        made: list[Translation] = []
        for number, side in enumerate((before or self.before, after or self.after)):
            requirement = side.requirements.get(id)
            if requirement is None:
                ranks.append(NOTHING_ASKED)
                continue
            translation = self._translation(number, side, unknowns, given)
            translation.beyond = beyond
            made.append(translation)
            ranks.append(_first(requirement, translation).rank)
            if not requirement.covers:
                translation.must += _covered(translation)
        unknowns.must += () if beyond is None else beyond.must
        return self._question(unknowns, ranks, made, whole=given is not None)

    def of_verdict(self, fixed: Mapping[str, Plain], given: Given | None = None) -> Question:
        """The verdict on whole records, with no waiver and no specimen set aside."""
        unknowns = self.unknowns(fixed)
        ranks: list[Rank] = []
        made: list[Translation] = []
        for number, side in enumerate((self.before, self.after)):
            translation = self._translation(number, side, unknowns, given)
            if not self.same_verdicts:
                translation.edition = number
            made.append(translation)
            ranks.append(judged(side, translation).rank)
        unknowns.must += self._verdicts_go_together(unknowns)
        return self._question(unknowns, ranks, made, whole=given is not None)

    def _verdicts_go_together(self, unknowns: Unknowns) -> Iterator[Flag]:
        """That a record which this one rests on is judged by one edition as the other leaves room for."""
        passes, fails = (self.words.number(word) for word in ("pass", "fail"))
        for path, one in list(unknowns.fields.items()):
            other = unknowns.fields.get(f"{path.removesuffix(' (1)')} (2)")
            slot = path.rpartition(".")[0]
            info = field_info(slot, unknowns.vocabulary)
            answer = self.verdicts.get(info.procedure or "") if info is not None else None
            if not path.endswith(" (1)") or other is None or answer is None:
                continue
            for strength, was, now in ((answer[0], one, other), (answer[1], other, one)):
                accepted, refused = conj(was.known, was.value == passes), conj(now.known, now.value == fails)
                if strength in ("none", "open"):
                    yield neg(conj(accepted, refused))
                if strength == "none":
                    yield disj(neg(accepted), conj(now.known, now.value == passes))
                    yield disj(neg(refused), conj(was.known, was.value == fails))

    def _translation(self, number: int, side: Side, unknowns: Unknowns, given: Given | None) -> Translation:
        groups, taken = (None, ()) if given is None else (given.groups[number], given.taken)
        translation = Translation.of(side, unknowns, groups, taken)
        translation.strange = self.before.ruleset != self.after.ruleset
        return translation

    def _question(
        self, unknowns: Unknowns, ranks: Sequence[Rank], made: Sequence[Translation], whole: bool
    ) -> Question:  # fmt: skip
        found = tuple(sound(unknowns, whole))
        must = (*unknowns.must, *found, *(flag for each in made for flag in each.must))
        lines = tuple(flag for each in made for flag in each.lines)
        return Question(unknowns, ranks[0], ranks[1], must, lines, tuple(made))

    def strength(self, question: Question, way: Way) -> Strength:
        """How far there is such a record."""
        found = self.ask(question, question.of(way), [question.of(way, strength) for strength in STRENGTHS])
        if found == "unsat":
            return "none"
        for strength in STRENGTHS:
            answer = self.ask(question, question.of(way, strength))
            self.doubtful |= answer == "unknown"
            if answer == "sat":
                return strength
        return "unknown"

    def judges_alike(self, question: Question) -> bool:
        """Whether it is proved that there is no such record, in either way."""
        return all(self.ask(question, question.of(way)) == "unsat" for way in WAYS)

    def counts_beyond(self, id: str, fixed: Mapping[str, Plain]) -> tuple[str, ...]:
        """Lists of which, with more items than are looked through, there can be such a record all the same: something
        is counted over them, and not the same in both editions."""
        beyond = Beyond((self.before, self.after))
        question = self.of_requirement(id, fixed, beyond=beyond)
        return () if not beyond.lists or self.judges_alike(question) else tuple(beyond.lists)

    def ask(self, question: Question, flag: Flag, besides: Sequence[Flag] = ()) -> str:
        """sat, unsat or unknown. What a record that is found shows ``besides`` need not be asked any more."""
        if isinstance(flag, bool) and not flag:
            return "unsat"
        key = _key(question, flag)
        if key not in self.answers:
            solver, found = self._asked(question, flag)
            self._keep(question, flag, found)
            for each in besides if found == "sat" else ():
                if not isinstance(each, bool) and solver.shows(each):
                    self._keep(question, each, found)
        return self.answers[key][1]

    def _keep(self, question: Question, flag: Flag, answer: str) -> None:
        kept = (flag, question.must, question.lines)  # so that their identities stay theirs
        self.answers.setdefault(_key(question, flag), (kept, answer))

    def _asked(self, question: Question, flag: Flag) -> tuple[Solver, str]:
        """The answer, and the solver that holds it."""
        solver = Solver([*question.must, flag])
        found = solver.check()
        if found != "sat" or not question.lines:
            # Without the lines there are only more records: what is proved without them holds with them.
            return solver, found
        solver = Solver([*question.must, *question.lines, flag, *question.unknowns.flat()])
        if solver.check() != "sat":
            solver = Solver([*question.must, *question.lines, flag])
            return solver, solver.check()
        return solver, "sat"


def _most(one: Mapping[str, int], two: Mapping[str, int]) -> dict[str, int]:
    return {path: max(one.get(path, 0), two.get(path, 0)) for path in {*one, *two}}


def _key(question: Question, flag: Flag) -> tuple[object, ...]:
    return (_id(flag), len(question.must), *(_id(each) for each in (*question.must, *question.lines)))


def _id(flag: Flag) -> object:
    return flag if isinstance(flag, bool) else flag.get_id()


def _first(requirement: Requirement, translation: Translation) -> Found:
    if requirement.each is None:
        return found_of(requirement, translation, None)
    there, item = items_of(requirement.each, translation)[1][0]
    found = found_of(requirement, translation, item, there)
    translation.must.append(there)
    return found


def _covered(translation: Translation) -> list[Flag]:
    """That the edition speaks of what was tested, as far as the rule asks."""
    names = [name for name in translation.terms if name.startswith(COVERS)]
    return [neg(translation.symbol(translation.rules.terms[name].body, Here()).stuck) for name in names]


__all__ = ["NotReached", "Prover", "Question", "Strength", "Way", "all_flags"]
