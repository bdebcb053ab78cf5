"""Small grids of readings for two rules, values at and around every constant of theirs; and records made of readings.

A record is told here by its readings: a text by path, as a file has it. ``specimens`` stands for the number of items.
"""

from __future__ import annotations

import itertools
import random
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache
from typing import Any

from reference.both import write
from tautbook.comparing.paths import field_info
from tautbook.editions.edition import Procedure, Requirement
from tautbook.judging.findings import Finding, findings_of
from tautbook.lang.calendar import read_date
from tautbook.lang.kernel import Constant, Field, Interpolate, Node, Over, Recorded, Round, Term, parts_of
from tautbook.lang.kernel import Lookup as LookUp
from tautbook.lang.kinds import DateKind, ListKind, NumberKind, QuantityKind, YesNoKind
from tautbook.lang.quantity import Quantity, read_quantity, show
from tautbook.lang.values import Data, Group, Items, Leaf, Plain, with_leaf
from tautbook.shape.vocabulary import Vocabulary, vocabulary

Readings = Mapping[str, str]
LIST, POINTS = "specimens", "device.corrections.points"
BASE = {"tested": "2026-04-14", "bolt.grade": "A490", "bolt.diameter": "7/8 in",
        "indicator.type": "490", "indicator.spaces": "5"}  # fmt: skip
LINES = (
    (("10 kip", "0 kip"),),
    (("10 kip", "0 kip"), ("60 kip", "1 kip")),
    (("40 kip", "0.5 kip"), ("41 kip", "-0.5 kip"), ("60 kip", "1 kip")),
)
STEP = {"force": "0.5 kip", "length": "1/8 in"}
AT_ONCE, AT_RANDOM = 60, 40
"""A grid of no more than so many records is gone through, of a larger one so many are taken."""


def words() -> Vocabulary:
    found = vocabulary("dti-lot")
    assert found is not None
    return found


@dataclass
class Read:
    """What rules read, and the constants that they read it beside."""

    fields: set[str] = field(default_factory=set)
    items: set[str] = field(default_factory=set)
    constants: set[Plain] = field(default_factory=set)
    listed: bool = False
    points: bool = False
    nodes: list[Node] = field(default_factory=list)


def read(rules: Iterable[tuple[Requirement, Procedure]]) -> Read:
    found = Read()
    for requirement, procedure in rules:
        found.listed |= requirement.each is not None
        stack: list[Node] = [
            node for node in (requirement.require, requirement.applies, *(each.when for each in requirement.unless))
            if node is not None
        ]  # fmt: skip
        seen: set[int] = set()
        while stack:
            node = stack.pop()
            if id(node) in seen:
                continue
            seen.add(id(node))
            found.nodes.append(node)
            stack += parts_of(node)
            match node:
                case Constant(value=value):
                    found.constants.add(value)
                case Round(step=step):
                    found.constants.add(step)
                case Term(name=name):
                    stack.append(procedure.rules.terms[name].body)
                case LookUp(table=table):
                    cells = procedure.rules.tables[table].cells.values()
                    found.constants |= {cell.value for cell in cells if isinstance(cell.value, Quantity)}
                case Recorded(of=Field(root=None, path=path, kind=kind)) if isinstance(kind, ListKind):
                    found.listed |= path == (LIST,)
                case Recorded(of=of):
                    stack.append(of)
                case Field(root=None, path=path):
                    found.fields.add(".".join(path))
                case Field(path=path):
                    found.items.add(".".join(path))
                case Over():
                    found.listed = True
                case Interpolate():
                    found.points = True
    return found


def values(path: str, constants: Iterable[Plain], source: random.Random) -> list[str | None]:
    """What a field can hold here: at and around constants of its kind, and nothing."""
    info = field_info(path, words())
    kind = None if info is None else info.kind
    match kind:
        case YesNoKind():
            found = ["true", "false"]
        case DateKind():
            dates = [each for each in constants if hasattr(each, "toordinal")]
            found = [str(each) for each in dates] + ["2026-02-28", "2025-08-31", "2024-08-30", "2025-09-30"]
        case NumberKind(whole=whole):
            numbers = {Fraction(n) for n in range(5)}
            for each in constants:
                if isinstance(each, Quantity) and not each.unit.name:
                    numbers |= {each.value, each.value + 1, each.value - Fraction(1, 2)}
            found = [
                str(n) if n.denominator == 1 else f"{float(n):g}" for n in sorted(numbers)
                if 0 <= n <= 10 and (n.denominator == 1 or not whole)
            ]  # fmt: skip
        case QuantityKind(dimension=dimension):
            step = read_quantity(STEP[dimension.name])
            assert isinstance(step, Quantity) and info is not None and info.range is not None
            low, high = info.range
            found = []
            for each in constants:
                if isinstance(each, Quantity) and each.dimension == dimension:
                    near = [each.value, each.value + step.value, each.value - step.value]
                    found += [show(Quantity(n, step.unit)) for n in near if low.value <= n <= high.value]
            found = found or [show(low)]
        case _ if path == "bolt.grade":
            found = ["A325", "A490", "Group 120"]
        case _:
            found = {"wrench": ["hand", "impact"], "ended": ["fracture", "nothing"]}[path.rpartition(".")[2]]
    found = sorted(set(found))
    if path == "indicator.spaces":
        found = ["4", "5", "9"]
    some = source.sample(found, min(len(found), 5))
    return [*some] if path in BASE else [*some, None]


