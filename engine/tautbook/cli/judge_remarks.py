"""What ``judge`` tells beside a verdict, of the job that the record is of. None of it touches the verdict."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from ..explaining.explain import Explanation
from ..shape.shaped import text_at

if TYPE_CHECKING:
    from ..jobs.job import Job


def with_its_job(explanation: Explanation) -> Explanation:
    """A caution where the record names a job, and it was judged by an edition that was named by itself."""
    verdict = explanation.verdict
    job = text_at(verdict.record.shaped, "job")
    if job is None or job == _job_beside(verdict.edition.file):
        return explanation
    text = f"the record names the job {job}: `--job` judges it by the edition that governs there"
    return replace(explanation, remarks=(*explanation.remarks, f"{text}; this is by {verdict.edition.name}"))


@lru_cache(maxsize=1)
def _job_beside(edition: str) -> str | None:
    """The job whose contract's layer stands in the file ``edition``."""
    from ..jobs.read import FILE, read_job

    path = Path(edition)
    if not (path.parent / FILE).is_file():
        return None
    job, _ = read_job(path.parent)
    return None if job is None or job.layer is None or job.layer.resolve() != path.resolve() else job.id


def with_papers(explanation: Explanation, job: Job) -> Explanation:
    """What ``ready`` would find about the record in the job."""
    from ..jobs.beside import beside
    from ..jobs.files import files_of

    verdict = explanation.verdict
    found = dict.fromkeys(beside(verdict.record, job, verdict.edition, files_of(job)))
    return replace(explanation, remarks=(*explanation.remarks, *found))
