"""An edition as it lies before the proofreader: read, and as it was written."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from ..editions.amend import Lookup, whole
from ..editions.edition import Edition, Requirement
from ..editions.kind_words import kind_named, own_fields
from ..editions.procedures import Ground, ground
from ..editions.terms import Formula, in_order_of_need
from ..editions.written import Written, parse_rules, read_sources
from ..lang.kernel import Table
from ..lang.kinds import Kind
from ..lang.problem import Problem
from ..lang.reading import form_of, read_text, read_tree
from ..lang.source import Span
from ..shape.convert import shape
from ..shape.schemas import load_schema
from ..shape.shaped import ShapedMap, ShapedValue, as_map, map_at, scalar_at
from ..shape.vocabulary import vocabulary


@dataclass(frozen=True)
class Galley:
    """``written`` is what the file states. INVARIANT: it was read without a problem."""

    edition: Edition
    written: Written
    path: Path | None
    """Of its file; worked records lie beside it."""

    def part(self, *path: str) -> ShapedMap | None:
        """The mapping at ``path``."""
        node: object = self.written.shaped
        for key in path:
            node = node.entries.get(key) if isinstance(node, ShapedMap) else None
        return node if isinstance(node, ShapedMap) else None

    def place(self, *path: str) -> Span:
        """Of the key that ``path`` ends in; the beginning of the edition where there is none."""
        *above, key = path
        node = self.part(*above)
        if node is not None and key in node.keys:
            return node.key_span(key)
        return self.edition.span.at(0, 0)

    def rule_place(self, procedure: str, requirement: Requirement, key: str) -> Span:
        """Of a rule of a requirement; its name where that rule is not there."""
        node = self.part("procedures", procedure, "requirements", requirement.id)
        found = None if node is None else scalar_at(node, key)
        if found is None:
            return self.place("procedures", procedure, "requirements", requirement.id)
        return found.span

    @cached_property
    def formulas(self) -> dict[str, Formula]:
        """The terms as they are written."""
        found = {}
        for name, node in map_at(self.written.shaped, "terms").items():
            node = as_map(node)
            parameters: list[tuple[str, Kind]] = []
            for parameter, word in map_at(node, "of").items():
                assert isinstance(word, ShapedValue)
                kind = kind_named(word)
                assert not isinstance(kind, Problem)
                parameters.append((parameter, kind))
            expression, place = self.written.rule(node, "is"), scalar_at(node, "is")
            assert expression is not None and place is not None
            found[name] = Formula(name, tuple(parameters), expression, place.span)
        return found

    @cached_property
    def tables(self) -> dict[str, Table]:
        """The tables of the edition, without the lists of what it covers."""
        procedures = self.edition.procedures.values()
        return {name: table for each in procedures for name, table in each.rules.tables.items() if not table.covers}

    @cached_property
    def grounds(self) -> tuple[Ground, ...]:
        """What the rules of each procedure stand on, in the order of the procedures."""
        own = own_fields(self.written.shaped, [])
        order, _ = in_order_of_need(self.formulas)
        found = []
        for id in self.edition.procedures:
            words = vocabulary(id)
            assert words is not None, "an edition has no rules for a procedure without records"
            found.append(ground(self.written, words, own, self.tables, self.formulas, order))
        return tuple(found)


def galley(edition: Edition, data: bytes, path: Path | None, lookup: Lookup | None) -> Galley:
    """The edition that was read from ``data``, with what is written there and in what it amends."""
    source, _ = read_text(data, edition.file)
    assert source is not None, "an edition that was read"
    tree, _ = read_tree(source, form_of(edition.file, source.text))
    assert tree is not None
    found, _ = whole(tree, edition.file, lookup)
    assert found is not None
    shaped, _ = shape(found.tree, load_schema("edition"))
    assert isinstance(shaped, ShapedMap)
    written = Written(shaped, read_sources(shaped), expressions=dict(found.parsed), layers=found.layers)
    parse_rules(written)
    return Galley(edition, written, path)
