"""Kernel tree -> English: what a rule does, so that it can be compared with the printed one.

What is said is what the tree does, and two rules that do different things are never said alike. Alike are only
``3 <= x`` and ``x >= 3``, a covered field and the term that reads it, and an ``and`` or ``or`` inside one of its kind.

A condition is a sentence with numbered points where brackets would be needed. What cannot be said in the middle of a
sentence, such as a choice inside a sum, is put aside under a letter: "at least [A], [A]: the first of these ...".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import assert_never

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
    Shift,
    Term,
    parts_of,
)  # fmt: skip
from ..lang.kinds import Kind, ListKind, YesNoKind
from ..lang.problem import visible
from ..lang.quantity import Quantity
from ..lang.surface import Function
from ..lang.unreduce import surface_of
from .prose_groups import Between, OneOf, alternatives, together
from .prose_names import Bound, Names
from .prose_tree import Prose
from .prose_words import MIRRORED, Writing, compared, figure, rounded, with_commas

_TAIL, _PHRASE, _SUM, _PRODUCT, _SIGN, _ATOM = range(6)
"""How tightly words hang together; what hangs together less than its place asks for stands in brackets."""

Said = tuple[str, int]


def condition(node: Node, names: Names, bound: Bound | None = None) -> Prose:
    """What must hold. ``bound`` has the list of each item that stands for itself, by its singular."""
    return _Writer(_placed(node, names)).holds(node, bound or {})


def amount(node: Node, names: Names, bound: Bound | None = None) -> Prose:
    """What a figure or a term is."""
    return _Writer(_placed(node, names)).whole(node, bound or {})


def _placed(node: Node, names: Names) -> Names:
    """Where a rule speaks of another record, what is in this one is said to be."""
    seen: set[int] = set()
    stack: list[Node] = [node]
    while stack:
        each = stack.pop()
        if id(each) in seen:
            continue
        seen.add(id(each))
        match each:
            case Over(of=of) | Recorded(of=of) | Interpolate(points=of):
                stack.append(of)
            case Field(root=None, path=("evidence", _, *_)):
                return replace(names, here=" in this record")
        stack += parts_of(each)
    return names


class _Writer:
    """One sentence: the letters given so far, and what was put aside in the part that is being written."""

    def __init__(self, names: Names) -> None:
        self.names = names
        self.letters = 0
        self.aside: list[Prose] = []

    # Conditions, and what stands alone

    def holds(self, node: Node, bound: Bound) -> Prose:
        match node:
            case Both(parts=parts):
                points = tuple(self.part(each, bound) for each in together(parts))
                return points[0] if len(points) == 1 else Prose("all of these hold", points)
            case Either(parts=parts):
                points = tuple(self.part(each, bound) for each in alternatives(parts))
                return points[0] if len(points) == 1 else Prose("at least one of these holds", points)
            case Not(of=of):
                return self.denied(of, bound)
            case If() if isinstance(node.kind, YesNoKind):
                return Prose("the first of these that applies decides", self.branches(node, bound))
            case Over(what="every" | "some" as what, of=of, singular=singular, body=body):
                lead = "for every" if what == "every" else "for at least one"
                one, _ = self.items(of, singular, bound)
                inner = self.holds(body, self.inside(of, singular, bound))
                return replace(inner, text=f"{lead} {one}, {inner.text}")
            case _:
                return self.clause(lambda: self.simple(node, bound))

    def part(self, node: Node | OneOf | Between, bound: Bound) -> Prose:
        match node:
            case OneOf(of=of, options=options):
                listed = [self.text(option, bound, _PHRASE) for option in options]
                return self.clause(lambda: f"{self.text(of, bound)} is {with_commas(listed, 'or')}")
            case Between(first=first, second=second):
                return self.clause(lambda: self.between(first, second, bound))
            case _:
                return self.holds(node, bound)

    def denied(self, node: Node, bound: Bound) -> Prose:
        """What must not hold."""
        match node:
            case Either(parts=parts):
                groups = tuple(alternatives(parts))
                match groups:
                    case (OneOf(of=of, options=options),):
                        listed = [self.text(option, bound, _PHRASE) for option in options]
                        return self.clause(lambda: f"{self.text(of, bound)} is none of {with_commas(listed, 'and')}")
                return Prose("none of these holds", tuple(self.part(each, bound) for each in groups))
            case Both(parts=parts):
                return Prose("not all of these hold", tuple(self.part(each, bound) for each in together(parts)))
            case Field() | Parameter() | Term() | Lookup() | Recorded():
                return self.clause(lambda: self.simple(node, bound, denied=True))
        return Prose("this does not hold", (self.holds(node, bound),))

    def clause(self, write: Writing) -> Prose:
        """A part of a sentence on one line, with what was put aside while it was written below it."""
        above, self.aside = self.aside, []
        text = write()
        found, self.aside = self.aside, above
        return Prose(text, tuple(found))

    def simple(self, node: Node, bound: Bound, denied: bool = False) -> str:
        """A condition on one line."""
        match node:
            case Constant(value=bool() as value):
                return "this always holds" if value else "this never holds"
            case NoRule(reason=reason):
                return f"there is nothing to hold this to ({visible(reason.told)})"
            case Compare():
                return self.compare(node, bound)
            case Recorded(of=of):
                return f"{self.field(of, bound)} is {'not ' if denied else ''}recorded"
            case Term():
                return f"{self.text(node, bound)} {'does not hold' if denied else 'holds'}"
            case _:
                return f"{self.text(node, bound)} is {'no' if denied else 'yes'}"

    def compare(self, node: Compare, bound: Bound) -> str:
        left, relation, right = node.left, node.relation, node.right
        if isinstance(left, Constant) and not isinstance(right, Constant):
            left, relation, right = right, MIRRORED[relation], left
        subject = self.text(left, bound)
        return f"{subject} {compared(relation, left.kind, right)} {self.text(right, bound)}"

    def between(self, first: Compare, second: Compare, bound: Bound) -> str:
        """What stands in the middle of a chain is what is spoken of."""
        subject = self.text(second.left, bound)
        below = compared(MIRRORED[first.relation], second.left.kind, first.left)
        above = compared(second.relation, second.left.kind, second.right).removeprefix("is ")
        return f"{subject} {below} {self.text(first.left, bound)} and {above} {self.text(second.right, bound)}"

    def whole(self, node: Node, bound: Bound) -> Prose:
        """A value that stands alone: its choices are points."""
        if isinstance(node.kind, YesNoKind):
            return self.holds(node, bound)
        if isinstance(node, If) and self.pair(node) is None:
            return Prose("the first of these that applies", self.branches(node, bound))
        return self.clause(lambda: self.text(node, bound, _TAIL))

    def branches(self, node: If, bound: Bound) -> tuple[Prose, ...]:
        found: list[Prose] = []
        last: Node = node
        while isinstance(last, If) and self.pair(last) is None:
            found.append(self.branch(last.condition, last.then, bound))
            last = last.otherwise
        otherwise = self.whole(last, bound)
        return (*found, replace(otherwise, text=f"otherwise: {otherwise.text}"))

    def branch(self, when: Node, then: Node, bound: Bound) -> Prose:
        """``if C: V``; the other way round where the condition has points and the value has none."""
        condition, value = self.holds(when, bound), self.whole(then, bound)
        if not condition.points:
            return replace(value, text=f"if {condition.text}: {value.text}")
        if not value.points:
            return replace(condition, text=f"{value.text}, if {condition.text}")
        letter = self.letter()
        return Prose(f"if [{letter}] holds: {value.text}", (*value.points, replace(condition, mark=letter)))

    # Values

    def text(self, node: Node, bound: Bound, least: int = _PHRASE) -> str:
        text, level = self.value(node, bound)
        return text if level >= least else f"({text})"

    def value(self, node: Node, bound: Bound) -> Said:
        """A value in the middle of a sentence, and how tightly its words hang together."""
        match node:
            case Constant():
                text = figure(node)
                # A fraction would be a part of what it stands in: 1/2 in ÷ 2.
                number = text.partition(" ")[0] if isinstance(node.value, Quantity) else ""
                return text, _PHRASE if number == "minus" or "/" in number else _ATOM
            case NoRule(reason=reason):
                return f"no figure ({visible(reason.told)})", _ATOM
            case Field():
                return self.field(node, bound), _ATOM
            case Parameter(name=name):
                return f"the given {name.replace('_', ' ')}", _ATOM
            case Term(name=name, arguments=arguments):
                return self.term(name, arguments, node.kind, bound), _ATOM
            case Lookup(table=table, keys=keys):
                said = self.names.tables.get(table, f"“{table}”")
                return self.cited(table, said, f"for {self.listed(keys, bound)}"), _ATOM
            case Band(of=of):
                return self.value(of, bound)
            case Add() | Multiply() | Divide() | Negate() | Absolute() | Round():
                return self.reckoned(node, bound)
            case Shift(date=date, by=Constant() as by):
                return f"{figure(by)} after {self.text(date, bound, _ATOM)}", _PHRASE
            case Shift(date=date, by=by):
                return f"{self.text(date, bound, _ATOM)} moved on by {self.text(by, bound, _ATOM)}", _PHRASE
            case DaysBetween(left=left, right=right):
                start, end = self.text(right, bound, _ATOM), self.text(left, bound, _ATOM)
                return f"the number of days from {start} to {end}", _PHRASE
            case If():
                pair = self.pair(node)
                if pair is None:
                    return f"[{self.put_aside(self.whole(node, bound))}]", _ATOM
                a, b = (self.text(each, bound, _ATOM) for each in (node.then, node.otherwise))
                return f"the {'larger' if pair == 'largest' else 'smaller'} of {a} and {b}", _PHRASE
            case Over(what="count" | "smallest" | "largest" | "sum" | "mean"):
                return self.over(node, bound)
            case Interpolate(points=points, where=where, value=value, at=at):
                return self.interpolated(points, where, value, at, bound), _TAIL
            case Compare() | Not() | Both() | Either() | Over() | Recorded():
                return f"whether [{self.put_aside(self.holds(node, bound))}] holds", _PHRASE
            case _:
                assert_never(node)

    def reckoned(self, node: Add | Multiply | Divide | Negate | Absolute | Round, bound: Bound) -> Said:
        match node:
            case Add(left=left, right=Negate(of=of)):
                return f"{self.text(left, bound, _SUM)} − {self.text(of, bound, _PRODUCT)}", _SUM
            case Add(left=left, right=right):
                return f"{self.text(left, bound, _SUM)} + {self.text(right, bound, _PRODUCT)}", _SUM
            case Multiply(left=left, right=right):
                return f"{self.text(left, bound, _PRODUCT)} × {self.text(right, bound, _SIGN)}", _PRODUCT
            case Divide(left=left, right=right):
                return f"{self.text(left, bound, _PRODUCT)} ÷ {self.text(right, bound, _SIGN)}", _PRODUCT
            case Negate(of=of):
                return f"−{self.text(of, bound, _ATOM)}", _SIGN
            case Absolute(of=of):
                return f"the absolute value of {self.text(of, bound, _ATOM)}", _PHRASE
            case Round(way=way, of=of, step=step, ties=ties):
                return f"{self.text(of, bound, _SUM)}, {rounded(way, step, ties)}", _TAIL
            case _:
                assert_never(node)

    def over(self, node: Over, bound: Bound) -> Said:
        _, all_ = self.items(node.of, node.singular, bound)
        inside = self.inside(node.of, node.singular, bound)
        if node.what != "count":
            return f"the {node.what} over all {all_} of {self.text(node.body, inside, _ATOM)}", _PHRASE
        each = self.holds(node.body, inside)
        if each.points:
            return f"the number of {all_} for which [{self.put_aside(each)}] holds", _PHRASE
        return f"the number of {all_} for which ({each.text})", _PHRASE

    def interpolated(self, points: Field, where: str, value: str, at: Node, bound: Bound) -> str:
        singular = points.kind.singular if isinstance(points.kind, ListKind) else "item"
        _, all_ = self.items(points, singular, bound)
        path = self.path(points, bound)
        what, place = (self.names.at(f"{path}.{name}", of_item=True) for name in (value, where))
        line = f"on the straight line between neighbouring {all_} and never beyond them"
        return f"{what} where {place} is {self.text(at, bound, _ATOM)}, {line}"

    def term(self, name: str, arguments: tuple[Node, ...], kind: Kind, bound: Bound) -> str:
        if not arguments and " " in name:
            # No name of an edition has a space: this is a field that is read through a term of the engine.
            return self.names.of(Field(None, tuple(name.rpartition(" ")[2].split(".")), kind=kind), bound)
        said = self.names.terms.get(name, f"“{name}”")
        return self.cited(name, said, f"for {self.listed(arguments, bound)}" if arguments else "")

    def cited(self, name: str, said: str, of: str) -> str:
        """A term or a table with where it stands and what it is taken for."""
        behind = ", ".join(part for part in (self.names.clauses.get(name, ""), of) if part)
        return f"{said} ({behind})" if behind else said

    def listed(self, nodes: tuple[Node, ...], bound: Bound) -> str:
        return with_commas([self.text(node, bound, _SUM) for node in nodes], "and")

    def field(self, node: Field, bound: Bound) -> str:
        return self.names.of(node, bound)

    def items(self, of: Field, singular: str, bound: Bound) -> tuple[str, str]:
        """One item of a list, and all of them."""
        one, all_ = self.names.items(self.path(of, bound), singular)
        return (one, all_) if of.root is None else (f"{one} of the {of.root}", f"{all_} of the {of.root}")

    def inside(self, of: Field, singular: str, bound: Bound) -> Mapping[str, str]:
        return {**bound, singular: self.path(of, bound)}

    def path(self, of: Field, bound: Bound) -> str:
        """From the record, through lists without numbers."""
        above = None if of.root is None else bound.get(of.root)
        return ".".join(of.path if above is None else (above, *of.path))

    def pair(self, node: If) -> str | None:
        """Whether this is the larger or the smaller of two; None for any other choice."""
        match surface_of(node):
            case Function(name="largest" | "smallest" as name):
                return name
        return None

    def put_aside(self, prose: Prose) -> str:
        letter = self.letter()
        self.aside.append(replace(prose, mark=letter))
        return letter

    def letter(self) -> str:
        number, text = self.letters, ""
        self.letters += 1
        while number >= 0:
            number, text = number // 26 - 1, chr(ord("A") + number % 26) + text
        return text
