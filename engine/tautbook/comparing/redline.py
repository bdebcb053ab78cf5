"""Two editions -> what changed in wording, and what that does in effect."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..editions.edition import Edition
from ..records.record import Record
from .asked import AskedOtherwise, asked_otherwise
from .change import Change
from .changes import changes
from .effect import Effects


@dataclass(frozen=True, slots=True)
class Redline:
    old: Edition
    new: Edition
    changes: tuple[Change, ...]
    effects: Effects
    programme: tuple[AskedOtherwise, ...] = ()
    """Which tests are asked for otherwise."""

    @property
    def differs(self) -> bool:
        """Whether anything changed, in wording or in effect."""
        return bool(self.changes) or any(effect.effect != "none" for effect in self.effects.effects)


NEEDS_PROOF = (
    "What these changes do to verdicts is proved by a solver, which is not installed here: install the extra `proof`, "
    "as in `pip install tautbook[proof]`."
)


def redline(old: Edition, new: Edition, like: Sequence[Record] = ()) -> Redline:
    """Everything that is different between two editions. Of one ruleset or of two; enacted or drafts.

    Deciding records are made like the records in ``like``.
    """
    found = changes(old, new)
    told = _effects(old, new, found, like) if found or old.ruleset != new.ruleset else Effects((), ())
    return Redline(old, new, found, told, asked_otherwise(old, new, found))


def _effects(old: Edition, new: Edition, found: tuple[Change, ...], like: Sequence[Record]) -> Effects:
    try:
        from .effects import effects
    except ModuleNotFoundError as error:
        if error.name != "z3":
            raise
        return Effects((), (), NEEDS_PROOF)
    return effects(old, new, found, like)
