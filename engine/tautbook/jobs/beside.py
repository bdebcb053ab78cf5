"""What ``ready`` would find about one record, beside the verdict on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ..editions.edition import Edition
from ..records.record import Record
from .files import Filed
from .job import Job
from .ready import ready

_SAYS_THE_VERDICT = frozenset({"failed", "invalid", "incomplete", "advisory"})
"""What is found of a test by its verdict alone: that is told already."""


def beside(record: Record, job: Job, edition: Edition, filed: Filed) -> Iterator[str]:
    """What the papers of the job and its other records say about ``record``, filed there or about to be."""
    there = any(each.digest == record.digest and each.id == record.id for each in filed.records)
    records = filed.records if there else [*filed.records, record]
    found = ready(job, edition, replace(filed, records=records), None)
    for fault in found.faults:
        if record.id in fault.records and fault.code not in _SAYS_THE_VERDICT:
            yield fault.text if fault.next is None else f"{fault.text}. {fault.next}"
    for standing in found.standings:
        mine = [each for each in standing.records if each.id == record.id]
        others = [each for each in standing.records if each.id != record.id]
        if mine and others:
            said = (f"{each.id}{f' of {each.tested}' if each.tested else ''} ({each.verdict})" for each in others)
            retest = "" if mine[0].retest_of is not None else "; this record names none that it repeats"
            yield f"of {standing.need.shown} there is on record: {', '.join(said)}{retest}"
