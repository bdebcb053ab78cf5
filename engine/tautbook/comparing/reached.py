"""What a requirement reads of its edition: terms, tables, whether it moves dates by months; and by which fields of the
record its figures are found."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import product

from ..editions.edition import Requirement
from ..lang.kernel import Compare, Constant, Field, If, Lookup, Node, Over, Rules, Shift, Table, Term, parts_of
from ..lang.quantity import Quantity, number, read_quantity
from ..lang.values import Plain
from .side import Side
from .unknowns import AnyOther

MOST_COMBINATIONS = 4000
COUNTED = frozenset({"count", "sum", "mean"})
"""What comes out otherwise the more items there are. Whether some or every item is so shows in a few."""


@dataclass(slots=True)
class Reach:
    """Everything that rules come to, each part once."""

    rules: Rules
    terms: set[str] = field(default_factory=set)
    tables: set[str] = field(default_factory=set)
    months: bool = False
    fields: set[str] = field(default_factory=set)
    """Paths of fields of the record itself."""
    lists: set[str] = field(default_factory=set)
    """Paths of lists that something is taken over."""
    keys: dict[str, dict[Plain, None]] = field(default_factory=dict)
    """By path, the values by which tables know the field, in the order of the tables."""
    counts: bool = False
    """Whether something is taken over a list that depends on how many items it has."""
    local: bool = False
    """Whether observations of an authority's own are read."""
    open_keys: set[str] = field(default_factory=set)
    """Paths of those that can have other values as well: no rule has to cover them."""
    seen: dict[int, Node] = field(default_factory=dict)

    def into(self, node: Node) -> None:
        stack = [node]
        while stack:
            at = stack.pop()
            if id(at) in self.seen:
                continue
            self.seen[id(at)] = at
            stack += parts_of(at)
            match at:
                case Term(name=name):
                    self.terms.add(name)
                    stack.append(self.rules.terms[name].body)
                case Lookup(table=table, keys=keys):
                    self.tables.add(table)
                    self._keys(table, keys)
                case Shift():
                    self.months = True
                case Field(root=root, path=path) if path:
                    self.local |= "local" in path
                    if root is None:
                        self.fields.add(".".join(path))
                case Over(what=what, of=of):
                    self.counts |= what in COUNTED
                    if of.root is None:
                        self.lists.add(".".join(of.path))

    def _keys(self, name: str, keys: tuple[Node, ...]) -> None:
        table = self.rules.tables[name]
        for i, (key, axis) in enumerate(zip(keys, table.axes, strict=True)):
            path = _path(key)
            if path is None or axis.bands is not None or "]" in path:
                continue
            if table.covers:
                known = self.keys.setdefault(path, {})
                known.update(dict.fromkeys(cell.value for cell in table.cells.values()))
                known.update(dict.fromkeys(_other_names(key)))
            elif isinstance(key, Field):
                self.open_keys.add(path)
                self.keys.setdefault(path, {}).update(dict.fromkeys(_axis_values(table, i)))


def _axis_values(table: Table, axis: int) -> Iterator[Plain]:
    for keys, cell in table.cells.items():
        key, written = keys[axis], read_quantity(cell.keys[axis])
        if isinstance(key, Fraction):
            yield written if isinstance(written, Quantity) else number(key)
        elif isinstance(key, str):
            yield key


def _path(key: Node) -> str | None:
    """The field that a key of a table is, seen through the other names that stand for its values."""
    match key:
        case Field(root=None, path=path):
            return ".".join(path)
        case If(otherwise=otherwise):
            return _path(otherwise)
        case _:
            return None


def _other_names(key: Node) -> Iterator[Plain]:
    """The other names of covered values: words that the field is compared with on the way."""
    while isinstance(key, If):
        stack = [key.condition]
        first = True
        while stack:
            at = stack.pop()
            if isinstance(at, Compare) and isinstance(at.left, Field) and isinstance(at.right, Constant):
                if _path(key) == ".".join(at.left.path) and at.left.root is None and first:
                    yield at.right.value
            else:
                stack += parts_of(at)
        key = key.otherwise


def reach(requirement: Requirement, side: Side) -> Reach:
    found = Reach(side.rules)
    for node in (requirement.require, requirement.applies, *(each.when for each in requirement.unless)):
        if node is not None:
            found.into(node)
    if requirement.each is not None:
        found.lists.add(requirement.each)
    return found


def alike(old: Requirement, new: Requirement, before: Side, after: Side) -> bool:
    """Whether two requirements are the same rule, with everything that they come to."""
    if _rule(old) != _rule(new):
        return False
    return same_below(reach(old, before), reach(new, after), before, after)


def same_below(one: Reach, two: Reach, before: Side, after: Side) -> bool:
    """Whether what rules come to is the same in both editions."""
    if one.terms != two.terms or one.tables != two.tables:
        return False
    if any(before.asked(path) != after.asked(path) for path in one.lists | two.lists):
        return False
    if one.local and before.ruleset != after.ruleset:
        return False
    if one.months and before.rules.months != after.rules.months:
        return False
    return all(before.rules.terms[name] == after.rules.terms[name] for name in one.terms) and all(
        same_table(before, after, name) for name in one.tables
    )


def _rule(of: Requirement) -> tuple[object, ...]:
    return of.require, of.applies, of.each, of.absent is None, [each.when for each in of.unless]


def same_table(before: Side, after: Side, name: str) -> bool:
    one, two = before.rules.tables.get(name), after.rules.tables.get(name)
    if one is None or two is None or one.axes != two.axes or one.covers != two.covers:
        return False
    return {key: cell.value for key, cell in one.cells.items()} == {key: cell.value for key, cell in two.cells.items()}


Combination = dict[str, Plain]


def combinations(reaches: list[Reach]) -> tuple[dict[str, tuple[Plain, ...]], list[Combination]]:
    """The fields that figures are found by with their values, and every combination of these. Where these are too
    many, a field with the most values is left to be looked for."""
    keys: dict[str, dict[Plain, None]] = {}
    for each in reaches:
        for path, values in each.keys.items():
            keys.setdefault(path, {}).update(values)
    while _count(keys) > MOST_COMBINATIONS:
        del keys[max(keys, key=lambda path: len(keys[path]))]
    for path in {path for each in reaches for path in each.open_keys} & keys.keys():
        keys[path][AnyOther.than(keys[path])] = None
    # Words before figures, so that neighbouring sizes come last and are told as a range.
    ordered = {path: tuple(keys[path]) for path in sorted(keys, key=lambda path: _has_figures(keys[path]))}
    return ordered, [dict(zip(ordered, values, strict=True)) for values in product(*ordered.values())]


def _has_figures(values: Mapping[Plain, None]) -> bool:
    return any(isinstance(value, Quantity) for value in values)


def _count(keys: Mapping[str, Mapping[Plain, None]]) -> int:
    total = 1
    for values in keys.values():
        total *= max(len(values), 1)
    return total
