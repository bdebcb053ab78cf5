"""One of the two editions, for one procedure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..editions.edition import Procedure, Requirement
from ..lang.kernel import Rules
from ..lang.kinds import GroupKind


@dataclass(frozen=True, slots=True)
class Side:
    """What of one edition judges the records of one procedure."""

    procedure: str
    rules: Rules
    requirements: Mapping[str, Requirement]
    """By id, in the order of the edition."""
    asks: Mapping[str, int]
    record: GroupKind

    @classmethod
    def of(cls, procedure: Procedure) -> Side:
        by_id = {each.id: each for each in procedure.requirements}
        return cls(procedure.id, procedure.rules, by_id, procedure.asks, procedure.record)
