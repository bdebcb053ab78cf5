"""Records at hand, that deciding records are made like: whole, plausible, and judged by both editions."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ..editions.edition import Edition
from ..judging.verdict import Verdict, judge_record
from ..lang.kinds import ListKind
from ..lang.quantity import Quantity, show
from ..lang.values import Data, Group, Items, Leaf, Plain
from ..proofreading.record_data import read_back
from ..records.record import Record, content
from ..shape.shaped import ShapedMap, ShapedValue
from .blank import blank
from .effect import Deciding
from .paths import at_path, unnumbered

MOST = 6
"""So many records at hand are tried for one question."""


@dataclass(frozen=True, slots=True)
class Like:
    """One record at hand, as both editions read and judge it."""

    content: dict[str, Any]
    verdicts: tuple[Verdict, Verdict]

    @property
    def groups(self) -> tuple[Group, Group]:
        return self.verdicts[0].observed.group, self.verdicts[1].observed.group

    def leaf(self, path: str) -> Leaf | None:
        """What is recorded, or given by others, at a path of the language."""
        found = at_path(self.groups[1], path)
        return found if isinstance(found, Leaf) else None


@dataclass(slots=True)
class Likes:
    """The records at hand, judged as they are asked for."""

    records: Sequence[Record]
    editions: tuple[Edition, Edition]
    judged: dict[int, Like | None] = field(default_factory=dict)
    flattened: dict[str, Like | None] = field(default_factory=dict)

    def near(self, procedure: str, fixed: Mapping[str, Plain], slots: frozenset[str]) -> Iterator[Like]:
        """Records of a procedure, those first that have what is fixed, that rest on the same kinds of records, and
        that both editions pass."""
        ranked = []
        for number, record in enumerate(self.records):
            if record.procedure == procedure:
                have = sum(_written(record, path) == value for path, value in fixed.items())
                ranked.append((-have, not slots <= record.evidence.keys(), number))
        found = []
        for rank in sorted(ranked)[: 3 * MOST]:
            like = self._judged(rank[2])
            if like is not None:
                passes = sum(verdict.verdict == "pass" for verdict in like.verdicts)
                spoiled = bool(like.verdicts[1].observed.set_aside)
                found.append((rank[0], rank[1], -passes, spoiled, rank[2], like))
            if len(found) > MOST and sum(each[2] == -2 for each in found) >= 2:
                break
        yield from (each[-1] for each in sorted(found, key=lambda each: each[:-1])[:MOST])
        if not found:
            whole, _ = read_back(json.dumps(blank(procedure, fixed)), "blank.json")
            like = None if whole is None else self._like(whole)
            if like is not None:
                yield like

    def flat(self, like: Like) -> Like | None:
        """The same record with lists of points that are a straight line at nothing; None: it has none."""
        if like.content["id"] not in self.flattened:
            self.flattened[like.content["id"]] = self._flat(like)
        return self.flattened[like.content["id"]]

    def _flat(self, like: Like) -> Like | None:
        words = like.verdicts[1].record.words
        changed = copy.deepcopy(like.content)
        for path, info in words.fields.items():
            place, name = _place(changed, path)
            if place is None or name not in place or not isinstance(info.kind, ListKind) or info.kind.points is None:
                continue
            where, value = (words.fields[f"{path}.{each}"] for each in info.kind.points)
            if where.range is None or value.range is None:
                continue
            nothing = show(Quantity(value.range[0].value * 0, value.range[0].unit))
            place[name] = [{info.kind.points[0]: show(end), info.kind.points[1]: nothing} for end in where.range]
        if changed == like.content:
            return None
        record, _ = read_back(json.dumps(changed), f"{changed['id']}.json")
        return None if record is None else self._like(record)

    def resting_on(self, like: Like, others: Mapping[str, Sequence[Deciding]]) -> Iterator[Like]:
        """The same record, resting on each of some deciding records of other procedures instead."""
        words = like.verdicts[1].record.words
        for slot in like.content.get("evidence", {}):
            info = words.fields.get(f"evidence.{slot}")
            for other in others.get(info.procedure or "", ()) if info is not None else ():
                changed = copy.deepcopy(like.content)
                changed["evidence"][slot] = other.content
                record, _ = read_back(json.dumps(changed), f"{changed['id']}.json")
                found = None if record is None else self._like(record)
                if found is not None:
                    yield found

    def having(self, procedure: str, fixed: Mapping[str, Plain]) -> int:
        """How many records at hand have all that is fixed."""
        return sum(
            record.procedure == procedure and all(_written(record, path) == value for path, value in fixed.items())
            for record in self.records
        )

    def _judged(self, number: int) -> Like | None:
        if number not in self.judged:
            self.judged[number] = self._like(self.records[number])
        return self.judged[number]

    def _like(self, record: Record) -> Like | None:
        before, after = (judge_record(record, edition)[0] for edition in self.editions)
        return None if before is None or after is None else Like(content(record.shaped), (before, after))

    def seen(self, path: str) -> Plain | None:
        """A value that some record at hand has at a field."""
        plain = unnumbered(path)
        for like in self.judged.values():
            if like is not None:
                for leaf in leaves(like.groups[1]):
                    if unnumbered(leaf.path) == plain:
                        return leaf.value
        return None


def leaves(data: Data) -> Iterator[Leaf]:
    match data:
        case Leaf():
            yield data
        case Group(fields=fields):
            for below in fields.values():
                yield from leaves(below)
        case Items(items=items):
            for item in items:
                yield from leaves(item)


def _place(whole: Any, path: str) -> tuple[dict[str, Any] | None, str]:
    """The group that a plain path leads into, and the last name."""
    *above, name = path.split(".")
    for part in above:
        whole = whole.get(part) if isinstance(whole, dict) else None
    return (whole if isinstance(whole, dict) else None), name


def _written(record: Record, path: str) -> Plain | None:
    """The value that stands at a plain path of a record, before anything is judged."""
    node: object = record.shaped
    for name in path.split("."):
        node = node.entries.get(name) if isinstance(node, ShapedMap) else None
    return node.value if isinstance(node, ShapedValue) else None
