"""Kernel tree -> what the solver reads. What is known is worked out by the operations of the language itself."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import assert_never

import z3

from ..lang import operations as do
from ..lang.calendar import CalendarSpan
from ..lang.kernel import (
    Absolute,
    Add,
    Band,
    Both,
    Compare,
    Constant,
    DaysBetween,
    Divide,
    Either,
    Field,
    If,
    Interpolate,
    Lookup,
    Multiply,
    Negate,
    Node,
    NoRule,
    Not,
    Over,
    Parameter,
    Recorded,
    Round,
    Rules,
    Shift,
    Term,
    key_of,
)  # fmt: skip
from ..lang.kinds import GroupKind, Kind, ListKind
from ..lang.values import Data, Group, Items, Leaf, Open, Pending, Value
from ..records.derived import Derived, sense
from . import symbol_operations as make
from .beyond import Beyond
from .paths import at_path, owner_of, unnumbered
from .reached import COUNTED
from .side import Side
from .symbol_dates import moved, ordinal
from .symbols import (
    Bound,
    Day,
    Flag,
    NotReached,
    Symbol,
    Worked,
    conj,
    disj,
    every,
    known,
    neg,
    pick,
    real,
    same,
    some,
    strict,
    symbol,
)  # fmt: skip
from .unknowns import UnknownList, Unknowns

_NO_RULES = Rules({}, {})


@dataclass(frozen=True, slots=True)
class Here:
    """Where translation stands: what names mean, and the record that fields are read from."""

    bound: Mapping[str, str] = field(default_factory=dict)
    """Paths of the items that names stand for."""
    parameters: Mapping[str, Worked] = field(default_factory=dict)
    prefix: str = ""
    """Of another record that rules of its own schema are about: ``evidence.long_bolt.``."""


@dataclass(slots=True)
class Translation:
    """The rules of one edition over the unknowns. It keeps what was worked out, and what of the edition it met."""

    unknowns: Unknowns
    rules: Rules
    asks: Mapping[str, int]
    record: GroupKind
    must: list[Flag] = field(default_factory=list)
    """What holds of numbers that this translation made."""
    lines: list[Flag] = field(default_factory=list)
    """The same of interpolation."""
    given: Group | None = None
    """What this edition reads of the records that the record rests on, where these are not looked for."""
    taken: tuple[str, ...] = ()
    """Beginnings of the paths that are taken from ``given``."""
    side: Side | None = None
    """None: rules of a schema, for which lists are not filled up."""
    strange: bool = False
    """Whether the other edition is of another ruleset, whose ``local`` is not this one's."""
    beyond: Beyond | None = None
    """Where lists of any length are looked at."""
    edition: int | None = None
    """0 or 1, where the two editions can judge the records that the record rests on differently."""
    terms: set[str] = field(default_factory=set)
    cells: dict[str, set[tuple[object, ...]]] = field(default_factory=dict)
    """By table, the keys that were looked up, or can be meant."""
    done: dict[tuple[object, ...], Worked] = field(default_factory=dict)
    kept: list[object] = field(default_factory=list)

    @classmethod
    def of(
        cls, side: Side, unknowns: Unknowns, given: Group | None = None, taken: tuple[str, ...] = ()
    ) -> Translation:
        return cls(unknowns, side.rules, side.asks, side.record, given=given, taken=taken, side=side)

    def work(self, node: Node, at: Here) -> Worked:
        key = (id(node), *sorted(at.bound.items()), at.prefix, *(id(value) for value in at.parameters.values()))
        if key not in self.done:
            self.kept += [node, *at.parameters.values()]
            self.done[key] = self._work(node, at)
        return self.done[key]

    def symbol(self, node: Node, at: Here) -> Symbol:
        return symbol(self.work(node, at), self.unknowns.words)

    def _all(self, nodes: Sequence[Node], at: Here) -> tuple[list[Value] | None, list[Worked]]:
        """The parts; the first is None unless all of them are values of the language."""
        parts = [self.work(node, at) for node in nodes]
        plain = [part for part in parts if not isinstance(part, Symbol)]
        return plain if len(plain) == len(parts) else None, parts

    def _symbols(self, parts: Sequence[Worked]) -> list[Symbol]:
        return [symbol(part, self.unknowns.words) for part in parts]

    def _work(self, node: Node, at: Here) -> Worked:
        match node:
            case Constant(value=value):
                return value
            case NoRule(reason=reason):
                return Open(frozenset({reason}))
            case Field():
                return self._field(node, at)
            case Recorded(of=of):
                return self._recorded(of, at)
            case Parameter(name=name):
                return at.parameters[name]
            case Term():
                return self._term(node, at)
            case Lookup():
                return self._lookup(node, at)
            case Band():
                return self._band(node, at)
            case Negate(of=of):
                return self._one(do.negate, lambda one: strict(-one.value, (one,)), of, at)
            case Absolute(of=of):
                return self._one(do.absolute, make.absolute, of, at)
            case Round(way=way, of=of, step=step, ties=ties):
                return self._one(
                    lambda one: do.rounded(way, one, step, ties), lambda one: make.rounded(way, one, step, ties), of, at
                )
            case Not(of=of):
                return self._one(
                    do.negated, lambda one: Symbol(neg(one.value), one.missing, one.stuck), of, at
                )
            case Add(left=left, right=right):
                return self._two(do.add, lambda a, b: strict(a.value + b.value, (a, b)), left, right, at)
            case Multiply(left=left, right=right):
                return self._two(do.multiply, lambda a, b: strict(a.value * b.value, (a, b)), left, right, at)
            case Divide(left=left, right=right):
                return self._two(do.divide, make.divide, left, right, at)
            case DaysBetween(left=left, right=right):
                return self._two(do.days, _days, left, right, at)
            case Shift():
                return self._shift(node, at)
            case Compare(left=left, relation=relation, right=right):
                plain, parts = self._all((left, right), at)
                if plain is not None:
                    return do.compare(plain[0], relation, plain[1])
                a, b = self._symbols(parts)
                return make.compare(a, relation, b)
            case Both(parts=nodes) | Either(parts=nodes):
                plain, parts = self._all(nodes, at)
                is_both = isinstance(node, Both)
                if plain is not None:
                    return do.all_of(plain) if is_both else do.any_of(plain)
                return every(self._symbols(parts)) if is_both else some(self._symbols(parts))
            case If(condition=condition, then=then, otherwise=otherwise):
                return self._if(condition, then, otherwise, at)
            case Over():
                return self._over(node, at)
            case Interpolate():
                return self._interpolate(node, at)
            case _:
                assert_never(node)

    # A node with one or two parts: open parts are seen to by ``strict`` and by the language itself

    def _one(self, plain: Callable[[Value], Value], formula: Callable[[Symbol], Symbol], of: Node, at: Here) -> Worked:
        part = self.work(of, at)
        if not isinstance(part, Symbol):
            return plain(part)
        if part.value is None:
            return Symbol(None, part.missing, part.stuck)
        return formula(part)

    def _two(
        self, plain: Callable[[Value, Value], Value], formula: Callable[[Symbol, Symbol], Symbol], left: Node,
        right: Node, at: Here,
    ) -> Worked:  # fmt: skip
        values, parts = self._all((left, right), at)
        if values is not None:
            return plain(*values)
        symbols = self._symbols(parts)
        if any(part.value is None for part in symbols):
            return strict(None, symbols)
        return formula(*symbols)

    # Fields

    def path_of(self, node: Field, at: Here) -> str:
        root = at.prefix.rstrip(".") if node.root is None else at.bound[node.root]
        return ".".join(filter(None, [root, *node.path]))

    def _field(self, node: Field, at: Here) -> Worked:
        path = self.path_of(node, at)
        if re.search(r"\]\.[a-z_.]*\[", path) or (node.root is not None and not node.path):
            raise NotReached(f"lists within the items of a list, or of single values: {unnumbered(path)}")
        self._ours(node)
        return self.field(path, node.kind)

    def _ours(self, node: Field) -> None:
        if self.strange and "local" in node.path:
            raise NotReached(f"what only one authority observes: {'.'.join(node.path)}")

    def _is_given(self, path: str) -> bool:
        return self.given is not None and path.startswith(self.taken)

    def _given(self, path: str) -> Data | None:
        return None if self.given is None else at_path(self.given, path)

    def field(self, path: str, kind: Kind) -> Worked:
        """A field as rules read it: as recorded, else as others give it."""
        if self._is_given(path):
            data = self._given(path)
            if isinstance(data, Leaf):
                return data.value
            return data.open if isinstance(data, Pending) else do.missing(path)
        if self.edition is not None and path.startswith("evidence.") and path.endswith(".verdict"):
            path = f"{path} ({self.edition + 1})"
        raw = self.unknowns.leaf(path, kind)
        rule, prefix = self._derived(path)
        if rule is None or not isinstance(raw, Symbol):
            return raw
        item = path[: path.index("]", len(prefix)) + 1] if rule.each is not None else ""
        at = Here({} if rule.singular is None else {rule.singular: item}, {}, prefix)
        found = self._plainly(rule.value, at)
        if rule.otherwise is not None:
            otherwise = self._plainly(rule.otherwise, at)
            is_known = known(found)
            value = otherwise.value if found.value is None else pick(is_known, found.value, otherwise.value)
            found = Symbol(value, conj(neg(is_known), otherwise.missing), conj(neg(is_known), otherwise.stuck))
        given = known(found)
        if rule.when is not None:
            when = self._plainly(rule.when, at)
            given = conj(given, known(when), when.value if when.value is not None else False)
        if prefix:
            given = conj(given, self.unknowns.group(prefix.rstrip(".")))
        recorded = known(raw)
        if rule.when is None and raw.value is not None and found.value is not None:
            agree = same(raw.value, found.value)
            self.must.append(disj(neg(recorded), neg(given), agree))
        if found.value is None or given is False:
            return raw
        return Symbol(pick(recorded, raw.value, found.value), conj(neg(recorded), neg(given)), False)

    def _plainly(self, node: Node, at: Here) -> Symbol:
        """A rule of the schema; open for good where it reads lists within items, which are not written here."""
        try:
            inner = Translation(self.unknowns, _NO_RULES, {}, self.record, self.must)
            return inner.symbol(node, at)
        except NotReached:
            return Symbol(None, True, False)

    def _derived(self, path: str) -> tuple[Derived | None, str]:
        """The rule of the schema that gives a field, and the prefix of the record that it is of."""
        owner, rest = owner_of(path, self.unknowns.procedure)
        prefix = path.removesuffix(rest)
        for rule in sense(owner).derived:
            if ".".join(filter(None, [rule.each, *rule.path])) == unnumbered(rest):
                return rule, prefix
        return None, prefix

    def _recorded(self, of: Field, at: Here) -> Worked:
        path = self.path_of(of, at)
        self._ours(of)
        if isinstance(of.kind, ListKind):
            if "]" in path:
                raise NotReached(f"lists within the items of a list: {unnumbered(path)}")
            return Symbol(True, missing=neg(self.items(path, of.kind, self.asks.get(path, 0))[0].written))
        if isinstance(of.kind, GroupKind):
            if self._is_given(path):
                there = self._given(path)
                return True if isinstance(there, Group) and there.fields else do.missing(path)
            return Symbol(True, missing=neg(self.unknowns.group(path)))
        value = self.field(path, of.kind)
        if not isinstance(value, Symbol):
            return value if isinstance(value, Open) else True
        return Symbol(True, value.missing, value.stuck)

    # Terms and tables

    def _term(self, node: Term, at: Here) -> Worked:
        self.terms.add(node.name)
        definition = self.rules.terms[node.name]
        arguments = [self.work(argument, at) for argument in node.arguments]
        parameters = {name: value for (name, _), value in zip(definition.parameters, arguments, strict=True)}
        # A term reads the record, never the item that its caller happens to speak of.
        return self.work(definition.body, Here({}, parameters, at.prefix))

    def _lookup(self, node: Lookup, at: Here) -> Worked:
        table = self.rules.tables[node.table]
        plain, parts = self._all(node.keys, at)
        if plain is not None:
            if not any(isinstance(key, Open) for key in plain):
                self._met(node.table, [key_of(key) for key in plain if not isinstance(key, Open)])
            return do.looked_up(table, plain)
        symbols = self._symbols(parts)
        self._met(node.table, [None if isinstance(key, Symbol | Open) else key_of(key) for key in parts])
        cells = [
            (tuple(self._key(key) for key in keys), symbol(cell.value, self.unknowns.words).value)
            for keys, cell in table.cells.items()
        ]
        if any(part.value is None for part in symbols):
            return strict(None, symbols)
        return make.looked_up(cells, symbols)

    def _met(self, table: str, keys: Sequence[object]) -> None:
        """Notes the cells that can be meant; None: a key that is not known."""
        if None not in keys:
            self.cells.setdefault(table, set()).add(tuple(keys))
            return
        self.cells.setdefault(table, set()).update(
            at
            for at in self.rules.tables[table].cells
            if all(key is None or key == one for key, one in zip(keys, at, strict=True))
        )

    def _key(self, key: object) -> object:
        """The key of a row as a formula: a quantity is known by its value alone."""
        if isinstance(key, str | bool | datetime.date):
            return symbol(key, self.unknowns.words).value
        assert isinstance(key, Fraction)
        return real(key)

    def _band(self, node: Band, at: Here) -> Worked:
        bands = self.rules.tables[node.table].axes[node.axis].bands
        assert bands is not None
        part = self.work(node.of, at)
        if not isinstance(part, Symbol):
            return do.band_of(bands, part, node.table)
        if part.value is None:
            return part
        return make.banded(bands, part, [self.unknowns.words.number(band.label) for band in bands])

    # Dates

    def _shift(self, node: Shift, at: Here) -> Worked:
        plain, parts = self._all((node.date, node.by), at)
        if plain is not None:
            return do.moved(plain[0], plain[1], self.rules)
        date, by = parts
        if not isinstance(by, CalendarSpan):
            raise NotReached("a calendar span that depends on the record")
        at_first = symbol(date, self.unknowns.words)
        later, refused, must = moved(at_first.value, by, self.rules.months, self._own_day(at_first.value, by))
        self.must.append(disj(at_first.missing, at_first.stuck, must))
        return strict(later, (at_first,), stuck=refused)

    def _own_day(self, date: Day, by: CalendarSpan) -> Day:
        if not by.days:
            return date  # no day is counted on: none is needed
        own = self.unknowns.own(f"{by} {self.rules.months}", date)
        assert isinstance(own, Day)
        return own

    # Choices and lists

    def _if(self, condition: Node, then: Node, otherwise: Node, at: Here) -> Worked:
        test = self.work(condition, at)
        if not isinstance(test, Symbol) and not isinstance(test, Open):
            return self.work(then if test else otherwise, at)
        one, two = self.work(then, at), self.work(otherwise, at)
        if not isinstance(test, Symbol) and not isinstance(one, Symbol) and not isinstance(two, Symbol):
            assert isinstance(test, Open)
            return do.chosen(test, one, two)
        return make.chosen(*self._symbols((test, one, two)))

    def items(self, path: str, kind: ListKind, asks: int) -> tuple[UnknownList, list[tuple[Flag, str]]]:
        """A list, and its items with whether they are there."""
        if not self._is_given(path):
            return self.unknowns.items(path, kind, asks)
        data = self._given(path)
        there = data.items if isinstance(data, Items) else ()
        written = isinstance(data, Items) and data.written
        return UnknownList(path, written, len(there), len(there)), [(True, item.path) for item in there]

    def _over(self, node: Over, at: Here) -> Worked:
        path = self.path_of(node.of, at)
        if not isinstance(node.of.kind, ListKind):
            raise NotReached(f"the list {path}")
        asks = self.asks.get(path, 0)
        filled = asks if self.side is None else self.side.asked(path)
        found, places = self.items(path, node.of.kind, filled)
        if self.beyond is not None and node.what in COUNTED:
            # The last item stands for any: it is none that something else is said of.
            any_item = Here({**at.bound, node.singular: places[-1][1]}, at.parameters, at.prefix)
            alone = node if not at.parameters else None
            return self.beyond.over(node.what, path, at.bound, alone, self.symbol(node.body, any_item), self.unknowns)
        items = [
            (there, self.symbol(node.body, Here({**at.bound, node.singular: item}, at.parameters, at.prefix)))
            for there, item in places
        ]
        worked = make.over(node.what, [value for _, value in items], [there for there, _ in items])
        if asks:
            return worked
        written = self._is_there(path, found, filled)
        return Symbol(
            worked.value, disj(neg(written), worked.missing), conj(written, worked.stuck),
            None if worked.low is None else Bound(conj(written, worked.low.holds), worked.low.value),
            None if worked.high is None else Bound(conj(written, worked.high.holds), worked.high.value),
        )  # fmt: skip

    def _is_there(self, path: str, found: UnknownList, filled: int) -> Flag:
        """Whether rules see the list: that of another record once the other record is there, if it is filled up."""
        if self._is_given(path):
            return isinstance(self._given(path), Items)
        return self.unknowns.group(path.rpartition(".")[0]) if filled else found.written

    def _interpolate(self, node: Interpolate, at: Here) -> Worked:
        path = self.path_of(node.points, at)
        where = self.symbol(node.at, at)
        kind = node.points.kind
        if not isinstance(kind, ListKind) or not isinstance(kind.item, GroupKind):
            raise NotReached(f"the points of {path}")
        found, places = self.items(path, kind, 0)
        points = [
            (
                symbol(self.field(f"{item}.{node.where}", kind.item.fields[node.where]), self.unknowns.words),
                symbol(self.field(f"{item}.{node.value}", kind.item.fields[node.value]), self.unknowns.words),
            )
            for _, item in places
        ]
        if where.value is None:
            return Symbol(None, disj(where.missing, neg(found.written)), where.stuck)
        own = self.unknowns.own(f"{path} {node.where} {node.value}", where.value)
        value, must = make.interpolated(points, [there for there, _ in places], where, own)
        unwritten = neg(found.written)
        self.lines.append(disj(unwritten, must))
        return Symbol(value.value, disj(unwritten, value.missing), disj(where.stuck, conj(found.written, value.stuck)))


def _days(left: Symbol, right: Symbol) -> Symbol:
    assert isinstance(left.value, Day) and isinstance(right.value, Day)
    return strict(z3.ToReal(ordinal(left.value) - ordinal(right.value)), (left, right))



def items_of(path: str, translation: Translation) -> tuple[UnknownList, list[tuple[Flag, str]]]:
    """A list of the record, and its items, filled up to as many as are asked for."""
    kind = translation.record.fields.get(path)
    if not isinstance(kind, ListKind):
        raise NotReached(f"items of a list that is not one of the record itself: {path}")
    return translation.items(path, kind, translation.asks.get(path, 0))
