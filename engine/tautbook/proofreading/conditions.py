"""What a condition asks, in exact sets: in which ways it can hold, each a set of values for each reading it speaks of.

Readings are taken as independent of each other, so that what is found never to hold certainly never does, and what is
not found may still never hold. What is no comparison of one reading with a known figure stands for itself: a condition
of its own that may hold or not.
"""

from __future__ import annotations

import datetime
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from ..lang.evaluate import Step
from ..lang.kernel import (
    Band,
    Both,
    Compare,
    Either,
    Field,
    If,
    Interpolate,
    Lookup,
    Node,
    NoRule,
    Not,
    Over,
    Parameter,
    Recorded,
    Relation,
    Round,
    Term,
    key_of,
    parts_of,
)  # fmt: skip
from ..lang.kinds import ChoiceKind, DateKind, NumberKind, YesNoKind
from ..lang.quantity import Quantity
from ..lang.values import Open, Plain
from .condition_ways import ALWAYS, NEVER, Range, Subject, Ways, Words, all_of, any_of

_DEEPEST = 150
"""Steps inside each other that are looked into."""

_TURNED: Mapping[Relation, Relation] = {"=": "=", "!=": "!=", "<": ">", "<=": ">=", ">": "<", ">=": "<="}
_OPPOSITE: Mapping[Relation, Relation] = {"=": "!=", "!=": "=", "<": ">=", "<=": ">", ">": "<=", ">=": "<"}
_ORDER: Mapping[Relation, frozenset[Hashable]] = {
    "=": frozenset("="), "!=": frozenset("<>"), "<": frozenset("<"), "<=": frozenset("<="), ">": frozenset(">"),
    ">=": frozenset(">="),
}  # fmt: skip
"""How two readings may stand to each other."""


@dataclass(slots=True)
class Conditions:
    """Reads conditions that were worked out on one and the same combination; subjects are equal among these."""

    _subjects: dict[Hashable, Subject] = field(default_factory=dict)
    # A step is kept beside what it came to, so that its identity stays its own.
    _read: dict[int, tuple[Step, Subject]] = field(default_factory=dict)
    _known: dict[tuple[int, bool], tuple[Step, Ways | None]] = field(default_factory=dict)

    def ways(self, step: Step, holds: bool = True, depth: int = 0) -> Ways | None:
        """The ways in which the condition holds, or fails; None where there are too many to say."""
        key = id(step), holds
        if key not in self._known:
            self._known[key] = step, self._ways(step, holds, depth)
        return self._known[key][1]

    def _ways(self, step: Step, holds: bool, depth: int) -> Ways | None:
        if isinstance(step.value, bool):
            return ALWAYS if step.value is holds else NEVER
        if depth > _DEEPEST:
            return self._itself(step, holds, depth)
        match step.node:
            case Not():
                return self.ways(step.parts[0], not holds, depth + 1)
            case Both() | Either():
                found = [self.ways(part, holds, depth + 1) for part in step.parts]
                return all_of(*found) if isinstance(step.node, Both) is holds else any_of(*found)
            case Term() | Parameter():
                return self.ways(step.parts[0], holds, depth + 1)
            case If() if len(step.parts) == 2:
                return self.ways(step.parts[1], holds, depth + 1)
            case If():
                condition, then, otherwise = step.parts
                return any_of(
                    all_of(self.ways(condition, True, depth + 1), self.ways(then, holds, depth + 1)),
                    all_of(self.ways(condition, False, depth + 1), self.ways(otherwise, holds, depth + 1)),
                )
            case Compare(relation=relation):
                return self._compared(step, relation if holds else _OPPOSITE[relation], depth)
            case _:
                return self._itself(step, holds, depth)

    def _itself(self, step: Step, holds: bool, depth: int) -> Ways:
        return ({self._subject(step, depth): Words(frozenset({holds}))},)

    def _compared(self, step: Step, relation: Relation, depth: int) -> Ways:
        left, right = step.parts
        if isinstance(right.value, Open) and not isinstance(left.value, Open):
            left, right, relation = right, left, _TURNED[relation]
        subject = self._subject(left, depth)
        if not isinstance(right.value, Open):
            return tuple({subject: values} for values in _values(left, relation, right.value))
        other = self._subject(right, depth)
        if subject == other:
            return ALWAYS if "=" in _ORDER[relation] else NEVER
        if other < subject:
            subject, other, relation = other, subject, _TURNED[relation]
        return ({self._numbered(("order", subject, other)): Words(_ORDER[relation])},)

    def _subject(self, step: Step, depth: int) -> Subject:
        if id(step) not in self._read:
            self._read[id(step)] = step, self._numbered(self._written(step, depth))
        return self._read[id(step)][1]

    def _numbered(self, what: Hashable) -> Subject:
        return self._subjects.setdefault(what, len(self._subjects))

    def _written(self, step: Step, depth: int) -> Hashable:
        """What is read there, the same for all that come to the same on every record."""
        node, value = step.node, step.value
        if not isinstance(value, Open):
            return "value", type(value).__name__, key_of(value)
        if depth > _DEEPEST:
            return "step", id(step)
        parts = [self._subject(part, depth + 1) for part in step.parts]
        match node:
            case Term() | Parameter():
                return "same", parts[0]
            case If() if len(parts) == 2:
                return "same", parts[1]
            case Field() | Recorded() | NoRule():
                return node
            case Over():
                return ("step", id(step)) if _has_parameter(node) else node
            case Interpolate(points=points, where=where, value=read):
                return "interpolate", points, where, read, *parts
            case Lookup(table=table):
                return "lookup", table, *parts
            case Band(table=table, axis=axis):
                return "band", table, axis, *parts
            case Round(way=way, step=size, ties=ties):
                return "round", way, size.value, ties, *parts
            case Compare(relation=relation):
                return "compare", relation, *parts
            case _:
                return type(node).__name__, *parts


