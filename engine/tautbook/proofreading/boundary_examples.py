"""Records for boundaries that no worked record shows, each with the verdict that the edition gives now.

A record is made from a worked one that passes by changing one reading: moved to the mark that stands so, left out, or
answered otherwise. Where no worked record that passes has the cell, one is made first: its keys are put in, the
readings of its dials are brought to the height of that cell, and what is then not met is mended. Where that cannot be
done either, a worked record that does not pass serves, if one comes to the comparison. Every record made is
written out, read back and judged by the ordinary judge, and kept only if that shows the boundary it is for.
"""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import chain
from typing import Any, NamedTuple

import yaml

from ..editions.edition import Edition, Procedure
from ..judging.findings import Finding
from ..judging.verdict import Verdict, judge_record
from ..lang.evaluate import steps_below
from ..lang.kernel import Field, Lookup, Node, Term, parts_of
from ..lang.kinds import ChoiceKind
from ..lang.operations import words as written_as
from ..lang.quantity import DIMENSIONLESS, Quantity
from ..lang.values import Data, Group, Items, Leaf
from ..records.evidence import with_evidence
from ..records.read import Found, read_records
from ..records.record import Record, content
from .boundaries import (
    Boundary,
    Coverage,
    Key,
    Place,
    Study,
    What,
    field_info,
    mark_for,
    places_of,
    shown_by,
    step_of,
)
from .boundary_rules import CellKey

Content = dict[str, Any]


class Example(NamedTuple):
    """A record to be confirmed."""

    file: str
    content: Content
    """The whole record, as JSON data that reads back as it."""
    verdict: str


class Unmade(NamedTuple):
    """A boundary for which no record was made, and why."""

    boundary: Boundary
    why: str


@dataclass(frozen=True, slots=True)
class Made:
    examples: tuple[Example, ...]
    unmade: tuple[Unmade, ...]


def examples_for(edition: Edition, coverage: Coverage, records: Iterable[Record]) -> list[Example]:
    """Records that show the uncovered boundaries of ``coverage``, as far as they can be made."""
    return list(made_for(edition, coverage, records).examples)


def made_for(edition: Edition, coverage: Coverage, records: Iterable[Record]) -> Made:
    """Records that show the uncovered boundaries, and the boundaries for which none could be made. One record can
    show several. ``records`` are those of the coverage: no record made has the number of one of them."""
    assert coverage.study is not None, "a coverage that boundaries() gave"
    maker = _Maker(edition, coverage.study, {each.id for each in records})
    for verdict in sorted(coverage.judged, key=lambda each: each.verdict != "pass"):
        maker.know(verdict)
    return maker.made(coverage.uncovered)


_SCHEMAS = "../../../schemas"


def example_text(example: Content, schemas: str = _SCHEMAS) -> str:
    """The record as a YAML file that reads back the same. ``schemas`` leads from it to the shipped schemas."""
    first = f"# yaml-language-server: $schema={schemas}/records/{example['procedure']}.schema.json\n"
    return first + yaml.dump(example, Dumper=_Written, sort_keys=False, width=110, allow_unicode=True,
                             default_flow_style=None)  # fmt: skip


class _Written(yaml.SafeDumper):
    """Texts that the reader takes as they stand, numbers and dates among them, are written without quotes."""

    def ignore_aliases(self, data: Any) -> bool:
        return True

    def write_plain(self, text: str, split: bool = True) -> None:
        super().write_plain(text, False)

    def write_single_quoted(self, text: str, split: bool = True) -> None:
        super().write_single_quoted(text, False)


_Written.yaml_implicit_resolvers = {
    first: [(tag, form) for tag, form in found if tag.rpartition(":")[2] in {"bool", "null", "merge"}]
    for first, found in yaml.SafeDumper.yaml_implicit_resolvers.items()
}
_Written.add_representer(int, lambda dumper, value: dumper.represent_scalar("tag:yaml.org,2002:str", str(value)))


About = tuple[str, str, str, CellKey | None]
"""Procedure, requirement, rule, cell."""


