"""Two rules that do different things are never said alike: generated rules, and each of them changed at every node."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import islice

import pytest

from lang.cases import checked, generated
from tautbook import Shelf
from tautbook.editions.edition import Procedure
from tautbook.explaining.prose_kernel import amount, condition
from tautbook.explaining.prose_names import Bound, Names, names_of
from tautbook.explaining.prose_tree import Prose, flat, lines
from tautbook.lang.calendar import CalendarSpan
from tautbook.lang.kernel import (
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
    Shift,
    Term,
)  # fmt: skip
from tautbook.lang.kinds import YesNoKind
from tautbook.lang.quantity import Quantity
from tautbook.lang.unreduce import print_kernel
from tautbook.lang.values import Stuck

RELATIONS = ("=", "!=", "<", "<=", ">", ">=")
MIRRORED = dict(zip(RELATIONS, ("=", "!=", ">", ">=", "<", "<="), strict=True))
PLAIN = Names(None)


def meaning(node: Node) -> str:
    """A digest of the rule, with what may be said alike made one: that is all that these tests let pass.

    A figure compared with something is that compared with the figure; an ``and`` in an ``and`` is one; a covered
    field is read through a term of the engine; where the rows of a table are bands, a key is always found by band.
    """
    known: dict[int, tuple[Node, str]] = {}

    def of(node: Node) -> str:
        # Each node once: the branches of `largest(a, b)` are the nodes that its condition compares. The node is kept,
        # so that its identity stays its own.
        if id(node) not in known:
            known[id(node)] = node, found(node)
        return known[id(node)][1]

    def found(node: Node) -> str:
        parts, what = below(node), own(node)
        match node:
            case Compare(left=Constant() as left, relation=relation, right=right) if not isinstance(right, Constant):
                parts, what = [right, left], (MIRRORED[relation],)
            case Both() | Either():
                parts = list(level(node))
            case Term(name=name, arguments=()) if " " in name:
                return of(Field(None, tuple(name.rpartition(" ")[2].split(".")), kind=node.kind))
            case Band(of=inner):
                return of(inner)
        text = "|".join([type(node).__name__, repr(what), *map(of, parts)])
        return hashlib.sha256(text.encode()).hexdigest()

    def level(node: Both | Either) -> Iterator[Node]:
        for part in node.parts:
            yield from level(part) if isinstance(part, type(node)) else (part,)

    return of(node)


def own(node: Node) -> tuple[object, ...]:
    """What a node says itself, beside its parts."""
    match node:
        case Constant(value=Quantity() as value):
            return value.value, value.dimension.name
        case Constant(value=value):
            return (value,)
        case NoRule(reason=reason):
            return (reason,)
        case Field(root=root, path=path):
            return root, path
        case Parameter(name=name) | Term(name=name) | Lookup(table=name) | Compare(relation=name):
            return (name,)
        case Round(way=way, step=step, ties=ties):
            return way, step.value, step.dimension.name, ties
        case Over(what=what, of=of):
            return what, *own(of)
        case Interpolate(points=of) | Recorded(of=of):
            return own(of)
    return ()


def below(node: Node) -> list[Node]:
    match node:
        case Term(arguments=parts) | Lookup(keys=parts) | Both(parts=parts) | Either(parts=parts):
            return list(parts)
        case Band(of=of) | Negate(of=of) | Absolute(of=of) | Round(of=of) | Not(of=of):
            return [of]
        case Add() | Multiply() | Divide() | DaysBetween() | Compare():
            return [node.left, node.right]
        case Shift(date=date, by=by):
            return [date, by]
        case If(condition=when, then=then, otherwise=otherwise):
            return [when, then, otherwise]
        case Over(body=body):
            return [body]
        case Interpolate(at=at):
            return [at]
    return []


def rebuilt(node: Node, parts: list[Node]) -> Node:
    """The node with other parts, the same number of them."""
    match node:
        case Term():
            return replace(node, arguments=tuple(parts))
        case Lookup():
            return replace(node, keys=tuple(parts))
        case Both() | Either():
            return replace(node, parts=tuple(parts))
        case Band() | Negate() | Absolute() | Round() | Not():
            return replace(node, of=parts[0])
        case Add() | Multiply() | Divide() | DaysBetween() | Compare():
            return replace(node, left=parts[0], right=parts[1])
        case Shift():
            return replace(node, date=parts[0], by=parts[1])
        case If():
            return replace(node, condition=parts[0], then=parts[1], otherwise=parts[2])
        case Over():
            return replace(node, body=parts[0])
        case Interpolate():
            return replace(node, at=parts[0])
    return node


def changed(node: Node, here: Callable[[Node], Iterator[Node]]) -> Iterator[Node]:
    """The rule with each node in turn put otherwise."""
    yield from here(node)
    parts = below(node)
    for i, part in enumerate(parts):
        for other in changed(part, here):
            yield rebuilt(node, [*parts[:i], other, *parts[i + 1 :]])


def otherwise(node: Node) -> Iterator[Node]:
    """Ways in which one node can be mistaken for another."""
    if isinstance(node.kind, YesNoKind):
        yield Not(node, kind=node.kind)
        yield Recorded(node, kind=node.kind) if isinstance(node, Field) else Either((node, node), kind=node.kind)
    match node:
        case Constant(value=Quantity() as value):
            yield replace(node, value=Quantity(value.value + Fraction(1, 1000) * value.unit.scale, value.unit))
            yield replace(node, value=Quantity(-value.value, value.unit))
            yield Negate(node, kind=node.kind)
        case Constant(value=bool() as value):
            yield replace(node, value=not value)
        case Constant(value=str() as value):
            yield replace(node, value=f"{value} ")
        case Constant(value=datetime.date() as value):
            yield replace(node, value=value + datetime.timedelta(1))
        case Constant(value=CalendarSpan() as value):
            yield replace(node, value=CalendarSpan(value.months + 1, value.days))
            yield replace(node, value=CalendarSpan(value.months, value.days + 1))
        case Field(root=root, path=path):
            yield replace(node, root="thing" if root is None else None)
            yield replace(node, path=(*path, "more"))
            yield replace(node, path=("other", *path[1:]))
        case Compare(left=left, relation=relation, right=right):
            for other in RELATIONS:
                yield replace(node, relation=other)  # type: ignore[arg-type]  # one of them
            yield replace(node, left=right, right=left)
            yield replace(node, left=right, right=left, relation=MIRRORED[relation])  # type: ignore[arg-type]
            yield Both((node, Compare(right, relation, left, kind=node.kind)), kind=node.kind)
        case Not(of=of):
            yield of
        case Both(parts=parts) | Either(parts=parts):
            yield (Either if isinstance(node, Both) else Both)(parts, kind=node.kind)
            yield replace(node, parts=parts[1:]) if len(parts) > 2 else parts[0]
            yield replace(node, parts=parts[::-1])
            yield replace(node, parts=(*parts, parts[0]))
            first, *rest = parts
            if len(rest) > 1:
                other_word = Both if isinstance(node, Either) else Either
                yield replace(node, parts=(first, other_word(tuple(rest), kind=node.kind)))
            yield replace(node, parts=(Not(first, kind=node.kind), *rest))
        case If(condition=when, then=then, otherwise=other):
            yield replace(node, then=other, otherwise=then)
            yield replace(node, condition=Not(when, kind=when.kind))
            yield then
            yield If(when, If(when, then, other, kind=node.kind), other, kind=node.kind)
            yield If(when, then, If(when, then, other, kind=node.kind), kind=node.kind)
        case Over(of=of):
            for what in ("count", "every", "some", "smallest", "largest", "sum", "mean"):
                yield replace(node, what=what)  # type: ignore[arg-type]  # one of them
            yield replace(node, of=replace(of, path=(*of.path, "more")))
        case Round(way=way, of=of, step=step, ties=ties):
            yield replace(node, step=Quantity(step.value * 2, step.unit))
            yield replace(node, way="up", ties=None) if way != "up" else replace(node, way="down")
            yield replace(node, way="nearest", ties="even" if ties == "up" else "up")
            yield of
        case Add(left=left, right=right) | Multiply(left=left, right=right):
            yield replace(node, left=right, right=left)
            yield Divide(left, right, kind=node.kind)
            yield replace(node, right=Negate(right, kind=right.kind))
            yield (Multiply if isinstance(node, Add) else Add)(left, right, kind=node.kind)
            if isinstance(left, Add | Multiply):
                yield replace(left, right=replace(node, left=left.right))
            if isinstance(right, Add | Multiply | Negate):
                yield Negate(node, kind=node.kind)
        case Divide(left=left, right=right) | DaysBetween(left=left, right=right):
            yield replace(node, left=right, right=left)
            yield Multiply(left, right, kind=node.kind)
        case Negate(of=of) | Absolute(of=of):
            yield of
            yield (Absolute if isinstance(node, Negate) else Negate)(of, kind=node.kind)
        case Term(name=name) if " " not in name:
            yield replace(node, name=f"{name}_2")
        case Lookup(table=table, keys=keys):
            yield replace(node, table=f"{table}_2")
            yield Term(f"{table}_of", keys, kind=node.kind)
        case Recorded(of=of):
            yield of
        case Interpolate(points=points):
            yield replace(node, points=replace(points, path=("other",)))
    yield NoRule(Stuck("no rule", "nothing is said of this"), kind=node.kind)


@dataclass
class Heard:
    """What each sentence meant so far."""

    by_text: dict[str, tuple[str, Node]] = field(default_factory=dict)

    def hear(self, node: Node, prose: Prose) -> None:
        text, means = flat(prose), meaning(node)
        before, other = self.by_text.setdefault(text, (means, node))
        if before != means:
            pytest.fail(f"{text}\n  {print_kernel(other)}\n  {print_kernel(node)}")


def said(node: Node, names: Names, bound: Bound | None = None) -> Prose:
    return (condition if isinstance(node.kind, YesNoKind) else amount)(node, names, bound)


@pytest.mark.parametrize("seed", range(4))
def test_generated_rules_and_all_their_neighbours(seed: int) -> None:
    heard = Heard()
    small = (case for case in generated(800, 7_000 + seed) if len(case.text) < 90)
    for case in small:
        for node in (case.node, *islice(changed(case.node, otherwise), 400)):
            heard.hear(node, said(node, PLAIN))
    assert len(heard.by_text) > 3_000


@pytest.mark.parametrize("edition", ["2016", "2021", "2025"])
def test_shipped_rules_and_all_their_neighbours(edition: str) -> None:
    found = Shelf.default().edition("tern-sound", edition)
    for procedure in found.procedures.values():
        heard, names = Heard(), names_of(found, procedure.id)
        others = [tuple(path.split(".")) for path in names.words.fields] if names.words else []

        def here(node: Node, others: list[tuple[str, ...]] = others) -> Iterator[Node]:
            yield from otherwise(node)
            if isinstance(node, Field) and node.root is None:
                yield from (replace(node, path=path) for path in others)

        for rule, bound in rules_of(procedure):
            for node in (rule, *changed(rule, here)):
                heard.hear(node, said(node, names, bound))
        assert len(heard.by_text) > 1_000


def rules_of(procedure: Procedure) -> Iterator[tuple[Node, Bound]]:
    for each in procedure.requirements:
        bound = {} if each.each is None else {each.singular or "": each.each}
        for rule in (each.require, each.applies, *(named.when for named in each.unless)):
            if rule is not None and not each.covers:
                yield rule, bound
    for name, term in procedure.rules.terms.items():
        if " " not in name:
            yield term.body, {}


def test_labels_are_told_apart_and_letters_are_explained() -> None:
    """Every point has its own label, and what is put aside under a letter stands below where it is named."""
    for case in generated(1_500, 11):
        laid_out = list(lines(said(case.node, PLAIN)))
        labels = [line.label for line in laid_out if line.label]
        assert len(set(labels)) == len(labels)
        whole = " ".join(line.text for line in laid_out)
        letters = [label for label in labels if label.startswith("[")]
        assert all(whole.count(letter) == 1 for letter in letters), whole


def test_a_deep_choice_is_said_in_time() -> None:
    text = "ratio"
    for _ in range(28):
        text = f"largest({text}, ratio)"
    assert len(flat(amount(checked(text), PLAIN))) < 2_000
    rule = f"{text} <= factor and {text} <= 2"
    assert flat(condition(checked(rule), PLAIN)).count("the larger of") == 56
