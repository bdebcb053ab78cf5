"""One procedure under two editions: what every effect in it is found with."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ..lang.values import Plain
from .causes import Part, place_of
from .change import Change
from .deciding import Maker
from .effect import Deciding, Direction
from .proof import Prover, Question, Strength, Way
from .solving import LIMITS

Answer = tuple[Strength, Strength]
"""How far a requirement is stricter, and how far looser."""
NONE: Answer = ("none", "none")
UNKNOWN: Answer = ("unknown", "unknown")
NO_ANSWER = f"no answer within {LIMITS}"


@dataclass(frozen=True, slots=True)
class Case:
    """One combination of keys: the answer, and what causes it."""

    fixed: Mapping[str, Plain]
    answer: Answer
    parts: tuple[Part, ...] = ()
    reason: str | None = None


@dataclass(slots=True)
class OneProcedure:
    """A procedure that both editions have."""

    id: str
    title: str
    prover: Prover
    maker: Maker
    changes: Sequence[Change]
    rests_on: frozenset[str] = frozenset()
    """The procedures of the records whose verdict its rules read."""
    because: tuple[str, ...] = ()
    """The changes that cause other verdicts on these."""
    names: set[str] = field(default_factory=set)
    """Of deciding records, those that are taken."""

    def answer(self, question: Question) -> Answer:
        return self.prover.strength(question, "stricter"), self.prover.strength(question, "looser")

    def record(self, id: str | None, cases: Sequence[Case], way: Way, strength: Strength) -> Deciding | None:
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

    def ids(self, parts: Sequence[Part], requirement: str) -> tuple[str, ...]:
        """The changes of wording at the places of the parts."""
        found: dict[str, None] = {}
        for part in parts:
            place = place_of(part, self.id, requirement)
            for change in self.changes:
                if change.part[: len(place)] == place or (change.part and place[: len(change.part)] == change.part):
                    found[change.id] = None
        return tuple(found)


def counts(answer: Answer, strength: Strength) -> bool:
    """Whether one way is worth telling: that what was refused is left open, for want of a reading that the other way
    asks for as well, is not."""
    return strength != "none" and not (strength == "refused" and any(each in ("decided", "open") for each in answer))


def direction(answer: Answer) -> Direction:
    stricter, looser = (counts(answer, each) for each in answer)
    return "both ways" if stricter and looser else "stricter" if stricter else "looser"