@dataclass(slots=True)
class _Maker:
    edition: Edition
    study: Study
    taken: set[str]
    passing: list[Verdict] = field(default_factory=list)
    index: dict[About, list[Verdict]] = field(default_factory=dict)
    """The records that come to a comparison."""
    closed: set[Key] = field(default_factory=set)
    sought: dict[About, str] = field(default_factory=dict)
    """Where no record that passes came to a comparison: why none could be made that does; nothing if one was made."""

    def know(self, verdict: Verdict) -> None:
        """``verdict`` can serve as a base from here on."""
        if verdict.verdict == "pass":
            self.passing.append(verdict)
        for about in self.comes_to(verdict):
            self.index.setdefault(about, []).append(verdict)

    def comes_to(self, verdict: Verdict) -> set[About]:
        found: set[About] = set()
        for place in places_of(verdict, self.study):
            about = (verdict.procedure.id, place.finding.id, place.rule)
            found |= {(*about, cell) for cell in (None, *place.cells)}
        return found | {key[:4] for key in shown_by(verdict, self.study) if not key[2] and key[4] == "inside"}

    def made(self, uncovered: tuple[Boundary, ...]) -> Made:
        examples: list[Example] = []
        unmade: list[Unmade] = []
        for boundary in uncovered:
            if boundary.key in self.closed:
                continue
            found = self.one(boundary)
            if isinstance(found, str):
                unmade.append(Unmade(boundary, found))
            else:
                examples.append(found)
        # A record made later may show one that could not be made for itself.
        return Made(tuple(examples), tuple(each for each in unmade if each.boundary.key not in self.closed))

    def one(self, boundary: Boundary) -> Example | str:
        why = "no worked record that passes comes to it"
        for base in self.bases(boundary):
            if isinstance(base, str):
                why = base
                continue
            for change in self.changes(boundary, base):
                if isinstance(change, str):
                    why = change
                    continue
                found = self.shows(boundary, base, change)
                if isinstance(found, Example):
                    return found
                why = found
        return why

    def bases(self, boundary: Boundary) -> Iterator[Verdict | str]:
        """Records that come to the comparison, at that cell: those that pass, or else what there is."""
        about = boundary.key[:4]
        if about not in self.sought and not any(each.verdict == "pass" for each in self.index.get(about, ())):
            made = self.brought_to(boundary, boundary.cell) if boundary.cell else self.led_to(boundary)
            if isinstance(made, Verdict):
                self.know(made)
            self.sought[about] = made if isinstance(made, str) else ""
        found = sorted(self.index.get(about, ()), key=lambda each: each.verdict != "pass")
        yield from found[:_MOST_BASES]
        if not found:
            yield self.sought[about]

    def places(self, boundary: Boundary, verdict: Verdict) -> Iterator[Place]:
        for place in places_of(verdict, self.study):
            here = (place.finding.id, place.rule) == (boundary.requirement, boundary.rule)
            if here and (boundary.cell is None or boundary.cell in place.cells):
                yield place

    # Changes

    def changes(self, boundary: Boundary, base: Verdict) -> Iterator[tuple[str, str | None] | str]:
        """Paths and what to write there; None: nothing. Or why a change is not possible."""
        if not boundary.rule:
            for finding in base.findings:
                if finding.id == boundary.requirement and boundary.what != "inside":
                    yield from _answers(finding, base, leave_out=boundary.what == "missing")
            return
        for place in self.places(boundary, base):
            reading = place.reading
            if reading is None:
                yield "it is not one reading"
            elif boundary.what == "missing":
                yield from _left_out(reading.path)
            else:
                mark = mark_for(place, boundary.what)
                yield mark if isinstance(mark, str) else (reading.path, written_as(mark))

    def shows(self, boundary: Boundary, base: Verdict, change: tuple[str, str | None]) -> Example | str:
        """The record with that change, if it shows the boundary."""
        path, value = change
        whole = changed(content(base.record.shaped), {path: value})
        if whole is None:
            return f"`{path}` is not written in a record that could be changed"
        name = _name(boundary, self.taken)
        whole["id"] = name
        verdict = self.judge(whole)
        if isinstance(verdict, str):
            return verdict
        keys = set(shown_by(verdict, self.study))
        if boundary.key not in keys:
            return "one other reading is not enough: what else is recorded decides"
        written, problems = _read_back(example_text(whole), f"{name}.yaml")
        if written is None or written.digest != verdict.record.digest:
            return f"it cannot be written: {problems[0].message if problems else 'it reads back as another record'}"
        self.taken.add(name)
        self.closed |= keys
        return Example(f"{name}-{verdict.verdict}.yaml", whole, verdict.verdict)

    def judge(self, whole: Content) -> Verdict | str:
        """The verdict on a record as it reads back."""
        record, problems = _read_back(json.dumps(whole), f"{whole['id']}.json")
        if record is not None:
            verdict, problems = judge_record(record, self.edition)
            if verdict is not None:
                return verdict
        return f"no record can hold it: {problems[0].message}"

    # A record for a cell that none has

    def brought_to(self, boundary: Boundary, cell: CellKey) -> Verdict | str:
        """A record that passes and comes to ``cell``, made from those that pass; or why there is none."""
        procedure = self.edition.procedures[boundary.procedure]
        paths = _key_paths(cell.table, procedure)
        if paths is None:
            return self.led_to_row(boundary, cell)
        keys = dict(zip(paths, cell.keys, strict=True))
        passing = [each for each in self.passing if each.procedure is procedure]
        near = sorted(passing, key=lambda each: sum(_text_at(each, path) != key for path, key in keys.items()))
        why = "no worked record that passes can be brought to that cell"
        for base in near[:_MOST_STARTS]:
            verdict = self.mended(self.rescaled(base, keys, cell))
            if isinstance(verdict, str):
                why = verdict
            elif boundary.key[:4] in self.comes_to(verdict):
                return verdict
        return why

    def led_to(self, boundary: Boundary) -> Verdict | str:
        """A record that comes to another branch of a rule, made by one reading that overtakes another."""
        for base in self.passing:
            for finding in base.findings if base.procedure.id == boundary.procedure else ():
                for change in _overtaking(finding, base) if finding.id == boundary.requirement else ():
                    whole = changed(content(base.record.shaped), dict([change]))
                    verdict = "" if whole is None else self.judge(whole)
                    if isinstance(verdict, Verdict) and boundary.key[:4] in self.comes_to(verdict):
                        return verdict
        return "no worked record that passes comes to it"

    def led_to_row(self, boundary: Boundary, cell: CellKey) -> Verdict | str:
        """A record that passes and comes to a band of a table, one reading that the band is worked out from moved."""
        for base in self.passing:
            for finding in base.findings if base.procedure.id == boundary.procedure else ():
                for path, value in _into_bands(finding, base, cell) if finding.id == boundary.requirement else ():
                    whole = changed(content(base.record.shaped), {path: value})
                    verdict = "" if whole is None else self.mended(whole)
                    if isinstance(verdict, Verdict) and boundary.key[:4] in self.comes_to(verdict):
                        return verdict
        return f"a row of `{cell.table}` is found by something worked out, and no one reading leads to this one"

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

    def mended(self, whole: Content) -> Verdict | str:
        """A record that passes, made by mending what is not met, one reading at a time."""
        whole["id"] = "mended"
        verdict = self.judge(whole)
        for _ in range(_MOST_ROUNDS):
            if isinstance(verdict, str) or verdict.verdict == "pass":
                return verdict
            better = next(self.better(verdict), None)
            if better is None:
                break
            verdict = better
        if isinstance(verdict, str):
            return verdict
        faults = dict.fromkeys(each.id for each in verdict.findings if each.outcome in ("not met", "open") and
                               each.requirement.kind != "advice")  # fmt: skip
        return f"of records brought to that cell, the nearest still lacks: {', '.join(faults)}"

    def better(self, verdict: Verdict) -> Iterator[Verdict]:
        """The record with one change that mends a finding and breaks no other; readings before answers."""
        broken = _broken(verdict)
        findings = [each for each in verdict.findings if (each.id, each.item) in broken]
        changes = [change for each in findings for change in self.marks(each, verdict)]
        for path, value in chain(changes, *(_answers(each, verdict, leave_out=False) for each in findings)):
            whole = changed(content(verdict.record.shaped), {path: value})
            found = None if whole is None else self.judge(whole)
            if isinstance(found, Verdict) and len(_broken(found)) < len(broken):
                yield found

    def marks(self, finding: Finding, verdict: Verdict) -> Iterator[tuple[str, str | None]]:
        """The readings that meet the limits that are not met."""
        for place in places_of(verdict, self.study):
            if place.finding is finding and place.comparison.outcome == "not met" and place.reading is not None:
                for what in _HELD:
                    mark = mark_for(place, what)
                    if not isinstance(mark, str):
                        yield place.reading.path, written_as(mark)


