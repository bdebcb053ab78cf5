"""One of the two editions, for one procedure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ..editions.edition import Edition, Procedure, Requirement
from ..lang.kernel import Rules
from ..lang.kinds import GroupKind
from .paths import owner_of


@dataclass(frozen=True, slots=True)
class Side:
    """What of one edition judges the records of one procedure."""

    procedure: str
    rules: Rules
    requirements: Mapping[str, Requirement]
    """By id, in the order of the edition."""
    asks: Mapping[str, int]
    record: GroupKind
    ruleset: str
    """Whose own observations are meant by ``local``."""
    others: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    """By procedure that the edition has rules for, how many items are asked for: the lists of a record that this one
    rests on are filled up as well."""

    @classmethod
    def of(cls, procedure: Procedure, edition: Edition) -> Side:
        by_id = {each.id: each for each in procedure.requirements}
        others = {id: each.asks for id, each in edition.procedures.items()}
        return cls(procedure.id, procedure.rules, by_id, procedure.asks, procedure.record, edition.ruleset, others)

    def asked(self, path: str) -> int:
        """How many items a list is filled up to, in the record itself or in one that it rests on."""
        owner, rest = owner_of(path, self.procedure)
        return self.asks.get(path, 0) if rest == path else self.others.get(owner, {}).get(rest, 0)
