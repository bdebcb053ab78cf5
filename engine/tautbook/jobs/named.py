"""What a job names and does not have, or does not have yet: records that others repeat or rest on, later decisions."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import replace

from ..editions.edition import Edition
from ..explaining.labels import label
from ..shape.vocabulary import vocabulary
from .fault import Fault
from .job import Job
from .judged import Judged
from .needs import paths_of
from .same import written


def records_gone(job: Job, judged: Sequence[Judged]) -> Iterator[Fault]:
    """Records that a retest repeats, or a decision rests on, and that are not among those of the job. A retest whose
    earlier record is gone, and not in its evidence either, does not count: nobody can see what it repeats."""
    there = {each.id for each in judged}
    for each in judged:
        beside = {other.id for other in each.record.evidence.values()}
        if each.retest_of is not None and each.retest_of not in there | beside:
            text = f"record {each.id} repeats record {each.retest_of}, which is not among those of this job"
            fault = Fault("record-gone", text, "Put the record back: it stands, whatever the retest says.",
                          (each.id, each.retest_of))  # fmt: skip
            each.doubts.append(fault)
            yield fault
    for decided in job.dispositions:
        if decided.record is not None and decided.record not in there:
            text = f"the decision of {decided.on} on {decided.lot.name} ({decided.decision}) rests on record"
            text += f" {decided.record}, which is not among those of this job"
            yield Fault("record-gone", text, "Put the record back.", (decided.record,))


def not_telling(judged: Judged, edition: Edition) -> Fault | None:
    """Where a record does not state the fields by which the tests of its procedure are told apart: nobody can tell
    which of them it is, nor that it is none of them."""
    lines = [asked for asked in edition.programme if asked.procedure == judged.procedure.id]
    words = vocabulary(judged.procedure.id)
    if not lines or words is None:
        return None
    gaps = [[path for path in paths_of(asked, words) if written(path, judged.data) is None] for asked in lines]
    if not all(gaps):
        return None
    lacking = ", ".join(label(path, words) for path in min(gaps, key=len))
    text = f"record {judged.id} ({judged.procedure.title}: {judged.verdict}) does not state {lacking}"
    mend = "Complete it from the containers: nobody can tell which test it is."
    return Fault("not-told-apart", text, mend, (judged.id,))


def as_of(job: Job, on: datetime.date | None, faults: list[Fault]) -> Job:
    """The job with the decisions that were made by the day ``on``; later ones are told."""
    if on is None:
        return job
    for leave in job.leaves:
        if leave.on > on:
            text = f"leave of {leave.by} ({leave.role}) not to make {leave.procedure} is of {leave.on}"
            faults.append(Fault("later", f"{text}, after the day asked about"))
    for decided in job.dispositions:
        if decided.on > on:
            text = f"the decision on {decided.lot.name} ({decided.decision}) is of {decided.on}"
            faults.append(Fault("later", f"{text}, after the day asked about"))
    return replace(
        job, leaves=tuple(each for each in job.leaves if each.on <= on),
        dispositions=tuple(each for each in job.dispositions if each.on <= on),
    )  # fmt: skip