_HELD: tuple[What, ...] = ("inside", "at")
_MOST_BASES = 3
_MOST_STARTS = 6
_MOST_ROUNDS = 40


def _broken(verdict: Verdict) -> set[tuple[str, str | None]]:
    return {
        (each.id, each.item)
        for each in verdict.findings
        if each.requirement.kind != "advice" and each.outcome in ("not met", "open", "waived")
    }


def _answers(finding: Finding, verdict: Verdict, leave_out: bool) -> Iterator[tuple[str, str | None]]:
    """Every reading that a rule rests on, left out or answered otherwise."""
    if finding.require is None:
        return
    seen: set[str] = set()
    for step in steps_below(finding.require):
        leaf = step.reading
        if leaf is None or leaf.path in seen:
            continue
        seen.add(leaf.path)
        if leave_out:
            yield from _left_out(leaf.path)
        else:
            yield from ((leaf.path, value) for value in _others(leaf, verdict))


def _into_bands(finding: Finding, verdict: Verdict, cell: CellKey) -> Iterator[tuple[str, str]]:
    """Each reading that the band of a look-up is worked out from, in proportion to where the band of ``cell`` ends."""
    for step in steps_below(finding.require) if finding.require is not None else ():
        if not isinstance(step.node, Lookup) or step.node.table != cell.table:
            continue
        axes = verdict.procedure.rules.tables[cell.table].axes
        for axis, label, part in zip(axes, cell.keys, step.parts, strict=True):
            end = next((each.up_to or each.over for each in axis.bands or () if each.label == label), None)
            now = part.parts[0].value if part.parts else None
            if end is None or not isinstance(now, Quantity) or not now.value:
                continue
            for at in steps_below(part):
                reading = at.reading
                size = None if reading is None else step_of(reading, verdict)
                if reading is not None and size is not None and isinstance(reading.value, Quantity):
                    marks = reading.value.value * end.value / now.value / size
                    for number in (marks.__floor__(), marks.__floor__() + 1):
                        yield reading.path, written_as(Quantity(number * size, reading.value.unit))


