"""What tests are made with: until when it may be used by the edition's own rules, and what records say of it."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from ..editions.edition import Edition, Procedure, Requirement
from ..explaining.comparisons import conditions_of
from ..explaining.labels import label
from ..lang.evaluate import Step, evaluate
from ..lang.values import Group, Leaf, Open
from .fault import Fault
from .job import Equipment, Job
from .judged import DAY, Judged
from .parts import leaves
from .same import meant, written


@dataclass(frozen=True, slots=True)
class Usable:
    """By one requirement of one procedure: until when, the day included; ``on_the_day`` is None without a day."""

    procedure: Procedure
    requirement: Requirement
    until: datetime.date | None
    on_the_day: bool | None


@dataclass(frozen=True, slots=True)
class EquipmentStanding:
    equipment: Equipment
    usable: tuple[Usable, ...]
    """Empty: the edition says nothing of it that goes by the day."""

    @property
    def name(self) -> str:
        return f"{self.equipment.of} {self.equipment.name}"


def equipment_of(job: Job, edition: Edition, on: datetime.date | None) -> tuple[EquipmentStanding, ...]:
    """All equipment of the job, held to what the edition asks of the day of a test."""
    asked = dict.fromkeys(each.procedure for each in edition.programme)
    return tuple(
        EquipmentStanding(each, tuple(usable for id in asked for usable in _usable(each, edition.procedures[id], on)))
        for each in job.equipment
    )


def _usable(equipment: Equipment, procedure: Procedure, on: datetime.date | None) -> Iterator[Usable]:
    data = Group("", {equipment.of: equipment.data})
    for requirement in procedure.requirements:
        step = _by_the_day(requirement, procedure, data)
        if step is None or not _reads(requirement, procedure, equipment.of):
            continue
        on_the_day = None if on is None else holds(requirement, procedure, data, on)
        yield Usable(procedure, requirement, _until(step), on_the_day)


def _by_the_day(requirement: Requirement, procedure: Procedure, data: Group) -> Step | None:
    """The rule with the equipment put in, if the day of the test is all that it still lacks."""
    if requirement.kind != "setup" or requirement.each is not None or requirement.require is None:
        return None
    step = evaluate(requirement.require, procedure.rules, data)
    open = step.value
    return step if isinstance(open, Open) and open.missing == (DAY,) and not open.stuck else None


def _reads(requirement: Requirement, procedure: Procedure, of: str) -> bool:
    assert requirement.require is not None
    value = evaluate(requirement.require, procedure.rules, Group("", {})).value
    return isinstance(value, Open) and any(path == of or path.startswith(f"{of}.") for path in value.missing)


def _until(step: Step) -> datetime.date | None:
    """The last day of a test that the rule allows; None if it sets none."""
    days = []
    for each in conditions_of(step):
        limit = None if each.limit is None else each.limit.value
        if each.unknown == DAY and isinstance(limit, datetime.date) and each.relation in ("<=", "<"):
            days.append(limit if each.relation == "<=" else limit - datetime.timedelta(1))
    return min(days, default=None)


def holds(requirement: Requirement, procedure: Procedure, data: Group, day: datetime.date) -> bool | None:
    """Whether the rule holds of a test on ``day``; None where it is open."""
    assert requirement.require is not None
    on_day = Group("", {**data.fields, DAY: Leaf(DAY, day, day.isoformat())})
    value = evaluate(requirement.require, procedure.rules, on_day).value
    return value if isinstance(value, bool) else None


def out_of_date(
    standings: Sequence[EquipmentStanding], to_be_made: Iterable[str], on: datetime.date
) -> Iterator[Fault]:
    """Equipment that a test on the day ``on`` could not be made with, where such a test (by its procedure) is still
    ``to_be_made`` and no other of its kind would do."""
    wanted = set(to_be_made)
    for standing in standings:
        broken = [each for each in standing.usable if each.on_the_day is False and each.procedure.id in wanted]
        if not broken:
            continue
        of = standing.equipment.of
        others = [each for each in standings if each.equipment.of == of and each is not standing]
        if any(all(each.on_the_day is not False for each in other.usable) for other in others):
            continue
        first = broken[0]
        clause = f" ({first.requirement.origin.clause})" if first.requirement.origin.clause else ""
        until = "" if first.until is None else f"; it could be used until {first.until}"
        text = f"{standing.name} does not meet `{first.requirement.title}`{clause} on {on}{until}"
        yield Fault("out-of-calibration", text, "Have it calibrated before the tests that are still to be made.")


def otherwise_than_certified(judged: Judged, job: Job) -> Iterator[Fault]:
    """Where a record names equipment that the job does not have, or says of it what its certificate does not."""
    for of, key in dict.fromkeys((each.of, each.key) for each in job.equipment):
        name = written(f"{of}.{key}", judged.data)
        if name is None:
            continue
        entries = [each for each in job.equipment if each.of == of and each.name == name]
        if not entries:
            text = f"record {judged.id} was made with {of} {name}, of which the job has no certificate"
            mend = "; the failure stands." if judged.shows_failure else ", or repeat the test."
            yield Fault("equipment-not-on-job", text, f"File its certificate{mend}", (judged.id,))
            continue
        differing = [list(_differing(judged, each)) for each in entries]
        if all(differing):
            path, here, there = differing[-1][0]
            says = f"{label(path, judged.words)} {here}"
            text = f"record {judged.id} has {of} {name} with {says}, and the job has {there}"
            broken = next(_not_on_that_day(judged, entries[-1]), None)
            if broken is not None:
                clause = f" ({broken.origin.clause})" if broken.origin.clause else ""
                text += f"; by that, `{broken.title}`{clause} was not met on {judged.tested}"
            yield Fault("other-equipment", text, "Compare both with the certificate.", (judged.id,))


def _differing(judged: Judged, equipment: Equipment) -> Iterator[tuple[str, str, str]]:
    certified = Group("", {equipment.of: equipment.data})
    for leaf in leaves(equipment.data):
        here = written(leaf.path, judged.data)
        if here is not None and meant(leaf.path, judged.data, judged.procedure) != meant(
            leaf.path, certified, judged.procedure
        ):
            yield leaf.path, here, leaf.written


def _not_on_that_day(judged: Judged, equipment: Equipment) -> Iterator[Requirement]:
    data = Group("", {equipment.of: equipment.data})
    for requirement in judged.procedure.requirements:
        if judged.tested is None or _by_the_day(requirement, judged.procedure, data) is None:
            continue
        if not _reads(requirement, judged.procedure, equipment.of):
            continue
        if holds(requirement, judged.procedure, data, judged.tested) is False:
            yield requirement