def _has_parameter(node: Node) -> bool:
    return isinstance(node, Parameter) or any(map(_has_parameter, parts_of(node)))


def _values(of: Step, relation: Relation, than: Plain) -> Iterable[Range | Words]:
    """What stands in ``relation`` to a known value, as far as the reading can be that."""
    kind, open = of.node.kind, of.value
    figure = _figure(than)
    if figure is None:
        words = Words(frozenset({key_of(than)}), others=relation == "!=")
        options = _options(of.node)
        met = words if options is None else words.meet(Words(options))
        return [] if met is None else [met]
    asked = {
        "=": [Range(figure, True, figure, True)], "!=": [Range(high=figure, high_in=False), Range(figure, False)],
        "<": [Range(high=figure, high_in=False)], "<=": [Range(high=figure)], ">": [Range(figure, False)],
        ">=": [Range(figure)],
    }[relation]  # fmt: skip
    whole = isinstance(kind, DateKind) or (isinstance(kind, NumberKind) and kind.whole)
    every = [each.whole() if whole else each for each in asked]
    assert isinstance(open, Open)
    can_be = Range(_figure(open.at_least), True, _figure(open.at_most), True)
    ranges = (each.meet(can_be) for each in every if each is not None)
    return [each for each in ranges if each is not None]


def _options(node: Node) -> frozenset[Hashable] | None:
    """All words that a reading can be. Of another record there may be none, so that a rule may ask for any of them."""
    if isinstance(node, Field) and node.root is None and node.path[0] == "evidence":
        return None
    match node.kind:
        case YesNoKind():
            return frozenset({True, False})
        case ChoiceKind(options=tuple() as options):
            return frozenset(options)
    return None


def _figure(value: Plain | None) -> Fraction | None:
    match value:
        case Quantity():
            return value.value
        case datetime.date():
            return Fraction(value.toordinal())
        case _:
            return None


def settled_by(step: Step) -> bool | None:
    """What a condition comes to whatever is recorded; None where that differs, or is not known."""
    if isinstance(step.value, bool):
        return step.value
    conditions = Conditions()
    if conditions.ways(step, True) == NEVER:
        return False
    return True if conditions.ways(step, False) == NEVER else None
