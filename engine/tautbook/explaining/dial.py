"""The mark of a dial to stop at: the least (or the most) that can be read there and meets a limit.

A limit of 182.4 kN on a dial of whole kN is met from 183 on. Where the rule corrects the reading first, every mark
between the first and the last point of the correction table is tried, which inverts any correction exactly.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..editions.edition import Procedure, Requirement
from ..lang.evaluate import evaluate, resolve
from ..lang.kernel import Compare, Interpolate, Node, Term, parts_of
from ..lang.operations import rounded, words
from ..lang.quantity import Quantity
from ..lang.values import Data, Group, Items, Leaf, data_at, with_leaf
from ..shape.vocabulary import Vocabulary
from .comparisons import Comparison

_MOST_MARKS = 20_000


def dial_figure(
    comparison: Comparison, requirement: Requirement, procedure: Procedure, vocabulary: Vocabulary, known: Group
) -> Quantity | None:
    """The mark in the step that the reading is read in; None where that step or the reading is not known."""
    node = comparison.node
    path = comparison.unknown
    if node is None or path is None or comparison.relation not in ("<=", "<", ">=", ">"):
        return None
    info = vocabulary.fields.get(path)
    step = None if info is None or info.read_in is None else _quantity(known, info.read_in)
    if step is None or step.value <= 0:
        return None
    upwards = comparison.relation in (">=", ">")
    marks = _marks(comparison, node, procedure, known, step, upwards)
    for mark in marks:
        bound = _with_reading(requirement, path, mark)
        if evaluate(node, procedure.rules, known, bound).value is comparison.wanted:
            return mark
    return None


def _quantity(known: Group, path: str) -> Quantity | None:
    data = data_at(known, path)
    return data.value if isinstance(data, Leaf) and isinstance(data.value, Quantity) else None


def _marks(
    comparison: Comparison, node: Compare, procedure: Procedure, known: Group, step: Quantity, upwards: bool
) -> Iterator[Quantity]:
    """Marks in the order in which they are tried: the first that meets the limit is the one to stop at."""
    points = points_of(node, procedure)
    if points is None:
        # The reading is compared as read: the mark is next to the limit itself.
        limit = comparison.limit.value if comparison.limit is not None else None
        if isinstance(limit, Quantity):
            first = rounded("up" if upwards else "down", limit, step, None)
            assert isinstance(first, Quantity)
            sign = 1 if upwards else -1
            yield from (Quantity(first.value + sign * n * step.value, step.unit) for n in range(2))
        return
    data = resolve(points.points, known, {})
    if not isinstance(data, Items):
        return
    places = [item.fields.get(points.where) for item in data.items if isinstance(item, Group)]
    values = [leaf.value for leaf in places if isinstance(leaf, Leaf) and isinstance(leaf.value, Quantity)]
    if not values:
        return
    low = min(value.value for value in values) / step.value
    high = max(value.value for value in values) / step.value
    numbers = range(low.__ceil__(), high.__floor__() + 1)
    if len(numbers) <= _MOST_MARKS:
        for number in numbers if upwards else reversed(numbers):
            yield Quantity(number * step.value, step.unit)


def points_of(node: Node, procedure: Procedure) -> Interpolate | None:
    """The correction table that a rule reads, through its terms as well."""
    seen: set[int] = set()
    stack: list[Node] = [node]
    while stack:
        at = stack.pop()
        if isinstance(at, Interpolate):
            return at
        if id(at) not in seen:
            seen.add(id(at))
            stack += parts_of(at)
            if isinstance(at, Term):
                stack.append(procedure.rules.terms[at.name].body)
    return None


def _with_reading(requirement: Requirement, path: str, mark: Quantity) -> Mapping[str, Data]:
    """An item that holds this one reading."""
    assert requirement.each is not None and requirement.singular is not None
    item = Group(requirement.each, {})
    leaf = Leaf(path, mark, words(mark))
    return {requirement.singular: with_leaf(item, path.removeprefix(f"{requirement.each}."), leaf)}
