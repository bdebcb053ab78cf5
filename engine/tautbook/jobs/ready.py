"""Job, edition, files -> how it stands: each test that the edition asks for, what stands in the way, in what order."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from ..editions.edition import Edition
from ..explaining.explain import explain
from ..judging.verdict import judge_record
from ..lang.problem import Problem
from ..records.record import Record
from .dispositions import against_dispositions
from .equipment import EquipmentStanding, equipment_of, otherwise_than_certified, out_of_date
from .fault import Fault, in_order
from .files import Filed
from .job import Job
from .judged import (
    Judged,
    lots_by_number,
    other_quantities,
    otherwise_than_delivered,
    otherwise_than_installed,
)
from .named import as_of, not_telling, records_gone
from .needs import Combination, Need, needs_of
from .placing import combinations, placed_by_name, without_rules
from .sample import not_drawn, sample_of, seed_of
from .standing import Standing, fault_of, is_left_out, may_give, standing_of
from .stored import against_stored


@dataclass(frozen=True, slots=True)
class Ready:
    """How a job stands. ``on`` is the day asked about; without it nothing expires."""

    job: Job
    edition: Edition
    on: datetime.date | None
    standings: tuple[Standing, ...]
    faults: tuple[Fault, ...]
    """In the order in which to mend them; what does not stand in the way at the end."""
    equipment: tuple[EquipmentStanding, ...]
    records: int
    """How many were judged."""
    problems: tuple[Problem, ...] = field(repr=False)
    """Of files that could not be used."""

    @property
    def asked(self) -> int:
        """How many tests are asked for; those left out by leave are not."""
        return sum(each.state != "left out" for each in self.standings)

    @property
    def passed(self) -> int:
        return sum(each.counts for each in self.standings)

    @property
    def in_the_way(self) -> tuple[Fault, ...]:
        return tuple(each for each in self.faults if each.blocks)

    @property
    def told(self) -> tuple[Fault, ...]:
        """Worth telling; not in the way."""
        return tuple(each for each in self.faults if not each.blocks)

    def by_test(self) -> tuple[tuple[int, ...], ...]:
        """Of each test what is in the way of it, as places in ``in_the_way``: what is said of the test, and why records
        of it do not count."""
        of_need: dict[int, list[int]] = {}
        place: dict[Fault, int] = {}
        for n, fault in enumerate(self.in_the_way):
            place[fault] = n
            for need in fault.needs:
                of_need.setdefault(id(need), []).append(n)
        return tuple(
            tuple(sorted({
                *of_need.get(id(each.need), ()),
                *(place[fault] for record in each.records for fault in record.doubts if fault in place),
            }))
            for each in self.standings
        )  # fmt: skip

    @property
    def state(self) -> str:
        """*ready*: every test asked for is on record and passes, and nothing else is in the way. *not yet*: only what
        is unfinished, or for somebody to check, is in the way."""
        if not self.in_the_way:
            return "ready"
        return "not yet" if all(each.soft for each in self.in_the_way) else "not ready"

    @property
    def demonstration(self) -> bool:
        """Whether a figure that decides is invented."""
        return any(each.explanation.demonstration for standing in self.standings for each in standing.records)


def ready(job: Job, edition: Edition, filed: Filed, on: datetime.date | None) -> Ready:
    """How ``job`` stands by ``edition`` with what was filed."""
    faults: list[Fault] = []
    problems = list(filed.problems)
    judged, unusable = _judged(filed.records, job, edition, faults, problems)
    unusable += len(filed.unusable)
    if unusable:
        what = f"{unusable} file{'s' * (unusable > 1)} or record{'s' * (unusable > 1)} could not be used"
        faults.append(Fault("unusable", what, "Mend what is told beside."))
    _same_numbers(job, judged, faults)
    now = as_of(job, on, faults)
    faults += records_gone(now, judged)
    faults += against_stored(filed.stored, judged, edition)
    index = lots_by_number(job.lots)
    for each in judged:
        found = [*otherwise_than_delivered(each, job, index), *otherwise_than_certified(each, job)]
        each.doubts += found
        faults += [*found, *other_quantities(each, job)]
    needs, not_stated = needs_of(job, edition)
    for gap in not_stated:
        text = f"{gap.procedure.title}: assembly {gap.assembly.number} of the job does not state {', '.join(gap.paths)}"
        faults.append(Fault("not-stated", text, "State it in the job: nobody can tell which test is asked for."))
    standings = tuple(_standings(now, edition, needs, judged, on, faults))
    without_leave = {id(each) for each in _leaves(now, standings, faults)}
    faults += [fault for each in standings if id(each) not in without_leave and (fault := fault_of(each)) is not None]
    equipment = equipment_of(job, edition, on)
    if on is not None:
        to_be_made = {each.need.procedure.id for each in standings if not each.counts and each.state != "left out"}
        faults += out_of_date(equipment, to_be_made, on)
    faults += against_dispositions(now)
    return Ready(job, edition, on, standings, in_order(faults), equipment, len(judged), tuple(problems))


def _judged(
    records: Sequence[Record], job: Job, edition: Edition, faults: list[Fault], problems: list[Problem]
) -> tuple[list[Judged], int]:
    """The records judged, and how many could not be."""
    found, unusable = [], 0
    for record in records:
        if record.procedure not in edition.procedures:
            faults.append(without_rules(record, job, edition))
            continue
        verdict, wrong = judge_record(record, edition)
        if verdict is None:
            unusable += 1
            problems += wrong
        else:
            found.append(Judged(explain(verdict)))
    return found, unusable


def _same_numbers(job: Job, judged: Sequence[Judged], faults: list[Fault]) -> None:
    """Two records with one number: nobody can say which of them is meant, so neither counts."""
    for id, number in Counter(each.id for each in judged).items():
        if number > 1:
            files = " and ".join(_in(job, each.record.file) for each in judged if each.id == id)
            fault = Fault("two-records", f"{number} records have the number {id}: {files}",
                          "Find out which of them is the record of the test.", (id,))  # fmt: skip
            faults.append(fault)
            for each in judged:
                if each.id == id:
                    each.doubts.append(fault)


def _in(job: Job, file: str) -> str:
    """The name of a file from the folder of the job."""
    path = Path(file)
    return str(path.relative_to(job.folder)) if path.is_relative_to(job.folder) else file


def _standings(
    job: Job, edition: Edition, needs: dict[tuple[int, Combination], Need], judged: Sequence[Judged],
    on: datetime.date | None, faults: list[Fault],
) -> Iterator[Standing]:  # fmt: skip
    of_need: dict[tuple[int, Combination], list[Judged]] = {at: [] for at in needs}
    for each in judged:
        if on is not None and each.tested is not None and each.tested > on:
            # A slip in the date must not make a failure come later.
            passes = each.verdict == "pass"
            counts = "" if passes else "; only a pass would not count yet"
            text = f"record {each.id} is of {each.tested}, after the day asked about{counts}"
            faults.append(Fault("later", text, None, (each.id,)))
            if passes:
                continue
        belongs = tuple(at for at in combinations(each, edition) if at in needs)
        if not belongs:
            placed = placed_by_name(each, needs, job)
            fault = not_telling(each, edition) or placed.fault
            faults += [] if fault is None else [fault]
            belongs = placed.against
        for at in belongs:
            of_need[at].append(each)
    kinds = frozenset(lot.of for lot in job.lots)
    for at, need in needs.items():
        for each in of_need[at]:
            found = [*otherwise_than_installed(each, need, kinds), *_drawn_otherwise(each, need)]
            each.doubts += found
            faults += found
    for at, need in needs.items():
        yield standing_of(need, of_need[at], job.leaves, on)


def _drawn_otherwise(judged: Judged, need: Need) -> Iterator[Fault]:
    """Where a record holds the seed of its sample, and not the items that this seed draws."""
    seed = seed_of([judged])
    if seed is None:
        return
    for key in need.keys:
        sample, _ = sample_of([need], key.written, seed)
        lacking = () if sample is None else not_drawn(judged, sample.drawn)
        if lacking:
            numbers = ", ".join(map(str, lacking))
            text = f"record {judged.id} does not have {numbers}, which its seed `{seed}` draws from {key.written}"
            yield Fault("not-drawn-so", text, "Inspect those as well.", (judged.id,))


def _leaves(job: Job, standings: Sequence[Standing], faults: list[Fault]) -> Iterator[Standing]:
    """The tests that are left out by leave of somebody who may not give it. Leave that nothing comes of is told."""
    for leave in job.leaves:
        of = [each for each in standings if is_left_out(each.need, leave)]
        said = f"leave of {leave.by} ({leave.role}) on {leave.on} not to make {leave.procedure}"
        if not of:
            faults.append(Fault("leave-unused", f"{said}: no such test is asked for"))
            continue
        without = [each for each in of if not may_give(each.need, leave) and each.state == "missing"]
        if without:
            roles = without[0].need.asked.waivable_by
            who = f"only {' or '.join(roles)} may give it" if roles else "the edition lets nobody give it"
            need = without[0].need
            more = f" and {len(without) - 1} more" if len(without) > 1 else ""
            text = f"{said} ({need.shown}{more}) does not count: {who}"
            mend = "Make the test, or have leave of the one who may give it."
            faults.append(Fault("no-leave", text, mend, needs=tuple(each.need for each in without)))
            yield from without