def _overtaking(finding: Finding, verdict: Verdict) -> Iterator[tuple[str, str]]:
    """Each reading that a rule rests on, a step beyond another one of its kind."""
    steps = () if finding.require is None else steps_below(finding.require)
    leaves = dict.fromkeys(step.reading for step in steps if step.reading is not None)
    found = [(leaf, leaf.value) for leaf in leaves if isinstance(leaf.value, Quantity)]
    for leaf, value in found:
        step = step_of(leaf, verdict)
        for _, other in found if step is not None else ():
            if other != value and other.dimension == value.dimension:
                for by in (-1, 1):
                    yield leaf.path, written_as(Quantity(other.value + by * (step or 0), value.unit))


def _left_out(path: str) -> Iterator[tuple[str, None]]:
    """A reading, or the group that cannot be without it."""
    while path:
        yield path, None
        path = path.rpartition(".")[0]
        if path.endswith("]"):
            return


def _others(leaf: Leaf, verdict: Verdict) -> Iterator[str]:
    """Other things that could be recorded there."""
    info, _ = field_info(leaf.path, verdict.record.words)
    match leaf.value:
        case bool() as answer:
            yield "false" if answer else "true"
        case str() as word:
            options = info.kind.options if info is not None and isinstance(info.kind, ChoiceKind) else None
            covered = verdict.procedure.rules.tables.get(f"covers {leaf.path}")
            if options is None and covered is not None:
                options = tuple(cell.keys[0] for cell in covered.cells.values())
            # A word of no list, a number of a lot say: another one.
            yield from (each for each in options or (f"{word}-2",) if each != word)
        case Quantity() as quantity:
            step = step_of(leaf, verdict)
            for by in (-1, 1) if step is not None else ():
                yield written_as(Quantity(quantity.value + by * (step or Fraction(0)), quantity.unit))


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


# Records as data


def changed(whole: Any, changes: Mapping[str, str | None]) -> Content | None:
    """A copy of a record with other values at some paths; None: left out, with the groups that are then empty. None
    is given back where a place for one of them is not there."""
    record: Content = copy.deepcopy(whole)
    for path, value in changes.items():
        if not _put(record, _steps(path), value):
            return None
    return record


def _steps(path: str) -> list[str | int]:
    return [int(part) - 1 if part.isdigit() else part for part in re.findall(r"[^.\[\]]+", path)]


def _put(place: Any, steps: list[str | int], value: str | None) -> bool:
    first, *rest = steps
    if isinstance(first, int):
        if not isinstance(place, list) or first >= len(place):
            return False
    elif not isinstance(place, dict) or first not in place:
        if value is None or isinstance(place, list) or not isinstance(place, dict):
            return False
        place[first] = {}
    if not rest:
        if value is None:
            del place[first]
        else:
            place[first] = _plain(value, place[first])
        return True
    done = _put(place[first], rest, value)
    if done and value is None and not place[first]:
        del place[first]
    return done


def _plain(value: str, before: Any) -> Any:
    """A value as the data of a record has it: whole numbers and yes or no bare."""
    if value in ("true", "false") and isinstance(before, bool):
        return value == "true"
    return int(value) if isinstance(before, int) and re.fullmatch(r"0|-?[1-9][0-9]*", value) else value


def _read_back(text: str, name: str) -> Found:
    """The record that a text is, with those that stand inside it."""
    ((record, problems),) = read_records(text.encode(), name)
    return (None, problems) if record is None else with_evidence(record, None)


def _name(boundary: Boundary, taken: set[str]) -> str:
    parts = [boundary.procedure, boundary.requirement, *(map(str, [boundary.cell]) if boundary.cell else ()),
             boundary.what]  # fmt: skip
    name = re.sub(r"[^a-z0-9]+", "-", "-".join(parts).lower()).strip("-")
    number = 2
    while (name if number == 2 else f"{name}-{number - 1}") in taken:
        number += 1
    return name if number == 2 else f"{name}-{number - 1}"
