"""The records and stored verdicts of a job: read from its own folder, links that lead out of it refused."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from ..comparing.stored import Stored, read_stored
from ..lang.files import why
from ..lang.problem import Problem
from ..lang.reading_parts import read_json_parts
from ..lang.tree import Mapping, Tree
from ..records.evidence import with_evidence
from ..records.folder import ENDINGS, UNSEEN, Folder, records_in
from ..records.read import record_of
from ..records.record import Record
from .job import Job

_JSON = (".json", ".jsonl")


@dataclass(slots=True)
class Filed:
    """What lies in the folders of a job."""

    records: list[Record] = field(default_factory=list)
    stored: list[Stored] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    unusable: list[str] = field(default_factory=list)
    """Files, and lines of files, that could not be used."""

    def wrong(self, name: str, problems: tuple[Problem, ...]) -> None:
        self.unusable.append(name)
        self.problems += problems


def files_of(job: Job) -> Filed:
    """Every record with those it rests on, and every stored verdict, in the order of the names of their files."""
    filed = Filed()
    around = Folder(job.records)
    for path in _files(job.records, ENDINGS, job, filed):
        if path.name.lower().endswith(".json"):
            for name, tree, problems in _parts(path):
                if tree is None:
                    filed.wrong(name, problems)
                elif _is_verdict(tree):
                    _store(tree, name, filed)
                else:
                    _file(record_of(tree, name), name, around, filed)
        else:
            for n, found in enumerate(records_in(path, str(path)), 1):
                _file(found, f"{path} {n}", around, filed)
    if job.verdicts is not None:
        for path in _files(job.verdicts, _JSON, job, filed):
            for name, tree, problems in _parts(path):
                if tree is None:
                    filed.wrong(name, problems)
                else:
                    _store(tree, name, filed)
    return filed


def _file(found: tuple[Record | None, tuple[Problem, ...]], name: str, around: Folder, filed: Filed) -> None:
    record, problems = found
    if record is not None:
        record, problems = with_evidence(record, around)
    if record is None:
        filed.wrong(name, problems)
    else:
        filed.records.append(record)


def _store(tree: Tree, name: str, filed: Filed) -> None:
    stored, problems = read_stored(tree, name)
    if stored is None:
        filed.wrong(name, problems)
    else:
        filed.stored.append(stored)


def _is_verdict(tree: Tree) -> bool:
    return isinstance(tree, Mapping) and tree.get("procedure") is None and tree.get("verdict") is not None


def _parts(path: Path) -> Iterator[tuple[str, Tree | None, tuple[Problem, ...]]]:
    try:
        with path.open("rb") as file:
            yield from read_json_parts(file, str(path))
    except OSError as error:
        yield str(path), None, (Problem("file-unreadable", why(error), file=str(path)),)


def _files(folder: Path, endings: tuple[str, ...], job: Job, filed: Filed) -> Iterator[Path]:
    try:
        paths = sorted(folder.iterdir())
        root = job.folder.resolve()
    except OSError as error:
        filed.wrong(str(folder), (Problem("file-unreadable", why(error), file=str(folder)),))
        return
    for path in paths:
        if not path.name.lower().endswith(endings) or path.name.startswith(UNSEEN):
            continue
        try:
            inside = path.resolve().is_relative_to(root)
            there = path.is_file()
        except (OSError, RuntimeError):  # RuntimeError: a link that leads to itself
            inside, there = True, False
        if not inside:
            help = "copy the file into the folder of the job"
            message = "this link leads out of the folder of the job, and is not followed"
            filed.wrong(str(path), (Problem("job-outside", message, file=str(path), help=help),))
        elif there:
            yield path
        elif path.is_symlink():
            message = "this link leads nowhere"
            filed.wrong(str(path), (Problem("file-unreadable", message, file=str(path)),))
