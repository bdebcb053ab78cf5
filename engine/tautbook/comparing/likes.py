"""Records at hand, that deciding records are made like: whole, plausible, and judged by both editions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ..editions.edition import Edition
from ..judging.verdict import Verdict, judge_record
from ..lang.values import Data, Group, Items, Leaf, Plain
from ..records.record import Record, content
from ..shape.shaped import ShapedMap, ShapedValue
from .unknowns import unnumbered

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

    def having(self, procedure: str, fixed: Mapping[str, Plain]) -> int:
        """How many records at hand have all that is fixed."""
        return sum(
            record.procedure == procedure and all(_written(record, path) == value for path, value in fixed.items())
            for record in self.records
        )

    def _judged(self, number: int) -> Like | None:
        if number not in self.judged:
            record = self.records[number]
            before, after = (judge_record(record, edition)[0] for edition in self.editions)
            usable = before is not None and after is not None
            self.judged[number] = (
                Like(content(record.shaped), (before, after)) if usable and before and after else None
            )
        return self.judged[number]

    def seen(self, path: str) -> Plain | None:
        """A value that some record at hand has at a field."""
        plain = unnumbered(path)
        for like in self.judged.values():
            if like is not None:
                for leaf in leaves(like.groups[1]):
                    if unnumbered(leaf.path) == plain:
                        return leaf.value
        return None


def at_path(group: Group, path: str) -> Data | None:
    """What stands at a path of the language, items by their numbers."""
    data: Data | None = group
    for part in path.replace("[", ".[").split("."):
        if isinstance(data, Items):
            data = next((item for item in data.items if item.path.endswith(part)), None)
        else:
            data = data.fields.get(part) if isinstance(data, Group) else None
    return data


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


def _written(record: Record, path: str) -> Plain | None:
    """The value that stands at a plain path of a record, before anything is judged."""
    node: object = record.shaped
    for name in path.split("."):
        node = node.entries.get(name) if isinstance(node, ShapedMap) else None
    return node.value if isinstance(node, ShapedValue) else None
