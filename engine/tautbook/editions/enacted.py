"""Enacted editions: a list beside them holds the digest of each, so that none of them can change unnoticed.

It also holds which fields of a record the edition reads, and of which kind each was: what a record says cannot change
under an enacted edition either.
"""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import lru_cache

from ..lang.kernel import Field, Interpolate, Node, Over, Recorded, parts_of
from ..lang.kinds import GroupKind, Kind, ListKind, QuantityKind
from ..lang.problem import Problem
from ..lang.reading import form_of, read_text, read_tree
from ..lang.source import Span
from ..shape.convert import shape
from ..shape.schemas import load_schema
from ..shape.shaped import ShapedMap, as_map, map_at, text_at, value_at
from ..shape.vocabulary import SIMPLE_KINDS
from .edition import Edition, Enacted, Layer, Procedure, Requirement


@lru_cache(maxsize=8)
def read_enacted(data: bytes, name: str) -> tuple[Mapping[str, Enacted], tuple[Problem, ...]]:
    """What a list of enacted editions says of each, by the name of the edition; or what is wrong with the list."""
    source, problems = read_text(data, name)
    tree, problems = (None, problems) if source is None else read_tree(source, form_of(name, source.text))
    shaped, problems = (None, problems) if tree is None else shape(tree, load_schema("enacted"))
    if not isinstance(shaped, ShapedMap):
        return {}, problems
    found = {}
    for edition, node in shaped.entries.items():
        entry = as_map(node)
        on = value_at(entry, "on")
        assert isinstance(on, datetime.date)
        fields = {path: text_at(as_map(entry.entries["fields"]), path) or "" for path in map_at(entry, "fields")}
        digest, by = text_at(entry, "digest") or "", text_at(entry, "by") or ""
        found[edition] = Enacted(digest, by, on, fields, text_at(entry, "ruleset"))
    return found, ()


def with_enacted(edition: Edition, listed: Mapping[str, Enacted]) -> tuple[Edition | None, tuple[Problem, ...]]:
    """The edition with what the list says of it; or why it cannot be used: it is not what was enacted."""
    enacted = listed.get(edition.edition)
    if enacted is None:
        return edition, ()
    span = edition.span.at(0, 0)
    if enacted.ruleset is not None and enacted.ruleset != edition.ruleset:
        return None, (_other_ruleset(edition, enacted, span),)
    if enacted.digest != edition.digest:
        return None, (_changed(edition.name, enacted, span=span),)
    now = signature(edition)
    other = [path for path, kind in enacted.fields.items() if now.get(path) != kind]
    if other:
        return None, (_other_fields(edition.name, other, span=span),)
    return replace(edition, enacted=enacted), ()


def layer_problem(edition: Edition, layer: Layer, listed: Mapping[str, Enacted]) -> Problem | None:
    """What is wrong with a ``layer`` that ``edition`` amends: it was enacted as something else, by the list there."""
    enacted = listed.get(layer.name.partition("@")[2])
    if enacted is None or enacted.ruleset not in (None, layer.name.partition("@")[0]):
        return None
    if enacted.digest != layer.digest:
        return _changed(layer.name, enacted, file=layer.file)
    other = []
    for path, kind in enacted.fields.items():
        procedure, *names = path.split(".")
        # The authority's own observations are the edition's, which the digest holds; another layer may declare others.
        if procedure in edition.procedures and "local" not in names:
            now = _kind(edition.procedures[procedure].record, tuple(names))
            other += [path] if now != kind else []
    return _other_fields(layer.name, other, file=layer.file) if other else None


def _other_ruleset(edition: Edition, enacted: Enacted, span: Span) -> Problem:
    message = f"the list of enacted editions beside it holds {enacted.ruleset}@{edition.edition}, so that it cannot"
    message += f" hold {edition.name} as well: it names editions alone"
    help = "give this edition another name, or keep each ruleset in a folder of its own"
    return Problem("enacted-other-ruleset", message, span, help)


