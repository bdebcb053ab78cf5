"""Worked records beside the ruleset: each is judged, and must come out as is stated of it.

``verdicts.yaml`` states them: for each file a list of {under: [editions], verdict, why}. The verdict may be
``no rules``, where the edition has none for that kind of test.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from ..editions.edition import Edition
from ..judging.could_be import VERDICTS
from ..judging.verdict import judge_record
from ..lang.files import read_file
from ..lang.problem import Problem, did_you_mean
from ..lang.reading import read_text, read_tree
from ..lang.source import Span
from ..lang.tree import Mapping, Scalar, Sequence, Tree
from ..records.gather import gather
from ..records.record import Record
from .report import Finding, error, remark

NO_RULES = "no rules"
_WORDS = (*VERDICTS, NO_RULES)


@dataclass(slots=True)
class Worked:
    """What came of the worked records of one edition."""

    findings: list[Finding] = field(default_factory=list)
    unread: list[Problem] = field(default_factory=list)
    records: int = 0
    as_stated: int = 0


@dataclass(frozen=True, slots=True)
class _Stated:
    verdict: str
    span: Span


def worked_records(edition: Edition, folder: Path) -> Worked:
    """The records in ``examples`` of the folder of the ruleset, held to its ``verdicts.yaml``."""
    found = Worked()
    file, examples = folder / "verdicts.yaml", folder / "examples"
    stated = _stated(file, edition.edition, found) if file.exists() else {}
    if not examples.is_dir():
        for name, said in stated.items():
            _missing(name, said, found)
        if not stated:
            help = "put records into the folder `examples` beside this file, and what they must give into verdicts.yaml"
            at = edition.span.at(0, 0)
            found.findings.append(remark("worked records", "worked-none", "no record was worked by it", at, help))
        return found
    seen = set()
    for record, problems in gather(str(examples), io.BytesIO()):
        if record is None:
            found.unread += problems
            seen |= {_file_of(problem) for problem in problems}
            continue
        name = Path(record.file).name
        seen.add(name)
        _compare(record, stated.get(name), edition, found)
    for name, said in stated.items():
        if name not in seen and not (examples / name).exists():
            _missing(name, said, found)
    return found


def _file_of(problem: Problem) -> str:
    return Path(problem.file or (problem.span.source.name if problem.span else "")).name


def _missing(name: str, said: _Stated, found: Worked) -> None:
    message = f"a verdict is stated of `{name}`, and there is no such record"
    help = "mend the name, put the record into `examples`, or strike the line"
    found.findings.append(error("worked records", "worked-missing", message, said.span, help))


def _compare(record: Record, said: _Stated | None, edition: Edition, found: Worked) -> None:
    verdict, problems = judge_record(record, edition)
    given: str = NO_RULES
    if verdict is not None:
        given = verdict.verdict
    elif all(problem.code != "procedure-not-in-edition" for problem in problems):
        found.unread += problems
        return
    found.records += 1
    name = Path(record.file).name
    if said is None:
        message = f"nothing is stated of `{name}` under {edition.edition}; it is now: {given}"
        help = f"if that is right, add {{under: [\"{edition.edition}\"], verdict: {given}, why: ...}} to verdicts.yaml"
        at = record.shaped.span.at(0, 0)
        found.findings.append(remark("worked records", "worked-unstated", message, at, help))
    elif said.verdict != given:
        message = f"`{name}` is stated to give {said.verdict} under {edition.edition}, and gives {given}"
        help = f"judge it to see why: tautbook judge {record.file} --under {edition.name}"
        found.findings.append(error("worked records", "worked-differs", message, said.span, help))
    else:
        found.as_stated += 1


# verdicts.yaml


def _stated(file: Path, edition: str, found: Worked) -> dict[str, _Stated]:
    """What is stated under ``edition``, by file."""
    data, problem = read_file(file, str(file))
    if problem is not None:
        found.unread.append(problem)
        return {}
    source, problems = read_text(data or b"", str(file))
    tree, more = (None, ()) if source is None else read_tree(source, "yaml")
    found.unread += (*problems, *more)
    if tree is None:
        return {}
    stated: dict[str, _Stated] = {}
    for name, statement in _statements(tree, found):
        under, verdict = statement.get("under"), statement.get("verdict")
        if not isinstance(under, Sequence) or not isinstance(verdict, Scalar):
            _form(statement, found)
            continue
        if verdict.text not in _WORDS:
            help = did_you_mean(verdict.text, _WORDS, f"one of: {', '.join(_WORDS)}") or ""
            message = f"`{verdict.text}` is no verdict"
            found.findings.append(error("worked records", "worked-form", message, verdict.span, help))
            continue
        if edition not in {each.text for each in under.items if isinstance(each, Scalar)}:
            continue
        if name in stated:
            message = f"two verdicts are stated of `{name}` under {edition}"
            help = "keep the one that is right"
            found.findings.append(error("worked records", "worked-twice", message, verdict.span, help))
            continue
        stated[name] = _Stated(verdict.text, verdict.span)
    return stated


def _statements(tree: Tree, found: Worked) -> Iterator[tuple[str, Mapping]]:
    if not isinstance(tree, Mapping):
        _form(tree, found)
        return
    for entry in tree:
        if not isinstance(entry.value, Sequence):
            _form(entry.value, found)
            continue
        for item in entry.value.items:
            if isinstance(item, Mapping):
                yield entry.key.text, item
            else:
                _form(item, found)


def _form(tree: Tree, found: Worked) -> None:
    message = "this is not how verdicts are stated"
    help = "under the name of each file: - {under: [EDITION], verdict: pass, why: ...}"
    found.findings.append(error("worked records", "worked-form", message, tree.span, help))
