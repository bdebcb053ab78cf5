"""What a change of edition does: for a requirement, or for the verdict of a procedure, who is judged otherwise."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

Direction = Literal["stricter", "looser", "both ways", "none", "not decided"]
"""``stricter``: some record that the old edition accepts the new one does not, or what it leaves open the new one
refuses; and no record the other way, save that for want of a reading what was refused may be left open now."""

Scope = tuple[tuple[str, tuple[str, ...]], ...]
"""Paths of covered fields, each with the values it is about, as the editions write them; empty: everything."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one edition says of a deciding record."""

    verdict: str
    finding: str | None
    """The outcome of the requirement in question; None where the effect is one on the verdict, or it has none here."""
    sentence: str
    """Why, in one sentence of the explanation."""


@dataclass(frozen=True, slots=True)
class Deciding:
    """A whole record, valid by its schema, that the two editions judge differently."""

    name: str
    """A name for its file, without ending; of its own within one redline."""
    direction: Literal["stricter", "looser"]
    content: dict[str, Any]
    """As it is written: fields by name, values as text."""
    before: Outcome
    after: Outcome
    about: str
    """In what it is unlike the record at hand that it was made from: the readings that decide, in one line."""
    turn: str = ""
    """In plain words: what one edition makes of it and what the other."""


@dataclass(frozen=True, slots=True)
class Effect:
    procedure: str
    requirement: str | None
    """None: the verdict of the procedure."""
    title: str
    advice: bool
    """Advice has effects of its own and never touches a verdict."""
    effect: Direction
    scope: Scope
    because: tuple[str, ...]
    """Ids of the changes that cause it."""
    records: tuple[Deciding, ...]
    reason: str | None = None
    """For ``not decided``: why. For ``none``: how that is known (the same rule, or proved)."""
    said: tuple[tuple[str, str], ...] = ()
    """In plain words, after *From this edition on*: ``stricter`` or ``looser``, each with what is so."""
    among: Scope = ()
    """Of the fields in ``scope``, every value that there is, in order: so that neighbours can be told as a range."""

    @property
    def sentence(self) -> str:
        """All that is said in one line, without the name of the requirement."""
        return "; ".join(": ".join(part for part in each if part) for each in self.said)


@dataclass(frozen=True, slots=True)
class Effects:
    """All effects between two editions, and how far the proof reaches."""

    effects: tuple[Effect, ...]
    bounds: tuple[tuple[str, str], ...]
    """What was assumed, each with a name and its value as text."""
    missing: str | None = None
    """Where nothing could be decided for want of an extra: a message that names it."""
