"""The library: what the commands do, for Python.

>>> from tautbook import Shelf, judge, read_record
>>> edition = Shelf.default().edition("tern-sound", "2016")
>>> verdict = judge(read_record("TS-0412.yaml"), edition)  # doctest: +SKIP
"""

from __future__ import annotations

from collections.abc import Iterable
from os import PathLike
from pathlib import Path

from .comparing.replay import Replayed, replay_record
from .editions.edition import Edition
from .editions.shelf import Shelf as _Shelf
from .explaining.explain import Explanation, explain
from .judging.verdict import Verdict, judge_record
from .lang.problem import Problem, show
from .records.evidence import with_evidence
from .records.folder import Folder, records_in
from .records.record import Record
from .rendering.verdict_json import verdict_json
from .rendering.verdict_text import verdict_text

__all__ = ["Edition", "Explanation", "Record", "Replayed", "Shelf", "Unusable", "Verdict", "explain", "judge",
           "read_record", "replay", "verdict_json", "verdict_text"]  # fmt: skip


class Unusable(Exception):
    """Something that was given cannot be used. ``problems`` say what, where, and the way out; ``str`` shows them."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(map(show, self.problems)))


class Shelf(_Shelf):
    """The editions at hand."""

    @classmethod
    def default(cls, *folders: str | PathLike[str]) -> Shelf:
        """The shipped rulesets, and those in ``folders`` of your own."""
        return cls(_Shelf.of(map(Path, folders)).folders)

    def edition(self, ruleset: str, edition: str) -> Edition:
        """One edition, read and checked. Raises Unusable."""
        found, problems = self.find(f"{ruleset}@{edition}")
        if found is None:
            raise Unusable(problems)
        return found


def read_record(path: str | PathLike[str]) -> Record:
    """The one record in a file, YAML, JSON or a table, with those it rests on in the same folder. Raises Unusable."""
    found = list(records_in(Path(path), str(path)))
    if len(found) != 1:
        raise Unusable([Problem("one-record", f"{len(found)} records are here, and one is needed", file=str(path))])
    record, problems = found[0]
    if record is not None:
        record, problems = with_evidence(record, Folder(Path(path).parent))
    if record is None:
        raise Unusable(problems)
    return record


def judge(record: Record, edition: Edition) -> Verdict:
    """The verdict on ``record`` by ``edition``. Raises Unusable where the record cannot be judged at all."""
    verdict, problems = judge_record(record, edition)
    if verdict is None:
        raise Unusable(problems)
    return verdict


def replay(record: Record, old: Edition, new: Edition) -> Replayed:
    """What two editions say of ``record``, and the findings that make the difference. Raises Unusable."""
    replayed, problems = replay_record(record, old, new)
    if replayed is None:
        raise Unusable(problems)
    return replayed
