"""One finding for each requirement, and for each item of the list that it speaks of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from ..editions.edition import NamedException, Procedure, Requirement
from ..lang.evaluate import Step, evaluate
from ..lang.kernel import Node
from ..lang.kinds import GroupKind, Kind, ListKind
from ..lang.values import Data, Group, Items, Missing, Open, Stuck, Value, data_at
from .outcomes import Outcome, can_become, outcome_of
from .waivers import Waiver


@dataclass(frozen=True, slots=True)
class Finding:
    """The outcome of one requirement on the record, or on one item."""

    requirement: Requirement
    outcome: Outcome
    can: frozenset[Outcome]
    """What it can still come to; the outcome alone unless that is open."""
    item: str | None = None
    require: Step | None = None
    applies: Step | None = None
    exceptions: tuple[Step, ...] = ()
    exception: NamedException | None = None
    """The exception that holds, if one does."""
    missing: tuple[str, ...] = ()
    no_rule: tuple[Stuck, ...] = ()
    voided: bool = False
    waiver: Waiver | None = None

    @property
    def id(self) -> str:
        return self.requirement.id

    @property
    def listed(self) -> str | None:
        """The list of the item that it speaks of."""
        return self.requirement.each


def findings_of(procedure: Procedure, group: Group) -> tuple[Finding, ...]:
    """All findings on the data of a record, in the order of the edition, items in the order of the list."""
    found = []
    for requirement in procedure.requirements:
        for item, bound in _places(requirement, group):
            found.append(replace(_finding(requirement, procedure, group, bound), item=item))
    return tuple(found)


def _places(requirement: Requirement, group: Group) -> Iterator[tuple[str | None, Mapping[str, Data]]]:
    if requirement.each is None or requirement.singular is None:
        yield None, {}
        return
    data = data_at(group, requirement.each)
    if isinstance(data, Items):
        for item in data.items:
            yield item.path, {requirement.singular: item}


def _finding(requirement: Requirement, procedure: Procedure, group: Group, bound: Mapping[str, Data]) -> Finding:
    def step(node: Node | None) -> Step | None:
        return None if node is None else evaluate(node, procedure.rules, group, bound)

    require, applies = step(requirement.require), step(requirement.applies)
    exceptions = tuple(evaluate(each.when, procedure.rules, group, bound) for each in requirement.unless)
    holds: Value = _absent(requirement) if require is None else require.value
    does_apply: Value = True if applies is None else applies.value
    unless = [each.value for each in exceptions]
    outcome = outcome_of(holds, does_apply, unless)
    named = next((each for each, step in zip(requirement.unless, exceptions, strict=True) if step.value is True), None)
    found = Finding(
        requirement, outcome, frozenset({outcome}), require=require, applies=applies,
        exceptions=exceptions,
        exception=named if outcome == "not applicable" and does_apply is not False else None,
    )  # fmt: skip
    if outcome != "open":
        return found
    reasons = [
        reason for value in (holds, does_apply, *unless) if isinstance(value, Open) for reason in value.reasons
    ]
    return replace(
        found,
        can=can_become(holds, does_apply, unless),
        missing=tuple(
            sorted(
                {_gap(reason.path, group) for reason in reasons if isinstance(reason, Missing)},
                key=lambda path: (place(path, procedure.record), path),
            )
        ),
        no_rule=tuple(sorted({reason for reason in reasons if isinstance(reason, Stuck)})),
    )


def _gap(path: str, group: Group) -> str:
    """What is to be supplied: of another record that is not there at all the whole, not every field of it."""
    parts = path.split(".")
    for i in range(0, len(parts) - 1, 2):
        if parts[i] != "evidence":
            break
        slot = ".".join(parts[: i + 2])
        if data_at(group, slot) is None:
            return slot
    return path


def _absent(requirement: Requirement) -> Open:
    return Open(frozenset({Stuck("no rule", requirement.absent or "this edition does not say")}))


def place(path: str, record: GroupKind) -> tuple[int, ...]:
    """Sorts paths as a record is written: fields in the order of the schema, item 2 before item 10."""
    place: list[int] = []
    kind: Kind | None = record
    for part in path.split("."):
        name, _, number = part.partition("[")
        names = list(kind.fields) if isinstance(kind, GroupKind) else []
        place.append(names.index(name) if name in names else len(names))
        kind = kind.fields.get(name) if isinstance(kind, GroupKind) else None
        if number and isinstance(kind, ListKind):
            place.append(int(number.rstrip("]")))
            kind = kind.item
    return tuple(place)
