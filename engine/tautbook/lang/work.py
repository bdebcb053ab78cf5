"""How much work a rule is, told before it is done: what keeps a small file from asking for an endless reckoning."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from .kernel import Field, If, Node, Over, Term, parts_of


@dataclass(frozen=True, slots=True)
class Size:
    """``depth``: nodes inside each other; ``steps``: nodes evaluated at most. Both with the terms that are called."""

    depth: int
    steps: int


def size(node: Node, terms: Mapping[str, Size], length: Callable[[Field], int]) -> Size:
    """The size of a rule. ``terms`` has that of each term it calls; ``length`` gives how many items a list may hold."""
    below = [size(part, terms, length) for part in _worked_out(node)]
    deepest = max((part.depth for part in below), default=0)
    steps = sum(part.steps for part in below)
    match node:
        case Term(name=name):
            return Size(1 + max(deepest, terms[name].depth), 1 + steps + terms[name].steps)
        case Over(of=listed):
            return Size(1 + deepest, 1 + steps * length(listed))
        case _:
            return Size(1 + deepest, 1 + steps)


def _worked_out(node: Node) -> tuple[Node, ...]:
    """The parts that are worked out: of ``largest(a, b)`` the branches were, in the condition that compares them."""
    if not isinstance(node, If):
        return parts_of(node)
    compared = parts_of(node.condition)
    branches = (node.then, node.otherwise)
    return (node.condition, *(each for each in branches if not any(each is other for other in compared)))