def grid(what: Read, source: random.Random) -> Iterator[dict[str, str]]:
    """Records: all of a small grid, of a larger one some."""
    fields = {path for path in what.fields if field_info(path, words()) is not None and path not in ("device", LIST)}
    axes: dict[str, list[Any]] = {
        path: values(path, what.constants, source) for path in sorted(fields) if not path.startswith("device.corr")
    }
    items = {path: values(f"{LIST}.{path}", what.constants, source) for path in sorted(what.items) if path}
    if what.listed:
        axes[LIST] = [None, "0", "1", "2"]
    for number in (1, 2) if what.listed else ():
        axes |= {f"{LIST}[{number}].{path}": found for path, found in items.items()}
    if what.points:
        axes[POINTS] = [None, 0, 1, 2]
    size = 1
    for each in axes.values():
        size *= len(each)
    chosen: Iterable[tuple[Any, ...]] = (
        itertools.product(*axes.values()) if size <= AT_ONCE
        else (tuple(source.choice(each) for each in axes.values()) for _ in range(AT_RANDOM))
    )  # fmt: skip
    for taken in chosen:
        made = dict(BASE)
        for path, value in zip(axes, taken, strict=True):
            if path == POINTS and value is not None:
                made["device.corrections.sign"] = "add to dial"
                for n, line in enumerate(LINES[value], 1):
                    made |= {f"{POINTS}[{n}].dial": line[0], f"{POINTS}[{n}].correction": line[1]}
            elif value is not None:
                made[path] = value
        yield {path: text for path, text in made.items() if "[" not in path or path.startswith(POINTS)
               or int(path[len(LIST) + 1]) <= int(made.get(LIST, "0"))}  # fmt: skip


# Readings as data, and as a file


@cache
def plain(path: str, text: str) -> Plain:
    info = field_info(path, words())
    assert info is not None, path
    match info.kind:
        case YesNoKind():
            return text == "true"
        case DateKind():
            date = read_date(text)
            assert hasattr(date, "toordinal"), text
            return date
        case NumberKind() | QuantityKind():
            found = read_quantity(text)
            assert isinstance(found, Quantity), text
            return found
        case _:
            return text


def data(readings: Readings, asks: int) -> Group:
    """The record as rules read it."""
    group = Group("", {})
    lists: dict[str, dict[int, Group]] = {}
    for path, text in readings.items():
        if path == LIST:
            continue
        found = re.fullmatch(r"(.*)\[([0-9]+)\]\.(.*)", path)
        if found is None:
            group = with_leaf(group, path, Leaf(path, plain(path, text), text))
            continue
        place = f"{found[1]}[{found[2]}]"
        items = lists.setdefault(found[1], {})
        item = items.get(int(found[2]), Group(place, {}))
        items[int(found[2])] = with_leaf(item, found[3], Leaf(path, plain(path, text), text))
    if POINTS in lists:
        group = _with_items(group, POINTS, Items(POINTS, tuple(lists[POINTS].values())))
    count = max(int(readings.get(LIST, "0")), asks)
    if LIST in readings or asks:
        here = lists.get(LIST, {})
        found_items = tuple(here.get(n, Group(f"{LIST}[{n}]", {})) for n in range(1, count + 1))
        group = replace(group, fields={**group.fields, LIST: Items(LIST, found_items, written=LIST in readings)})
    return group


def _with_items(group: Group, path: str, items: Items) -> Group:
    name, _, rest = path.partition(".")
    below: Data = items
    if rest:
        inner = group.fields.get(name, Group(group.below(name), {}))
        assert isinstance(inner, Group)
        below = _with_items(inner, rest, items)
    return Group(group.path, {**group.fields, name: below})


def findings(requirement: Requirement, procedure: Procedure, readings: Readings) -> tuple[Finding, ...]:
    group = data(readings, procedure.asks.get(LIST, 0))
    return findings_of(replace(procedure, requirements=(requirement,)), group)


def as_file(readings: Readings) -> str:
    """The record as YAML."""
    record: dict[str, Any] = {"procedure": "dti-lot", "id": "S-1"}
    if LIST in readings:
        record[LIST] = [{} for _ in range(int(readings[LIST]))]
    for path, text in readings.items():
        if path == LIST:
            continue
        place: Any = record
        *above, last = (int(part) - 1 if part.isdigit() else part for part in re.findall(r"[^.\[\]]+", path))
        for step, then in zip(above, [*above, last][1:], strict=True):
            if isinstance(step, int):
                place += [{} for _ in range(step + 1 - len(place))]
                place = place[step]
            else:
                place = place.setdefault(step, [] if isinstance(then, int) else {})
        place[last] = text
    return write(record)
