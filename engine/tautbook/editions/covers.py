"""What an edition speaks of. A covered field is read through a term that knows no other value, so that anything
outside is *no rule* wherever a rule reads it; other names of a value are resolved on the way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..lang.check import Scope, check
from ..lang.kernel import Axis, Both, Cell, Compare, Constant, Either, Field, If, Lookup, Node, Table, key_of
from ..lang.kinds import ChoiceKind, GroupKind, Kind, NumberKind, QuantityKind, TextKind, YesNoKind
from ..lang.limits import LIMITS
from ..lang.problem import Problem
from ..lang.source import Span
from ..lang.surface import Expression
from ..lang.tree import Scalar
from ..lang.values import Plain
from ..shape.shaped import Raw, Shaped, ShapedList, ShapedMap, items_at, scalar_at
from .tables import read_plain

_YES_NO = YesNoKind()
COVERS = "covers "
"""The name of the term, and of the table, that a covered field is read through is this and its path: no name of an
edition has a space."""


@dataclass(frozen=True, slots=True)
class Cover:
    """One covered field: the term that reads it, and the table of its values."""

    path: str
    table: Table
    body: Node
    kind: Kind
    span: Span

    @property
    def name(self) -> str:
        """Of the term and of the table."""
        return f"{COVERS}{self.path}"


def field_kind(record: GroupKind, path: str) -> Kind | None:
    """The kind of the field at a dotted path that runs through no list."""
    kind: Kind | None = record
    for name in path.split("."):
        kind = kind.fields.get(name) if isinstance(kind, GroupKind) else None
    return kind


def read_covers(
    covers: ShapedMap, scope: Scope, expressions: dict[int, Expression]
) -> tuple[tuple[Cover, ...], list[Problem]]:
    """The covers of the fields that ``scope`` has; ``expressions`` has the parsed rules by their scalar."""
    found: list[Cover] = []
    problems: list[Problem] = []
    for path, values in covers.entries.items():
        kind = field_kind(scope.record, path)
        if kind is None:
            continue
        cover = _Reading(path, kind, covers.key_span(path), scope, expressions, problems).read(values)
        if cover is not None:
            found.append(cover)
    return tuple(found), problems


@dataclass(slots=True)
class _Reading:
    path: str
    kind: Kind
    span: Span
    scope: Scope
    expressions: dict[int, Expression]
    problems: list[Problem]

    def read(self, values: Shaped) -> Cover | None:
        if not isinstance(self.kind, ChoiceKind | TextKind | NumberKind | QuantityKind):
            help = "only words, numbers and quantities can be covered"
            self.problems.append(Problem("cover-kind", f"`{self.path}` has no values to list", self.span, help))
            return None
        before = len(self.problems)
        if sum(1 + len(items_at(group, "also") if group else ()) for _, group in _values(values)) > LIMITS.covered:
            help = "leave the field out of `covers`; what its values ask for goes into tables"
            message = f"`{self.path}` has more than {LIMITS.covered} covered values"
            self.problems.append(Problem("covers-large", message, self.span, help))
            return None
        raw = Field(None, tuple(self.path.split(".")), kind=self.kind, span=self.span)
        cells: dict[tuple[object, ...], Cell] = {}
        key: Node = raw
        seen: dict[object, str] = {}
        also: list[tuple[Plain, ShapedMap]] = []
        for scalar, group in _values(values):
            value = self.value(scalar, seen)
            if value is not None:
                cells[(key_of(value),)] = Cell(value, (scalar.text,), scalar.span)
                if group is not None:
                    also.append((value, group))
        for value, group in also:
            condition = self.other_names(raw, group, seen)
            if condition is not None:
                key = If(condition, Constant(value, kind=self.kind), key, kind=self.kind, span=self.span)
        if len(self.problems) > before:
            return None
        words = tuple(str(cell.value) for cell in cells.values())
        kind = ChoiceKind(words) if isinstance(self.kind, ChoiceKind) else self.kind
        table = Table(self.path, (Axis(self.path, self.kind),), kind, cells, covers=True)
        body = Lookup(f"{COVERS}{self.path}", (key,), kind=kind, span=self.span)
        return Cover(self.path, table, body, kind, self.span)

    def value(self, scalar: Scalar, seen: dict[object, str]) -> Plain | None:
        """The value written there, if the field can have it and nothing else stands for it."""
        value = read_plain(scalar, self.kind)
        if isinstance(value, Problem):
            self.problems.append(value)
            return None
        options = self.kind.options if isinstance(self.kind, ChoiceKind) else None
        if options is not None and value not in options:
            help = f"one of: {', '.join(options)}"
            message = f"`{self.path}` is never `{scalar.text}`"
            self.problems.append(Problem("unknown-choice", message, scalar.span, help))
            return None
        if key_of(value) in seen:
            before = seen[key_of(value)]
            message = f"`{scalar.text}` already stands here"
            if before != scalar.text:
                message += f" as `{before}`"
            help = "each value and each other name belongs in one place"
            self.problems.append(Problem("duplicate-value", message, scalar.span, help))
            return None
        seen[key_of(value)] = scalar.text
        return value

    def other_names(self, raw: Field, group: ShapedMap, seen: dict[object, str]) -> Node | None:
        """The condition under which another name stands for the value."""
        names = [item.tree for item in items_at(group, "also") if isinstance(item, Raw)]
        scalars = [tree for tree in names if isinstance(tree, Scalar)]
        known = [(value, scalar) for scalar in scalars if (value := self.value(scalar, seen)) is not None]
        named = tuple(
            Compare(raw, "=", Constant(value, kind=self.kind), kind=_YES_NO, span=scalar.span)
            for value, scalar in known
        )
        if not named:
            return None
        is_named: Node = named[0] if len(named) == 1 else Either(named, kind=_YES_NO)
        when = scalar_at(group, "when")
        if when is None or id(when.scalar) not in self.expressions:
            return is_named
        condition, problems = check(self.expressions[id(when.scalar)], self.scope, "yes/no")
        self.problems += problems
        return is_named if condition is None else Both((is_named, condition), kind=_YES_NO, span=when.span)


def _values(values: Shaped) -> Iterator[tuple[Scalar, ShapedMap | None]]:
    """Each value with what is said of it."""
    match values:
        case ShapedList(items=items):
            for item in items:
                assert isinstance(item, Raw) and isinstance(item.tree, Scalar), "the schema takes only scalars here"
                yield item.tree, None
        case ShapedMap(entries=entries, keys=keys):
            for key, group in entries.items():
                assert isinstance(group, ShapedMap)
                yield keys[key], group
