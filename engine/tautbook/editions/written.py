"""A shaped edition with its rules parsed: what the parts of reading an edition share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import cast

from ..lang.parse import parse
from ..lang.problem import Problem, did_you_mean
from ..lang.surface import Expression
from ..lang.tree import Scalar
from ..shape.shaped import Shaped, ShapedList, ShapedMap, ShapedValue, map_at, scalar_at, text_at
from .edition import Layer, Origin, SourceDocument, Standing, layer_of


@dataclass(slots=True)
class Written:
    """The edition as written, its rules by the identity of their scalar, and the problems found so far."""

    shaped: ShapedMap
    sources: Mapping[str, SourceDocument]
    expressions: dict[int, Expression] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    layers: tuple[Layer, ...] = ()

    def add(self, code: str, message: str, at: ShapedValue | ShapedMap | Scalar, help: str | None = None) -> None:
        self.problems.append(Problem(code, message, at.span, help))

    def rule(self, node: ShapedMap, key: str) -> Expression | None:
        """The rule under ``key``; None if none stands there, or it did not parse, which was said already."""
        found = scalar_at(node, key)
        return None if found is None else self.expressions.get(id(found.scalar))

    def rules_in(self, node: Shaped) -> list[Expression]:
        """All rules inside a part of the edition that parsed."""
        found = (self.expressions.get(id(value.scalar)) for value in _rules(node))
        return [rule for rule in found if rule is not None]

    def origin(self, node: ShapedMap) -> Origin:
        """Where a part of the edition comes from: what it says itself, else the only source."""
        source = self.source(node, "source") if isinstance(node.entries.get("source"), ShapedValue) else None
        return self._origin(node, source)

    def table_origin(self, table: ShapedMap) -> Origin:
        source = table.entries["source"]
        assert isinstance(source, ShapedMap)
        return self._origin(source, self.source(source, "of"))

    def source(self, node: ShapedMap, key: str) -> str | None:
        """The source named under ``key``, if there is one of that name."""
        found = scalar_at(node, key)
        if found is None or found.written in self.sources:
            return None if found is None else found.written
        help = did_you_mean(found.written, self.sources, f"the sources are: {', '.join(self.sources)}")
        self.add("unknown-source", f"there is no source `{found.written}`", found, help)
        return None

    def _origin(self, node: ShapedMap, source: str | None) -> Origin:
        if source is None and len(self.sources) == 1:
            source = next(iter(self.sources))
        said = text_at(node, "standing")
        standing = cast("Standing", said) if said else self.sources[source].standing if source else None
        return Origin(source, text_at(node, "clause"), standing, layer_of(node.span, self.layers))


def read_sources(shaped: ShapedMap) -> Mapping[str, SourceDocument]:
    found = {}
    for id, node in map_at(shaped, "sources").items():
        assert isinstance(node, ShapedMap)
        standing = cast("Standing", text_at(node, "standing"))
        found[id] = SourceDocument(id, text_at(node, "title") or "", standing, text_at(node, "year"))
    return found


def parse_rules(written: Written) -> None:
    """Every rule of the edition, parsed into ``written.expressions`` or its problems noted."""
    for value in _rules(written.shaped):
        if id(value.scalar) in written.expressions:
            continue
        expression, problems = parse(value.scalar)
        written.problems += problems
        if expression is not None:
            written.expressions[id(value.scalar)] = expression


def _rules(node: Shaped) -> Iterator[ShapedValue]:
    match node:
        case ShapedMap(entries=entries):
            for below in entries.values():
                yield from _rules(below)
        case ShapedList(items=items):
            for below in items:
                yield from _rules(below)
        case ShapedValue(expression=True):
            yield node
