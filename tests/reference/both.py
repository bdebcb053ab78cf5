"""The engine and the second judge, which share no code, held to each other on one record by one edition."""

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from yaml.emitter import Emitter
from yaml.representer import SafeRepresenter
from yaml.resolver import BaseResolver
from yaml.serializer import Serializer

from reference.evidence import Folder
from reference.judging import Whole, judge
from tautbook import Shelf
from tautbook.editions.edition import Edition
from tautbook.editions.read import read_edition
from tautbook.judging.verdict import Verdict, judge_record
from tautbook.lang.problem import Problem, show
from tautbook.records.evidence import with_evidence
from tautbook.records.folder import Folder as EngineFolder
from tautbook.records.read import read_records

HOME = Path(__file__).parents[2] / "rulesets" / "tern-sound"
EDITIONS = {path.stem: path.read_text(encoding="utf-8") for path in sorted(HOME.glob("2*.yaml"))}
WORKED = {path.name: path.read_text(encoding="utf-8") for path in sorted((HOME / "examples").glob("*.yaml"))}
FOLDER = Folder(WORKED)
_ENGINE_FOLDER = EngineFolder(HOME / "examples")

Pick = Callable[[int], int]
"""A whole number below the given one."""


class _Plain(Emitter, Serializer, SafeRepresenter, BaseResolver):
    """Writes every scalar as the text that it is, without quotes wherever it can."""

    def __init__(self, stream: Any, **options: Any) -> None:
        Emitter.__init__(self, stream, width=100_000)
        Serializer.__init__(self)
        SafeRepresenter.__init__(self, default_flow_style=False, sort_keys=False)
        BaseResolver.__init__(self)

    def ignore_aliases(self, data: Any) -> bool:
        return True


def write(data: Any) -> str:
    text: str = yaml.dump(data, Dumper=_Plain)  # type: ignore[call-overload]
    return text


@cache
def edition_of(text: str) -> Edition:
    edition, problems = read_edition(text.encode(), "edition.yaml", Shelf.default().bytes_of)
    assert edition is not None, [show(problem) for problem in problems]
    return edition


def by_engine(edition: str, record: str) -> tuple[Verdict | None, tuple[Problem, ...]]:
    """The verdict, or why the record is refused. What it rests on lies among the worked records."""
    ((found, problems),) = read_records(record.encode(), str(HOME / "examples" / "record.yaml"))
    if found is not None:
        found, problems = with_evidence(found, _ENGINE_FOLDER)
    return (None, tuple(problems)) if found is None else judge_record(found, edition_of(edition))


def same(edition: str, record: str) -> tuple[Verdict, Whole] | None:
    """Both judgements, held to each other; None where the engine refuses the record."""
    verdict, _ = by_engine(edition, record)
    if verdict is None:
        return None
    other = judge(edition, record, FOLDER)
    found = {
        (f.id, f.item): (f.outcome, f.can, set(f.missing), {stuck.by for stuck in f.no_rule}, f.voided)
        for f in verdict.findings
    }
    expected = {
        (f.id, f.item): (f.outcome, f.weight.can, set(map(other.filed, f.missing)), set(f.stuck), f.voided)
        for f in other.findings
    }
    assert found == expected, record
    assert set(verdict.could_be) == other.could_be, record
    assert verdict.verdict == other.verdict, record
    return verdict, other
