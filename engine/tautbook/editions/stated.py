"""What an edition states beside what it judges by, for people to read: from which layer each part is, and the formulas
that no requirement reaches, checked like any other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from ..lang.check import Scope, Signature, check
from ..lang.kernel import Definition, Node
from ..lang.kinds import Kind
from ..lang.problem import Problem
from ..lang.source import Span
from ..shape.shaped import ShapedMap, ShapedValue, as_map, map_at, scalar_at
from .edition import Edition, Procedure
from .kind_words import kind_named
from .terms import Formula, check_terms, in_order_of_need


def layer_at(edition: Edition, span: Span | None) -> str:
    """The name of the edition in whose file something stands: this one, or one that it amends."""
    return (None if span is None else edition.layer_of(span)) or edition.name


@dataclass(frozen=True, slots=True)
class Meant:
    """A rule as the records of one procedure mean it."""

    procedure: str
    rule: Node


def terms_meant(edition: Edition) -> Mapping[str, tuple[Meant, ...]]:
    """Each term in every procedure whose rules use it; one that no rule uses in all where it makes sense."""
    formulas = _formulas(edition)
    order, _ = in_order_of_need(formulas)
    found: dict[str, list[Meant]] = {name: [] for name in edition.terms}
    for procedure in edition.procedures.values():
        checked, _ = check_terms(formulas, order, _scope(procedure))
        for name, definition in checked.definitions.items():
            if name in procedure.rules.terms or not _used(edition, name):
                found[name].append(Meant(procedure.id, _body(procedure, definition)))
    return {name: tuple(meant) for name, meant in found.items()}


def rule_meant(edition: Edition, node: ShapedMap, key: str) -> Meant | None:
    """A rule beside the requirements, such as the formula of a crosscheck, in the first procedure where it makes
    sense; None where nothing stands under ``key``."""
    place = scalar_at(node, key)
    written = None if place is None else edition.written.rules.get(id(place.scalar))
    if written is None:
        return None
    formulas = _formulas(edition)
    order, _ = in_order_of_need(formulas)
    for procedure in edition.procedures.values():
        scope = _scope(procedure)
        checked, _ = check_terms(formulas, order, scope)
        rule, _ = check(written, replace(scope, terms=checked.signatures))
        if rule is not None:
            return Meant(procedure.id, rule)
    return None


def _used(edition: Edition, name: str) -> bool:
    return any(name in procedure.rules.terms for procedure in edition.procedures.values())


def _body(procedure: Procedure, definition: Definition) -> Node:
    return procedure.rules.terms.get(definition.name, definition).body


def _formulas(edition: Edition) -> Mapping[str, Formula]:
    found = {}
    for name, node in map_at(edition.written.shaped, "terms").items():
        place = scalar_at(as_map(node), "is")
        assert place is not None, "the schema asks for it"
        rule = edition.written.rules[id(place.scalar)]
        found[name] = Formula(name, tuple(_parameters(as_map(node))), rule, place.span)
    return found


def _parameters(node: ShapedMap) -> Iterator[tuple[str, Kind]]:
    for parameter, word in map_at(node, "of").items():
        assert isinstance(word, ShapedValue)
        kind = kind_named(word)
        assert not isinstance(kind, Problem), "it was read before"
        yield parameter, kind


def _scope(procedure: Procedure) -> Scope:
    """What names mean in one procedure, before its terms."""
    covers = {name: term for name, term in procedure.rules.terms.items() if " " in name}
    return Scope(
        procedure.record,
        terms={name: Signature((), term.body.kind) for name, term in covers.items()},
        tables={name: table for name, table in procedure.rules.tables.items() if not table.covers},
        instead={name.rpartition(" ")[2]: name for name in covers},
    )
