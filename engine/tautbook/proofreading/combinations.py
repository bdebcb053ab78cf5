"""Combinations of covered values: what every rule of an edition is tried on, with nothing else known."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from math import prod

from ..editions.edition import Procedure
from ..lang.kernel import Cell, Node, Rules, Term, parts_of
from ..lang.operations import words
from ..lang.values import Group, Leaf, with_leaf

MOST = 2_000
"""Combinations that one rule is tried on."""
STEPS = 1_000_000
"""Steps that trying all rules of an edition may take, together."""
EACH = 20
"""Steps that a combination takes besides those of the rule."""


@dataclass(frozen=True, slots=True)
class Combination:
    values: tuple[tuple[str, str], ...]
    """Path and value as people write it."""
    leaves: tuple[Leaf, ...] = field(hash=False, compare=False, repr=False)

    def put_into(self, group: Group) -> Group:
        """``group`` with these values known."""
        for leaf in self.leaves:
            group = with_leaf(group, leaf.path, leaf)
        return group

    @property
    def told(self) -> str:
        return ", ".join(f"{path} {value}" for path, value in self.values) or "whatever is tested"


@dataclass(frozen=True, slots=True)
class Tries:
    combinations: tuple[Combination, ...]
    all: int
    """How many there are; more than were taken where these are a sample."""

    @property
    def sampled(self) -> bool:
        return self.all > len(self.combinations)


def covered(rules: Rules) -> Mapping[str, tuple[Cell, ...]]:
    """The values that an edition covers, by the path of their field."""
    return {table.name: tuple(table.cells.values()) for table in rules.tables.values() if table.covers}


def reads(nodes: Iterable[Node], rules: Rules) -> tuple[str, ...]:
    """The covered fields that rules read, through their terms as well, in the order of the covers."""
    called = {node.name for node in nodes_of(nodes, rules) if isinstance(node, Term)}
    return tuple(path for path in covered(rules) if f"covers {path}" in called)


def nodes_of(nodes: Iterable[Node], rules: Rules) -> Iterator[Node]:
    """All nodes of rules and of the terms that they call, each once; not how a covered field is read."""
    seen: set[int] = set()
    done: set[str] = set()
    stack = list(nodes)
    while stack:
        node = stack.pop()
        if id(node) in seen:
            continue
        seen.add(id(node))
        yield node
        stack += parts_of(node)
        if isinstance(node, Term) and node.name not in done and not is_cover(node):
            done.add(node.name)
            stack.append(rules.terms[node.name].body)


def is_cover(node: Node) -> bool:
    """No name of an edition has a space; the engine's own terms, which read covered fields, do."""
    return isinstance(node, Term) and " " in node.name


def tries(paths: Iterable[str], procedure: Procedure, most: int) -> Tries:
    """Every combination of the covered values of ``paths``; a sample with every single value if there are too many."""
    values = covered(procedure.rules)
    axes = [(path, values[path]) for path in paths]
    number = prod(len(cells) for _, cells in axes)
    if number <= most:
        return Tries(tuple(_combination(axes, index) for index in range(number)), number)
    if most <= 0:
        return Tries((), number)
    indexes = dict.fromkeys(_single_values(axes))
    # A step through the whole range, so that the sample is spread over it.
    step = number // most + 1
    indexes |= dict.fromkeys(range(0, number, step))
    return Tries(tuple(_combination(axes, index) for index in list(indexes)[:most]), number)


def _single_values(axes: list[tuple[str, tuple[Cell, ...]]]) -> Iterator[int]:
    """The combinations that have each value once, all others being the first ones."""
    weight = 1
    for _, cells in reversed(axes):
        yield from (i * weight for i in range(len(cells)))
        weight *= len(cells)


def _combination(axes: list[tuple[str, tuple[Cell, ...]]], index: int) -> Combination:
    """The ``index``-th combination; the last axis changes first."""
    chosen: list[tuple[str, Cell]] = []
    for path, cells in reversed(axes):
        index, i = divmod(index, len(cells))
        chosen.append((path, cells[i]))
    leaves = tuple(Leaf(path, cell.value, words(cell.value)) for path, cell in reversed(chosen))
    return Combination(tuple((leaf.path, leaf.written) for leaf in leaves), leaves)
