"""The edition that a stored verdict was given by, found on the shelf by its digest."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from ..editions.edition import Edition
from ..editions.remembered import Found
from ..editions.shelf import Place, Shelf
from ..lang.problem import Problem
from .stored import Stored


@dataclass(slots=True)
class AtHand:
    """The editions of a shelf. Each is read once, when it is first asked for, and kept."""

    shelf: Shelf
    beside: tuple[Edition, ...] = ()
    """Editions that stand on no shelf, such as what a contract makes of one."""
    _read: dict[Place, Found] = field(default_factory=dict, repr=False)

    def of(self, stored: Stored) -> Found:
        """The edition of the stated digest, wherever it stands; the one of the stated name is looked at first.

        A name is matched against the listing, so that one from a file can lead nowhere.
        """
        for edition in self.beside:
            if edition.digest == stored.digest:
                return edition, ()
        places, problems = self.shelf.places()
        named = [place for place in places if (place.ruleset, place.edition) == (stored.ruleset, stored.edition)]
        others = [place for place in places if place not in named]
        for edition in self._editions([*named, *others]):
            if edition.digest == stored.digest:
                return edition, ()
        return None, (*problems, *self._why_not(stored, named))

    def _editions(self, places: list[Place]) -> Iterator[Edition]:
        for place in places:
            if place not in self._read:
                self._read[place] = self.shelf.read(place)
            edition = self._read[place][0]
            if edition is not None:
                yield edition

    def _why_not(self, stored: Stored, named: list[Place]) -> Iterator[Problem]:
        rules = f"an edition of {stored.digest}, which is {stored.rules} by what the verdict states"
        help = "add the folder that holds it as it was then: --rulesets DIR; of a contract, its job: --job JOB"
        at_hand = list(self._editions(named))
        if at_hand:
            other = f"the {at_hand[0].name} at hand is {at_hand[0].digest}, not the one that judged"
            yield Problem("edition-other", f"{other}: that was {stored.digest}", file=stored.name, help=help)
            return
        yield Problem("edition-not-at-hand", f"nothing at hand is {rules}", file=stored.name, help=help)
        for place in named:
            yield from self._read[place][1]
