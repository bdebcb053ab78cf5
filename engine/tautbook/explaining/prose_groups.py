"""What is said in one breath: words of one choice, and a value between two others.

The checker takes ``is one of`` and chains apart; here they are found again, as neighbours in an ``or`` or an ``and``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from ..lang.kernel import Compare, Constant, Node
from ..lang.unreduce import print_kernel

_UPWARDS = ("<", "<=")
_DOWNWARDS = (">", ">=")


@dataclass(frozen=True, slots=True)
class OneOf:
    """``of`` is one of two or more figures or words."""

    of: Node
    options: tuple[Constant, ...]


@dataclass(frozen=True, slots=True)
class Between:
    """A chain of two comparisons, ``first.right`` being ``second.left``."""

    first: Compare
    second: Compare


def alternatives(parts: tuple[Node, ...]) -> Iterator[Node | OneOf]:
    """The parts of an ``or``; neighbours that ask the same thing for one value each are one part."""
    for run in _runs(parts, _is_one_more):
        options = tuple(each.right for each in run if isinstance(each, Compare) and isinstance(each.right, Constant))
        first = run[0]
        yield OneOf(first.left, options) if len(run) > 1 and isinstance(first, Compare) else first


def together(parts: tuple[Node, ...]) -> Iterator[Node | Between]:
    """The parts of an ``and``; two neighbours that are a chain are one part."""
    left = list(parts)
    while left:
        first = left.pop(0)
        if left and _is_chain(first, left[0]):
            second = left.pop(0)
            assert isinstance(first, Compare) and isinstance(second, Compare)
            yield Between(first, second)
        else:
            yield first


def _runs(parts: tuple[Node, ...], goes_on: Callable[[Node, Node], bool]) -> Iterator[list[Node]]:
    run: list[Node] = []
    for part in parts:
        if run and not goes_on(run[0], part):
            yield run
            run = []
        run.append(part)
    yield run


def _is_one_more(first: Node, part: Node) -> bool:
    return (
        isinstance(first, Compare) and isinstance(part, Compare)
        and first.relation == "=" == part.relation
        and isinstance(first.right, Constant) and isinstance(part.right, Constant)
        and not isinstance(first.left, Constant)
        and not isinstance(first.right.value, bool) and not isinstance(part.right.value, bool)
        and same(first.left, part.left)
    )  # fmt: skip


def _is_chain(first: Node, second: Node) -> bool:
    return (
        isinstance(first, Compare) and isinstance(second, Compare)
        and any(first.relation in way and second.relation in way for way in (_UPWARDS, _DOWNWARDS))
        and not isinstance(first.right, Constant)
        and same(first.right, second.left)
    )  # fmt: skip


def same(a: Node, b: Node) -> bool:
    """Whether two parts are one, by their text: comparing trees that share parts could take very long."""
    return a is b or (type(a) is type(b) and print_kernel(a) == print_kernel(b))
