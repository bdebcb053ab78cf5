"""Conditions that others shadow: parts, branches, exceptions and requirements that decide nothing.

Each is tried on every combination of covered values; only what decides nothing on any of them is told. A term counts
wherever it is called.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import permutations

from ..lang.evaluate import Step, evaluate
from ..lang.kernel import Both, Compare, Constant, Either, If, Over, Parameter, Rules, Term, parts_of
from ..lang.source import Span
from ..lang.values import Data, Group, Open
from .combinations import is_cover
from .condition_ways import ALWAYS, NEVER, Ways, all_of, apart
from .conditions import Conditions
from .galley import Galley
from .report import Finding, remark
from .shadowed_rules import exceptions, requirements
from .shadowed_words import quoted, seen_at
from .survey import Survey, known_on

MOST_COMPARED = 300_000
"""Comparisons of one part with another, of one edition; of what is left nothing is said."""

_Place = tuple[str, int, int]


def shadowed(copy: Galley, survey: Survey) -> Iterator[Finding]:
    found = _Found(left=MOST_COMPARED)
    for each in survey.requirements:
        for tried in each.tried:
            walk = _Walk(found, each.procedure.rules, known_on(tried.combination, each.requirement, each.procedure))
            steps = (tried.require, *tried.unless) if tried.live else ()
            for step in (tried.applies, *steps):
                if step is not None:
                    walk.into(step, each.tries.sampled)
    for figure in survey.figures:
        for combination, step in figure.tried:
            walk = _Walk(found, figure.procedure.rules, (combination.put_into(Group("", {})), {}))
            walk.into(step, figure.tries.sampled)
    for junction in found.junctions.values():
        yield from junction.told()
    for branches in found.branches.values():
        yield from branches.told()
    yield from exceptions(survey)
    yield from requirements(copy, survey)


@dataclass(slots=True)
class _Junction:
    """One ``and`` or ``or``, over all combinations and calls."""

    node: Both | Either
    implied: set[tuple[int, int]]
    """Parts (by number) that have said nothing besides the second one so far."""
    settled: list[bool | str | None]
    """What each part came to so far: the one value, None where it is not always known or not always the same."""
    open: set[int] = field(default_factory=set)
    """Parts that were not known before anything is read."""
    sampled: bool = False

    def seen(self, steps: tuple[Step, ...], conditions: Conditions) -> None:
        self.settled = [
            None if before is None else _once(before, conditions, step)
            for before, step in zip(self.settled, steps, strict=True)
        ]
        self.open |= {i for i, step in enumerate(steps) if isinstance(step.value, Open)}
        both = isinstance(self.node, Both)
        for one, other in list(self.implied):
            # In an `or` the narrower part says nothing, in an `and` the wider one.
            low, high = (other, one) if both else (one, other)
            if not apart(conditions.ways(steps[low]), conditions.ways(steps[high], False)):
                self.implied.discard((one, other))

    def told(self) -> Iterator[Finding]:
        parts, both = self.node.parts, isinstance(self.node, Both)
        spans = [part.span for part in parts]
        # Where one part settles the whole, that is told of the rule.
        if self.sampled or (not both) in self.settled or None in spans or len(set(spans)) < len(spans):
            return
        idle = [i for i, value in enumerate(self.settled) if value is both]
        for i in idle if len(idle) < len(parts) else ():
            # A word that nothing covered has is named for what another edition covers. What always holds once it is
            # read asks that it is read.
            if not _of_words(parts[i]) and not (both and i in self.open):
                how = "always" if both else "never"
                message = f"{quoted(spans[i])} {how} holds, so that it decides nothing here"
                yield remark("requirements", "part-idle", message, spans[i], "mend it, or strike it")
        varying = [i for i in range(len(parts)) if i not in idle]
        told: set[int] = set()
        for i in reversed(varying):
            causes = [j for j in varying if (i, j) in self.implied and j not in told]
            if causes:
                told.add(i)
                yield self._implied(spans[i], spans[causes[0]], (causes[0], i) in self.implied)

    def _implied(self, at: Span | None, by: Span | None, same: bool) -> Finding:
        if same:
            why = f"it says the same as {seen_at(by)}"
        elif isinstance(self.node, Both):
            why = f"it holds wherever {seen_at(by)} holds"
        else:
            why = f"wherever it holds, {seen_at(by)} holds too"
        message = f"{quoted(at)} decides nothing: {why}"
        return remark("requirements", "part-implied", message, at, "strike one of the two, or mend it")


@dataclass(slots=True)
class _Branches:
    """One ``if``, over all combinations and calls."""

    node: If
    reached: set[bool] = field(default_factory=set)
    covering: set[Span] | None = None
    """Conditions before it that have covered this one so far."""
    sampled: bool = False

    def told(self) -> Iterator[Finding]:
        if self.sampled or len(self.reached) != 1:
            return
        condition = self.node.condition.span
        if True in self.reached:
            at, why = self.node.otherwise.span, f"where it comes to {seen_at(condition)}, that always holds"
        else:
            at, why = self.node.then.span, f"where it comes to {seen_at(condition)}, that never holds"
            if self.covering:
                first = min(self.covering, key=lambda span: span.start)
                why = f"wherever {seen_at(condition)} holds, {seen_at(first)} before it holds already"
        message = f"{quoted(at)} is never reached: {why}"
        yield remark("requirements", "branch-never", message, at, "mend one of the conditions, or strike the branch")


@dataclass(slots=True)
class _Found:
    left: int
    """Comparisons that may still be made."""
    junctions: dict[_Place, _Junction] = field(default_factory=dict)
    branches: dict[_Place, _Branches] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Above:
    """The conditions by which it comes to a place, and what they ask together."""

    ways: Ways | None = ALWAYS
    failed: tuple[Step, ...] = ()


@dataclass(slots=True)
class _Walk:
    """All conditions of one rule on one combination."""

    found: _Found
    rules: Rules
    known: tuple[Group, dict[str, Group]]
    conditions: Conditions = field(default_factory=Conditions)

    def into(self, step: Step, sampled: bool) -> None:
        stack: list[tuple[Step, _Above, dict[str, Group]]] = [(step, _Above(), self.known[1])]
        done: set[tuple[int, int]] = set()
        kept: list[_Above] = []
        while stack:
            at, above, bound = stack.pop()
            if (id(at), id(above.ways)) in done:
                continue
            done.add((id(at), id(above.ways)))
            kept.append(above)  # so that its identity stays its own
            node = at.node
            if isinstance(node, Both | Either) and node.span is not None:
                self._junction(node, at, sampled)
            if isinstance(node, If):
                stack += [(part, inner, bound) for part, inner in self._branches(node, at, above, sampled)]
            elif isinstance(node, Term):
                body, *arguments = at.parts
                stack += [(part, above, bound) for part in arguments]
                if not is_cover(node):
                    stack.append((body, _Above(), {}))
            elif isinstance(node, Over) and not at.parts:
                inside = self._inside(node, bound)
                stack += [] if inside is None else [(inside[0], above, inside[1])]
            elif not isinstance(node, Parameter):
                stack += [(part, above, bound) for part in at.parts]

    def _junction(self, node: Both | Either, step: Step, sampled: bool) -> None:
        numbers = range(len(node.parts))
        at = _place(node.span)
        seen = self.found.junctions.get(at)
        if seen is None:
            pairs = set(permutations(numbers, 2)) if len(numbers) ** 2 <= self.found.left else set()
            seen = _Junction(node, pairs, ["not seen"] * len(numbers), sampled=not pairs)
            self.found.junctions[at] = seen
        if len(seen.node.parts) != len(node.parts) or type(seen.node) is not type(node):
            seen.sampled = True  # read in two ways, and so nothing is said of it
            return
        self.found.left -= len(seen.implied)
        seen.sampled |= sampled or self.found.left < 0
        if seen.sampled:
            return
        seen.seen(step.parts, self.conditions)

    def _branches(self, node: If, step: Step, above: _Above, sampled: bool) -> Iterator[tuple[Step, _Above]]:
        condition, *parts = step.parts
        yield condition, above
        ways = [self.conditions.ways(condition, which) for which in (True, False)]
        open = {which: all_of(above.ways, each) for which, each in zip((True, False), ways, strict=True)}
        reached = {which for which, each in open.items() if each != NEVER}
        # `largest` and `smallest` of two are no branches that anybody wrote.
        if node.span is not None and node.condition.span is not None and node.condition.span != node.span:
            seen = self.found.branches.setdefault(_place(node.span), _Branches(node))
            seen.sampled |= sampled or None in (node.then.span, node.otherwise.span)
            seen.reached |= reached
            covering = {
                each.node.span
                for each in above.failed
                if each.node.span is not None and apart(ways[0], self.conditions.ways(each, False))
            }
            seen.covering = covering if seen.covering is None else seen.covering & covering
        taken = (True, False) if len(parts) == 2 else (bool(condition.value),)
        for which, part in zip(taken, parts, strict=True):
            if which in reached:
                yield part, _Above(open[which], above.failed if which else (*above.failed, condition))

    def _inside(self, node: Over, bound: dict[str, Group]) -> tuple[Step, dict[str, Group]] | None:
        """What is asked of an item of which nothing is known."""
        if any(isinstance(each, Parameter) for each in _nodes(node)):
            return None
        inner = {**bound, node.singular: Group(node.singular, {})}
        items: dict[str, Data] = dict(inner)
        return evaluate(node.body, self.rules, self.known[0], items), inner


def _once(before: bool | str, conditions: Conditions, step: Step) -> bool | None:
    """What a part came to before, if it comes to the same again."""
    now: bool | None = step.value if isinstance(step.value, bool) else None
    if now is None and conditions.ways(step, True) == NEVER:
        now = False
    elif now is None and conditions.ways(step, False) == NEVER:
        now = True
    return now if before in (now, "not seen") else None


def _of_words(node: object) -> bool:
    match node:
        case Compare(relation="=" | "!=", right=Constant(value=str())) | Compare(
            relation="=" | "!=", left=Constant(value=str())
        ):
            return True
    return False


def _nodes(node: Over) -> Iterator[object]:
    stack = list(parts_of(node))
    while stack:
        at = stack.pop()
        yield at
        stack += parts_of(at)


def _place(span: Span | None) -> _Place:
    assert span is not None
    return span.source.name, span.start, span.end