def _changed(name: str, enacted: Enacted, span: Span | None = None, file: str | None = None) -> Problem:
    message = f"{name} was enacted on {enacted.on} and has been changed since"
    help = "undo the change; what is to change goes into a new edition that amends this one"
    return Problem("enacted-changed", message, span, help, file)


def _other_fields(name: str, paths: list[str], span: Span | None = None, file: str | None = None) -> Problem:
    message = f"a record does not say any more what it said when {name} was enacted: {', '.join(paths)}"
    help = "use the version of the program that it was enacted with, and report this"
    return Problem("enacted-fields", message, span, help, file)


def entry_text(edition: Edition, by: str, on: datetime.date) -> str:
    """The lines that enact an edition, to stand at the end of the list."""
    lines = [
        f"{json.dumps(edition.edition)}:",
        f"  digest: {edition.digest}",
        f"  ruleset: {json.dumps(edition.ruleset)}",
        f"  title: {json.dumps(edition.title, ensure_ascii=False)}",
        f"  by: {json.dumps(by, ensure_ascii=False)}",
        f"  on: {on.isoformat()}",
        "  fields:",
        *(f"    {path}: {kind}" for path, kind in sorted(signature(edition).items())),
    ]
    return "".join(f"{line}\n" for line in lines)


def signature(edition: Edition) -> dict[str, str]:
    """Every field of a record that the edition reads, after the procedure, and its kind."""
    found: dict[str, str] = {}
    for procedure in edition.procedures.values():
        for path in _read(procedure):
            kind = _kind(procedure.record, path)
            if kind is not None:
                found[f"{procedure.id}.{'.'.join(path)}"] = kind
    return found


def _read(procedure: Procedure) -> Iterator[tuple[str, ...]]:
    """The paths that its rules read, lists without numbers."""
    for requirement in procedure.requirements:
        yield from read_by(requirement)
    for figure in procedure.figures:
        yield from _paths(figure.value, {})
    for term in procedure.rules.terms.values():
        yield from _paths(term.body, {})


def read_by(requirement: Requirement) -> Iterator[tuple[str, ...]]:
    """The paths that one requirement reads itself, not through terms, lists without numbers."""
    above = {} if requirement.each is None else {requirement.singular or "": tuple(requirement.each.split("."))}
    rules = [requirement.require, requirement.applies, *(each.when for each in requirement.unless)]
    for rule in rules:
        if rule is not None:
            yield from _paths(rule, above)


def read_by_term(name: str, procedure: Procedure) -> Iterator[tuple[str, ...]]:
    """The paths that a term reads itself, lists without numbers."""
    yield from _paths(procedure.rules.terms[name].body, {})


def _paths(node: Node, above: Mapping[str, tuple[str, ...]]) -> Iterator[tuple[str, ...]]:
    def whole(field: Field) -> tuple[str, ...]:
        return field.path if field.root is None else (*above.get(field.root, (field.root,)), *field.path)

    match node:
        case Field():
            yield whole(node)
        case Recorded(of=of):
            yield whole(of)
        case Over(of=of, singular=singular, body=body):
            yield from _paths(body, {**above, singular: whole(of)})
            return
        case Interpolate(points=points, where=where, value=value):
            yield (*whole(points), where)
            yield (*whole(points), value)
    for part in parts_of(node):
        yield from _paths(part, above)


def _kind(record: Kind, path: tuple[str, ...]) -> str | None:
    """The kind of a field in one word; None for a group, a list, or what is not the record's own."""
    kind: Kind | None = record
    for name in path:
        kind = kind.item if isinstance(kind, ListKind) else kind
        kind = kind.fields.get(name) if isinstance(kind, GroupKind) else None
    if kind is None or isinstance(kind, GroupKind | ListKind):
        return None
    if isinstance(kind, QuantityKind):
        return kind.dimension.name
    return next((word for word, simple in SIMPLE_KINDS.items() if type(simple) is type(kind)), None)
