"""What the rule of a requirement comes down to, before any record: comparisons of one reading, and words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from ..editions.edition import Edition, Procedure, Requirement
from ..explaining.comparisons import Comparison
from ..lang.kernel import (
    Both,
    Compare,
    Constant,
    Either,
    Field,
    If,
    Interpolate,
    Lookup,
    Node,
    Not,
    Over,
    Parameter,
    Recorded,
    Relation,
    Term,
    parts_of,
)
from ..lang.kinds import DateKind, ListKind, NumberKind, QuantityKind
from ..lang.operations import FLIPPED, NEGATED
from ..lang.unreduce import print_kernel
from ..shape.vocabulary import vocabulary

_MOST_CELLS = 100_000
"""Cells of a table, times the requirements of a procedure, that are asked one by one; of more only the limit as such
is, so that an edition of nonsense takes no more time than another."""


@dataclass(frozen=True, slots=True)
class CellKey:
    """A cell by its table and its keys as the edition writes them."""

    table: str
    keys: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.table}[{', '.join(self.keys)}]"


@dataclass(frozen=True, slots=True)
class Watched:
    """A comparison of one reading with a limit."""

    rule: str
    sign: Relation
    """As seen from the reading."""
    cells: tuple[CellKey, ...]
    always: bool
    """Whether no record can be without the reading."""


@dataclass(frozen=True, slots=True)
class Watch:
    comparisons: tuple[Watched, ...]
    words: tuple[Literal["inside", "outside", "missing"], ...]
    """What is asked of the requirement whole, for all that is no comparison of one reading."""
    plain: frozenset[int]
    """By identity, the comparisons that can be worked out by themselves on a record and one item."""


def rule_text(node: Compare, wanted: bool) -> str:
    text = print_kernel(node)
    return text if wanted else f"not ({text})"


@dataclass(frozen=True, slots=True)
class _Place:
    """What names mean: items by their list, parameters by the readings that they were given."""

    lists: Mapping[str, str]
    given: Mapping[str, frozenset[str]] = field(default_factory=dict)
    tables: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Leaf:
    node: Node
    wanted: bool
    at: _Place


def watched(requirement: Requirement, procedure: Procedure) -> Watch:
    """What the rule of ``requirement`` comes down to."""
    assert requirement.require is not None
    reader = _Reader(procedure)
    lists = {} if requirement.singular is None else {requirement.singular: str(requirement.each)}
    found: dict[str, Watched] = {}
    words: list[_Leaf] = []
    plain: set[int] = set()
    for leaf in reader.leaves(requirement.require, True, _Place(lists)):
        each = reader.compared(leaf)
        if each is None:
            words.append(leaf)
        else:
            found.setdefault(each.rule, each)
            if not leaf.at.given and leaf.at.lists.keys() <= lists.keys():
                plain.add(id(leaf.node))
    return Watch(tuple(found.values()), reader.asked(words), frozenset(plain))


class _Reader:
    def __init__(self, procedure: Procedure) -> None:
        self.rules = procedure.rules
        words = vocabulary(procedure.id)
        assert words is not None
        self.words = words
        self.asks = procedure.asks
        self.requirements = len(procedure.requirements)

    def leaves(self, node: Node, wanted: bool, at: _Place) -> Iterator[_Leaf]:
        match node:
            case Not(of=of):
                yield from self.leaves(of, not wanted, at)
            case Both(parts=parts) | Either(parts=parts):
                for part in parts:
                    yield from self.leaves(part, wanted, at)
            case If(then=then, otherwise=otherwise):
                yield from self.leaves(then, wanted, at)
                yield from self.leaves(otherwise, wanted, at)
            case Term(name=name) if " " not in name:
                yield from self.leaves(self.rules.terms[name].body, wanted, self.inside(node, at))
            case Over(what="every" | "some", of=of, singular=singular, body=body):
                lists = {**at.lists, singular: self.path(of, at)}
                yield from self.leaves(body, wanted, _Place(lists, at.given, at.tables))
            case Constant():
                return
            case _:
                yield _Leaf(node, wanted, at)

    def inside(self, node: Term, at: _Place) -> _Place:
        """A term reads the record, and what it was given."""
        names = [name for name, _ in self.rules.terms[node.name].parameters]
        given = {name: self.fields(argument, at) for name, argument in zip(names, node.arguments, strict=True)}
        tables = {name: tuple(self.tables(argument, at)) for name, argument in zip(names, node.arguments, strict=True)}
        return _Place({}, given, tables)

    def path(self, node: Field, at: _Place) -> str:
        start = () if node.root is None else (at.lists.get(node.root, node.root),)
        return ".".join((*start, *node.path))

    def compared(self, leaf: _Leaf) -> Watched | None:
        node = leaf.node
        if not isinstance(node, Compare):
            return None
        left, right = node.left, node.right
        sign = node.relation if leaf.wanted else NEGATED[node.relation]
        if not self.fields(left, leaf.at) and self.fields(right, leaf.at):
            left, right, sign = right, left, FLIPPED[sign]
        read = self.fields(left, leaf.at)
        if len(read) != 1 or not isinstance(left.kind, QuantityKind | NumberKind | DateKind):
            return None
        if sign in ("=", "!=") and self.fields(right, leaf.at):
            return None
        tables = dict.fromkeys(self.tables(right, leaf.at))
        cells = tuple(CellKey(name, cell.keys) for name in tables if self.few(name)
                      for cell in self.rules.tables[name].cells.values())  # fmt: skip
        return Watched(rule_text(node, leaf.wanted), sign, cells, self.always(next(iter(read))))

    def few(self, table: str) -> bool:
        """Whether its cells are asked one by one, whichever requirements come to them."""
        return len(self.rules.tables[table].cells) * self.requirements <= _MOST_CELLS

    def fields(self, node: Node, at: _Place) -> frozenset[str]:
        """The paths of what a side reads of the record, other than to find a row or to choose a branch."""
        match node:
            case Field():
                return frozenset({self.path(node, at)})
            case Recorded(of=of):
                return frozenset({self.path(of, at)})
            case Parameter(name=name):
                return at.given[name]
            case Term(name=name):
                if " " in name:
                    return frozenset({name.partition(" ")[2]})
                return self.fields(self.rules.terms[name].body, self.inside(node, at))
            case Lookup():
                return frozenset()
            case If(then=then, otherwise=otherwise):
                return self.fields(then, at) | self.fields(otherwise, at)
            case Over(what="count", of=of):
                return frozenset({f"count of {self.path(of, at)}"})
            case Over(what=what, of=of):
                # Something of all items is more than one reading.
                return frozenset({f"{what} of {self.path(of, at)}", f"{self.path(of, at)}[]"})
            case Interpolate(at=where):
                return self.fields(where, at)
            case _:
                return frozenset().union(*(self.fields(part, at) for part in parts_of(node)))

    def tables(self, node: Node, at: _Place) -> Iterator[str]:
        """The tables that a limit comes from."""
        match node:
            case Lookup(table=table):
                yield table
            case Parameter(name=name):
                yield from at.tables[name]
            case Term(name=name):
                if " " not in name:
                    yield from self.tables(self.rules.terms[name].body, self.inside(node, at))
            case If(then=then, otherwise=otherwise):
                yield from self.tables(then, at)
                yield from self.tables(otherwise, at)
            case _:
                for part in parts_of(node):
                    yield from self.tables(part, at)

    def asked(self, words: list[_Leaf]) -> tuple[Literal["inside", "outside", "missing"], ...]:
        if not words:
            return ()
        asked: list[Literal["inside", "outside", "missing"]] = ["inside"]
        # Something is recorded, or still open: it never fails for that.
        if any(not isinstance(each.node, Recorded) or not each.wanted for each in words):
            asked.append("outside")
        if any(not self.always(path) for each in words for path in self.fields(each.node, each.at)):
            asked.append("missing")
        return tuple(asked)

    def always(self, path: str) -> bool:
        """Whether no record can be without a field: the schema asks for it, and for all that it stands in. An item
        that is not asked for is there only if it was written, with all that the schema asks of it."""
        names = path.split(".")
        paths = [".".join(names[: i + 1]) for i in range(len(names))]
        found = [self.words.fields.get(each) for each in paths]
        for i, info in enumerate(found):
            if info is not None and isinstance(info.kind, ListKind) and info.path not in self.asks:
                found = found[i + 1 :]
                break
        return bool(found) and all(info is not None and info.required for info in found)


# Of an edition


@dataclass(frozen=True, slots=True)
class Study:
    """The rules of an edition, looked through once."""

    watches: Mapping[tuple[str, str], Watch]
    """By procedure and requirement, of those that have boundaries."""
    texts: dict[tuple[int, bool], str]
    """The comparisons that were met so far, as text; by identity, since the edition keeps them."""

    def rule(self, comparison: Comparison) -> str:
        assert comparison.node is not None
        key = (id(comparison.node), comparison.wanted)
        if key not in self.texts:
            self.texts[key] = rule_text(comparison.node, comparison.wanted)
        return self.texts[key]


def study(edition: Edition) -> Study:
    """Of advice, what an edition declares absent, and the requirement that all is covered there is nothing to show."""
    watches = {
        (procedure.id, each.id): watched(each, procedure)
        for procedure in edition.procedures.values()
        for each in procedure.requirements
        if each.kind != "advice" and each.require is not None and not each.covers
    }
    return Study(watches, {})
