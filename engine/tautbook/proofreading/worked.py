"""Worked records beside the ruleset: each is judged, and must come out as is stated of it.

``verdicts.yaml`` states them: for each file a list of {under: [editions], verdict, why}. The verdict may be
``no rules``, where the edition has none for that kind of test. Of a file with a record a line, ``records`` says which
of them are meant, by number; all of them where it is left out. The folder ``boundaries`` beside it holds more of both.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from ..editions.edition import Edition
from ..judging.could_be import VERDICTS
from ..judging.verdict import Verdict, judge_record
from ..lang.files import read_file
from ..lang.problem import Problem, did_you_mean
from ..lang.reading import read_text, read_tree
from ..lang.source import Span
from ..lang.tree import Mapping, Scalar, Sequence, Tree
from ..records.gather import gather
from ..records.record import Record
from .report import Finding, error, remark

NO_RULES = "no rules"
TO_CONFIRM = "given now, to be confirmed"
"""How the reason begins for a verdict that an edition gave when its record was made, until someone confirms it."""
EXAMPLES, STATED, BOUNDARIES = "examples", "verdicts.yaml", "boundaries"
"""Where worked records lie beside an edition, what is stated of them, and the folder with those made for its limits."""

_WORDS = (*VERDICTS, NO_RULES)


@dataclass(slots=True)
class Worked:
    """What came of the worked records of one edition."""

    findings: list[Finding] = field(default_factory=list)
    unread: list[Problem] = field(default_factory=list)
    judged: list[Verdict] = field(default_factory=list)
    numbers: set[str] = field(default_factory=set)
    """Of all records, also those of tests that the edition has no rules for."""
    records: int = 0
    as_stated: int = 0
    unconfirmed: list[Span] = field(default_factory=list)
    """Where the verdicts are stated that nobody has confirmed, for each record."""


@dataclass(frozen=True, slots=True)
class _Stated:
    verdict: str
    span: Span
    confirmed: bool


_Which = tuple[str, str | None]
"""The name of a file, and the number of a record in it; None: all records in it."""


def worked_records(edition: Edition, folder: Path) -> Worked:
    """The records in ``examples`` of the folder of the ruleset, held to its ``verdicts.yaml``; and those in its folder
    ``boundaries``, which has the same two."""
    found = Worked()
    places = [each for each in (folder, folder / BOUNDARIES) if (each / EXAMPLES).is_dir()]
    for place in dict.fromkeys([folder, *places]):
        _held(edition, place, found)
    if not places and not found.findings:
        help = "put records into the folder `examples` beside this file, and what they must give into verdicts.yaml"
        at = edition.span.at(0, 0)
        found.findings.append(remark("worked records", "worked-none", "no record was worked by it", at, help))
    return found


def _held(edition: Edition, folder: Path, found: Worked) -> None:
    file, examples = folder / STATED, folder / EXAMPLES
    stated = _stated(file, edition.edition, found) if file.exists() else {}
    seen: set[_Which] = set()
    found.unconfirmed.clear()
    for record, problems in gather(str(examples), io.BytesIO()) if examples.is_dir() else ():
        if record is None:
            found.unread += problems
            seen |= {(_file_of(problem), None) for problem in problems}
            continue
        name = _file_name(record.file)
        seen |= {(name, None), (name, record.id)}
        found.numbers.add(record.id)
        _compare(record, stated.get((name, record.id)) or stated.get((name, None)), edition, found)
    for which, said in stated.items():
        if which not in seen and (which[1] is not None or not (examples / which[0]).exists()):
            _missing(which, said, found)
    if found.unconfirmed:
        number = len(found.unconfirmed)
        many = "1 worked record has a verdict" if number == 1 else f"{number} worked records have verdicts"
        message = f"{many} that {edition.edition} gave itself, and that nobody has confirmed"
        at = min(found.unconfirmed, key=lambda span: span.start)
        help = "read each record; where the verdict is right, write the reason as its `why`"
        found.findings.append(remark("worked records", "worked-unconfirmed", message, at, help))


def _file_of(problem: Problem) -> str:
    return _file_name(problem.file or (problem.span.source.name if problem.span else ""))


def _file_name(shown: str) -> str:
    """Of a record, or of a line of a file that holds a record a line."""
    return re.sub(r"(?<=\.)(jsonl?) line [0-9]+$", r"\1", Path(shown).name)


def _missing(which: _Which, said: _Stated, found: Worked) -> None:
    name, number = which
    what = f"`{name}`" if number is None else f"{number} in `{name}`"
    message = f"a verdict is stated of {what}, and there is no such record"
    help = "mend the name, put the record into `examples`, or strike the line"
    found.findings.append(error("worked records", "worked-missing", message, said.span, help))


def _compare(record: Record, said: _Stated | None, edition: Edition, found: Worked) -> None:
    verdict, problems = judge_record(record, edition)
    given: str = NO_RULES
    if verdict is not None:
        given = verdict.verdict
        found.judged.append(verdict)
    elif all(problem.code != "procedure-not-in-edition" for problem in problems):
        found.unread += problems
        return
    found.records += 1
    if said is not None and not said.confirmed:
        found.unconfirmed.append(said.span)
    file, whole = _file_name(record.file), Path(record.file).name
    name = f"`{file}`" if file == whole else f"{record.id} in `{file}`"
    if said is None:
        message = f"nothing is stated of {name} under {edition.edition}; it is now: {given}"
        help = f"if that is right, add {{under: [\"{edition.edition}\"], verdict: {given}, why: ...}} to verdicts.yaml"
        at = record.shaped.span.at(0, 0)
        found.findings.append(remark("worked records", "worked-unstated", message, at, help))
    elif said.verdict != given:
        message = f"{name} is stated to give {said.verdict} under {edition.edition}, and gives {given}"
        help = f"judge it to see why: tautbook judge {record.file} --under {edition.name}"
        found.findings.append(error("worked records", "worked-differs", message, said.span, help))
    else:
        found.as_stated += 1


# verdicts.yaml


def _stated(file: Path, edition: str, found: Worked) -> dict[_Which, _Stated]:
    """What is stated under ``edition``, by file and record."""
    data, problem = read_file(file, str(file))
    if problem is not None:
        found.unread.append(problem)
        return {}
    source, problems = read_text(data or b"", str(file))
    tree, more = (None, ()) if source is None else read_tree(source, "yaml")
    found.unread += (*problems, *more)
    if tree is None:
        return {}
    stated: dict[_Which, _Stated] = {}
    for name, statement in _statements(tree, found):
        under, verdict, numbers = (statement.get(key) for key in ("under", "verdict", "records"))
        listed = numbers is None or isinstance(numbers, Sequence)
        if not isinstance(under, Sequence) or not isinstance(verdict, Scalar) or not listed:
            _form(statement, found)
            continue
        if verdict.text not in _WORDS:
            help = did_you_mean(verdict.text, _WORDS, f"one of: {', '.join(_WORDS)}") or ""
            message = f"`{verdict.text}` is no verdict"
            found.findings.append(error("worked records", "worked-form", message, verdict.span, help))
            continue
        if edition not in {each.text for each in under.items if isinstance(each, Scalar)}:
            continue
        for which in _which(name, numbers):
            if which in stated:
                what = f"`{name}`" if which[1] is None else f"{which[1]} in `{name}`"
                message = f"two verdicts are stated of {what} under {edition}"
                help = "keep the one that is right"
                found.findings.append(error("worked records", "worked-twice", message, verdict.span, help))
            else:
                stated[which] = _Stated(verdict.text, verdict.span, not _to_confirm(statement.get("why")))
    return stated


def _to_confirm(why: Tree | None) -> bool:
    return isinstance(why, Scalar) and why.text.startswith(TO_CONFIRM)


def _which(name: str, numbers: Tree | None) -> list[_Which]:
    if not isinstance(numbers, Sequence):
        return [(name, None)]
    return [(name, each.text) for each in numbers.items if isinstance(each, Scalar)]


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
