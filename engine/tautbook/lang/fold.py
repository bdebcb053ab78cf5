"""Kernel tree and what is known so far -> a smaller kernel tree: what remains is a rule in plain numbers.

Folding is evaluating on what is known, and keeping of the rule only what that did not decide. It changes no
answer: on any record that holds what was known (and more), the folded rule comes to the same value as the
whole one, or stays open for the same reasons. There is no algebra: ``0 * x`` stays open while x is.

A list in what is known holds all of its items; those still to come are empty groups in it. A list that is not
there at all may still come. Where both branches of an open ``if`` are one value in two units, the unit of the first
is kept.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from .evaluate import Step, evaluate
from .kernel import (
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
    Recorded,
    Round,
    Rules,
    Shift,
    Term,
    parts_of,
)  # fmt: skip
from .values import Data, Group, Open, Stuck


def fold(node: Node, rules: Rules, known: Group, bound: Mapping[str, Data] | None = None) -> Node:
    """``node`` with everything put in that ``known`` and the items in ``bound`` already decide.

    A decided part is a ``Constant``, one that is stuck for a single reason whatever comes a ``NoRule``. Names that
    are not in ``bound`` stay free. A band stays inside of a look-up that stays. ``node`` is a whole rule: it holds no
    parameter outside of the terms it calls.
    """
    free: Mapping[str, Data] = {name: _nothing_of(name) for name in _names(node, {})}
    return _Fold(rules, known, {**free, **(bound or {})}).whole(node)


def _nothing_of(name: str) -> Group:
    """What is known of a name that stays free."""
    return Group(name, {})


class _Fold:
    """One folding under one meaning of the names. ``done`` holds each part that was reached on two ways (as those of
    ``largest(a, b)`` are) once; it keeps the steps too, so that their identities stay theirs."""

    def __init__(self, rules: Rules, known: Group, bound: Mapping[str, Data]) -> None:
        self.rules, self.known, self.bound = rules, known, bound
        self.done: dict[tuple[int, int], tuple[Step, Node]] = {}

    def whole(self, node: Node) -> Node:
        return self.part(node, evaluate(node, self.rules, self.known, self.bound))

    def part(self, node: Node, step: Step) -> Node:
        key = id(node), id(step)
        if key not in self.done:
            self.done[key] = step, _decided(node, step) or self.remaining(node, step)
        return self.done[key][1]

    def remaining(self, node: Node, step: Step) -> Node:
        """A node that is not decided, with its parts folded."""
        match node:
            case If(then=then, otherwise=otherwise) if len(step.parts) == 2:
                condition, branch = step.parts
                return self.part(then if condition.value else otherwise, branch)
            case Over(singular=singular, body=body):
                inner = _Fold(self.rules, self.known, {**self.bound, singular: _nothing_of(singular)})
                return replace(node, body=inner.whole(body))
            case _:
                steps = step.parts[1:] if isinstance(node, Term) else step.parts
                return _with(node, tuple(map(self.part, parts_of(node), steps)))


def _decided(node: Node, step: Step) -> Node | None:
    """The constant or the single reason that ``node`` has come to, whatever is still to come."""
    value = step.value
    if isinstance(node, Band):
        return None  # a band is no value of its own: people read the figure it was found by
    if not isinstance(value, Open):
        return Constant(value, kind=node.kind, span=node.span)
    reason, *others = value.reasons
    if others or not isinstance(reason, Stuck) or value.at_least is not None or value.at_most is not None:
        return None  # bounds may still decide a comparison, though the value itself is stuck
    return NoRule(reason, kind=node.kind, span=node.span)


def _with(node: Node, parts: tuple[Node, ...]) -> Node:
    """``node`` with other parts inside; in ``and`` and ``or`` only those that still count."""
    match node, parts:
        case Both() | Either(), _:
            return _junction(node, parts)
        case Term(), _:
            return replace(node, arguments=parts)
        case Lookup(), _:
            return replace(node, keys=parts)
        case Band() | Negate() | Absolute() | Round() | Not(), (of,):
            return replace(node, of=of)
        case Add() | Multiply() | Divide() | DaysBetween() | Compare(), (left, right):
            return replace(node, left=left, right=right)
        case Shift(), (date, by):
            return replace(node, date=date, by=by)
        case If(), (condition, then, otherwise):
            return replace(node, condition=condition, then=then, otherwise=otherwise)
        case Interpolate(), (at,):
            return replace(node, at=at)
        case _:
            return node


def _junction(node: Both | Either, parts: tuple[Node, ...]) -> Node:
    """A known part that did not decide says nothing more, and a part of the same word is one level with it."""
    still: list[Node] = []
    for part in parts:
        if not isinstance(part, Constant):
            still += part.parts if isinstance(part, type(node)) else (part,)
    return still[0] if len(still) == 1 else replace(node, parts=tuple(still))


def _names(node: Node, seen: dict[int, Node]) -> set[str]:
    """Names of items that a rule speaks of, each node looked at once."""
    if id(node) in seen:
        return set()
    seen[id(node)] = node
    match node:
        case Field(root=str() as root):
            return {root}
        case Recorded(of=field):
            return _names(field, seen)
        case Over(of=field) | Interpolate(points=field):
            found = _names(field, seen)
        case _:
            found = set()
    return found.union(*(_names(part, seen) for part in parts_of(node)))
