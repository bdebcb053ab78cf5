"""Why no record like the worked ones can show a boundary."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from ..judging.findings import Finding
from ..judging.verdict import Verdict
from ..lang.evaluate import evaluate, steps_below
from ..lang.kernel import Lookup
from ..lang.values import Data, Group, Items
from .boundary_marks import mark_for
from .boundary_places import Key, Looked, Place, What, item_of, leads
from .boundary_rules import CellKey
from .boundary_steps import field_info
from .survey import Survey, Tried

Beside = frozenset[tuple[str, str, CellKey]]
"""Procedure, requirement, and a cell that it comes to only where it does not apply."""


def beside(survey: Survey) -> Beside:
    """By all combinations of covered values that the requirements were tried on."""
    found: set[tuple[str, str, CellKey]] = set()
    for each in survey.requirements:
        if each.requirement.applies is not None:
            there, apart = (
                {cell for tried in each.tried if tried.live is live for cell in _cells(tried)} for live in (True, False)
            )
            found |= {(each.procedure.id, each.requirement.id, cell) for cell in apart - there}
    return frozenset(found)


def _cells(tried: Tried) -> Iterator[CellKey]:
    for step in () if tried.require is None else steps_below(tried.require):
        if isinstance(step.node, Lookup) and step.cell is not None:
            yield CellKey(step.node.table, step.cell.keys)


def never(key: Key, looked: Iterable[Looked], apart: Beside) -> str | None:
    """Why none can, by all findings that count of the requirement; None if one can, or there is none to tell by."""
    procedure, requirement, rule, cell, what = key
    if cell is not None and (procedure, requirement, cell) in apart:
        return "the requirement does not apply there"
    if what == "missing":
        return _never_missing(rule, looked)
    if not rule:
        return None
    return _never_there(
        what, (place for each in looked for place in each.places if place.rule == rule and cell in (None, *place.cells))
    )


def _never_there(what: What, places: Iterable[Place]) -> str | None:
    whys: list[str] = []
    tried: set[object] = set()
    for place in places:
        if place.reading is None or place.alike in tried:
            continue
        tried.add(place.alike)
        mark = mark_for(place, what)
        if not isinstance(mark, str):
            return None
        whys.append(mark)
    return whys[0] if whys else None


def _never_missing(rule: str, looked: Iterable[Looked]) -> str | None:
    """A requirement may apply only where its reading was made: without it that is open as well."""
    some = False
    for each in looked:
        readings = {place.reading.path for place in each.places if place.rule == rule and place.reading is not None}
        for path in readings if rule else _readings(each.finding):
            some = True
            if _applies_without(path, each.finding, each.verdict):
                return None
    return "where it is missing, it is open whether the requirement applies" if some else None


def _readings(finding: Finding) -> Iterator[str]:
    steps = () if finding.require is None else steps_below(finding.require)
    yield from dict.fromkeys(step.reading.path for step in steps if step.reading is not None)


def _applies_without(path: str, finding: Finding, verdict: Verdict) -> bool:
    """Whether the requirement still applies where nothing is recorded there, nor what cannot be without it."""
    applies = finding.requirement.applies
    if applies is None:
        return True
    while "." in path and not _may_be_left_out(path, verdict):
        path = path.rpartition(".")[0]
    group = _without(verdict.observed.group, path)
    assert isinstance(group, Group)
    return evaluate(applies, verdict.procedure.rules, group, item_of(finding, group)).value is True


def _may_be_left_out(path: str, verdict: Verdict) -> bool:
    info, _ = field_info(path, verdict.record.words)
    return info is not None and not info.required


def _without(data: Data, path: str) -> Data:
    if not leads(data.path, path):
        return data
    match data:
        case Group(fields=fields):
            kept = {name: _without(below, path) for name, below in fields.items() if below.path != path}
            return replace(data, fields=kept)
        case Items(items=items):
            return replace(data, items=tuple(_without(item, path) for item in items))
        case _:
            return data
