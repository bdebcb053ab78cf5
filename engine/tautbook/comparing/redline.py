"""Two editions -> what changed in wording, and what that does in effect."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import cast

from ..editions.edition import Edition
from .change import Change
from .changes import changes
from .effect import Effects


@dataclass(frozen=True, slots=True)
class Redline:
    old: Edition
    new: Edition
    changes: tuple[Change, ...]
    effects: Effects

    @property
    def differs(self) -> bool:
        """Whether anything changed, in wording or in effect."""
        return bool(self.changes) or any(effect.effect != "none" for effect in self.effects.effects)


def redline(old: Edition, new: Edition) -> Redline:
    """Everything that is different between two editions. Of one ruleset or of two; enacted or drafts."""
    found = changes(old, new)
    return Redline(old, new, found, _effects(old, new, found) if found else Effects((), ()))


def _effects(old: Edition, new: Edition, found: tuple[Change, ...]) -> Effects:
    try:
        decide = import_module(".effects", __package__).effects
    except ModuleNotFoundError:
        return Effects((), (), "What these changes do to verdicts cannot be decided here yet.")
    return cast("Effects", decide(old, new, found))
