"""Records to start from: worked ones that come to a comparison, at a cell of a table, or ones made from them that do.

Where no worked record that passes has the cell, its keys are put in, the readings of its dials are brought to the
height of that cell, and what is then not met is mended. Where the cell is found by something worked out, or the
comparison stands in another branch of a rule, one reading is moved that leads there.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import chain
from typing import Any

from ..editions.edition import Edition, Procedure
from ..judging.findings import Finding
from ..judging.verdict import Verdict, judge_record
from ..lang.evaluate import steps_below
from ..lang.kernel import Field, Lookup, Node, Term, parts_of
from ..lang.operations import words as written_as
from ..lang.quantity import DIMENSIONLESS, Quantity
from ..lang.values import Data, Group, Items, Leaf
from ..records.record import content
from .boundaries import Boundary, Shown, shown
from .boundary_changes import Change, answers, into_bands, overtaking
from .boundary_marks import mark_for
from .boundary_places import What
from .boundary_rules import CellKey, Study
from .boundary_steps import field_info, step_of
from .record_data import Content, changed, read_back

About = tuple[str, str, str, CellKey | None]
"""Procedure, requirement, rule, cell."""

_HELD: tuple[What, ...] = ("inside", "at")
_MOST_BASES = 6
_MOST_FOR_WORDS = 60
_MOST_STARTS = 6
_MOST_ROUNDS = 40


@dataclass(slots=True)
class Bases:
    edition: Edition
    study: Study
    passing: list[Shown] = field(default_factory=list)
    index: dict[About, list[Shown]] = field(default_factory=dict)
    """The records that come to a comparison."""
    sought: dict[About, str] = field(default_factory=dict)
    """Where no record that passes came to a comparison: why none could be made that does; nothing if one was made."""

    def know(self, base: Shown) -> None:
        """``base`` can serve from here on."""
        if base.verdict.verdict == "pass":
            self.passing.append(base)
        for about in comes_to(base):
            self.index.setdefault(about, []).append(base)

    def of(self, boundary: Boundary) -> Iterator[Shown | str]:
        """Records that come to the comparison, at that cell: those that pass, or else what there is."""
        about = boundary.key[:4]
        if about not in self.sought and not any(_passes(each) for each in self.index.get(about, ())):
            made = self.brought_to(boundary, boundary.cell) if boundary.cell else self.led_to(boundary)
            if isinstance(made, Shown):
                self.know(made)
            self.sought[about] = made if isinstance(made, str) else ""
        found = self.index.get(about, [])
        most = _MOST_BASES if boundary.rule else _MOST_FOR_WORDS
        yield from [each for each in found if _passes(each)][:most]
        yield from [each for each in found if not _passes(each)][:most]
        if not found:
            yield self.sought[about]

    def judge(self, whole: Content) -> Shown | str:
        """The record as it reads back, judged."""
        record, problems = read_back(json.dumps(whole), f"{whole['id']}.json")
        if record is not None:
            verdict, problems = judge_record(record, self.edition)
            if verdict is not None:
                return shown(verdict, self.study)
        return f"no record can hold it: {problems[0].message}"


    def brought_to(self, boundary: Boundary, cell: CellKey) -> Shown | str:
        """A record that passes and comes to ``cell``, made from those that pass; or why there is none."""
        procedure = self.edition.procedures[boundary.procedure]
        paths = _key_paths(cell.table, procedure)
        if paths is None:
            return self.led_to_row(boundary, cell)
        keys = dict(zip(paths, cell.keys, strict=True))
        passing = [each.verdict for each in self.passing if each.verdict.procedure is procedure]
        near = sorted(passing, key=lambda each: sum(_text_at(each, path) != key for path, key in keys.items()))
        why = "no worked record that passes can be brought to that cell"
        for base in near[:_MOST_STARTS]:
            found = self.mended(self.rescaled(base, keys, cell))
            if isinstance(found, str):
                why = found
            elif boundary.key[:4] in comes_to(found):
                return found
        return why

    def led_to(self, boundary: Boundary) -> Shown | str:
        """A record that comes to another branch of a rule, made by one reading that overtakes another."""
        for finding, base in self.findings(boundary):
            for change in overtaking(finding, base):
                whole = changed(content(base.record.shaped), dict([change]))
                found = "" if whole is None else self.judge(whole)
                if isinstance(found, Shown) and boundary.key[:4] in comes_to(found):
                    return found
        return "no worked record that passes comes to it"

    def led_to_row(self, boundary: Boundary, cell: CellKey) -> Shown | str:
        """A record that passes and comes to a band of a table, one reading that the band is worked out from moved."""
        for finding, base in self.findings(boundary):
            for change in into_bands(finding, base, cell):
                whole = changed(content(base.record.shaped), dict([change]))
                found = "" if whole is None else self.mended(whole)
                if isinstance(found, Shown) and boundary.key[:4] in comes_to(found):
                    return found
        return f"a row of `{cell.table}` is found by something worked out, and no one reading leads to this one"

    def findings(self, boundary: Boundary) -> Iterator[tuple[Finding, Verdict]]:
        """What the requirement came to on each record that passes."""
        for base in self.passing:
            if base.verdict.procedure.id == boundary.procedure:
                yield from ((each, base.verdict) for each in base.verdict.findings if each.id == boundary.requirement)

    def rescaled(self, base: Verdict, keys: Mapping[str, str], cell: CellKey) -> Content:
        """The record with other keys, the readings of its dials in proportion to the figure of the cell."""
        whole = changed(content(base.record.shaped), dict(keys)) or {}
        table = base.procedure.rules.tables[cell.table]
        new = next(each.value for each in table.cells.values() if each.keys == cell.keys)
        old = {
            step.cell.value
            for finding in base.findings if finding.require is not None
            for step in steps_below(finding.require)
            if isinstance(step.node, Lookup) and step.node.table == cell.table and step.cell is not None
        }  # fmt: skip
        before = next(iter(old), None) if len(old) == 1 else None
        if not isinstance(new, Quantity) or not isinstance(before, Quantity) or not before.value:
            return whole
        if new.dimension == DIMENSIONLESS:
            return whole  # counts have no common scale
        ratio = new.value / before.value
        dials = {info.read_in for info in base.record.words.fields.values() if info.read_in is not None}
        changes: dict[str, str | None] = {}
        for leaf in _leaves(base.observed.group):
            info, _ = field_info(leaf.path, base.record.words)
            value, step = leaf.value, step_of(leaf, base)
            if info is None or step is None or not isinstance(value, Quantity) or value.dimension != new.dimension:
                continue
            if leaf.path.startswith("evidence.") or info.path in dials:
                continue
            if info.read_in is not None:
                changes[leaf.path] = written_as(Quantity(round(value.value * ratio / step) * step, value.unit))
            elif ratio > 1:
                # No reading itself but of what it is read from, its capacity say: a larger one of the same make.
                changes[leaf.path] = written_as(Quantity(value.value * ratio.__ceil__(), value.unit))
        return changed(whole, changes) or whole

    def mended(self, whole: Content) -> Shown | str:
        """A record that passes, made by mending what is not met, one reading at a time."""
        whole["id"] = "mended"
        found = self.judge(whole)
        for _ in range(_MOST_ROUNDS):
            if isinstance(found, str) or _passes(found):
                return found
            better = next(self.better(found), None)
            if better is None:
                break
            found = better
        if isinstance(found, str):
            return found
        faults = dict.fromkeys(each.id for each in found.verdict.findings if each.outcome in ("not met", "open") and
                               each.requirement.kind != "advice")  # fmt: skip
        return f"of records brought to that cell, the nearest still lacks: {', '.join(faults)}"

    def better(self, base: Shown) -> Iterator[Shown]:
        """The record with one change that mends a finding and breaks no other; readings before answers."""
        broken = _broken(base.verdict)
        findings = [each for each in base.verdict.findings if (each.id, each.item) in broken]
        marks = [change for each in findings for change in _marks(each, base)]
        for change in chain(marks, *(answers(each, base.verdict, leave_out=False) for each in findings)):
            whole = changed(content(base.verdict.record.shaped), dict([change]))
            found = None if whole is None else self.judge(whole)
            if isinstance(found, Shown) and len(_broken(found.verdict)) < len(broken):
                yield found


def comes_to(base: Shown) -> set[About]:
    """The comparisons, at their cells, that a record can show something of with another reading."""
    found: set[About] = set()
    for place in base.places:
        found |= {(*place.about, cell) for cell in (None, *place.cells)}
    return found | {key[:4] for key in base.keys if not key[2] and key[4] == "inside"}


def _passes(base: Shown) -> bool:
    return base.verdict.verdict == "pass"


def _marks(finding: Finding, base: Shown) -> Iterator[Change]:
    """The readings that meet the limits that are not met."""
    for place in base.places:
        if place.finding is finding and place.comparison.outcome == "not met" and place.reading is not None:
            for what in _HELD:
                mark = mark_for(place, what)
                if not isinstance(mark, str):
                    yield place.reading.path, written_as(mark)


def _broken(verdict: Verdict) -> set[Change]:
    return {
        (each.id, each.item)
        for each in verdict.findings
        if each.requirement.kind != "advice" and each.outcome in ("not met", "open", "waived")
    }


def _leaves(data: Data) -> Iterator[Leaf]:
    match data:
        case Leaf():
            yield data
        case Group(fields=fields):
            for below in fields.values():
                yield from _leaves(below)
        case Items(items=items):
            for item in items:
                yield from _leaves(item)


def _text_at(verdict: Verdict, path: str) -> str | None:
    place: Any = content(verdict.record.shaped)
    for name in path.split("."):
        place = place.get(name) if isinstance(place, dict) else None
    return None if place is None else str(place)


def _key_paths(table: str, procedure: Procedure) -> tuple[str, ...] | None:
    """The fields that a row of ``table`` is found by; None where one key is no field."""
    seen: set[int] = set()
    stack: list[Node] = [each.require for each in procedure.requirements if each.require is not None]
    while stack:
        at = stack.pop()
        if id(at) in seen:
            continue
        seen.add(id(at))
        if isinstance(at, Lookup) and at.table == table:
            paths = [_path(key) for key in at.keys]
            return None if None in paths else tuple(path for path in paths if path is not None)
        stack += parts_of(at)
        if isinstance(at, Term):
            stack.append(procedure.rules.terms[at.name].body)
    return None


def _path(key: Node) -> str | None:
    match key:
        case Field(root=None, path=path):
            return ".".join(path)
        case Term(name=name) if " " in name:
            return name.partition(" ")[2]
        case _:
            return None
