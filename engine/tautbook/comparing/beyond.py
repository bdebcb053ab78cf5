"""Lists of any length: what is counted over one is taken to be any number, in both editions the same where it is the
same question. What is proved so holds beyond the bound on items; no record is found so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import z3

from ..lang.kernel import Over
from .reached import Reach, same_below
from .side import Side
from .solving import Solver
from .symbols import Bound, Flag, Symbol, conj, disj, known, neg, same
from .unknowns import Unknowns

_COUNTED = frozenset({"count", "sum", "mean"})
"""What comes out otherwise the more items there are. Whether some or every item is so shows in a few."""


@dataclass(slots=True)
class Beyond:
    """Both editions, and what they count."""

    sides: tuple[Side, Side]
    made: dict[tuple[object, ...], Symbol] = field(default_factory=dict)
    lists: dict[str, None] = field(default_factory=dict)
    """Paths of the lists that something is counted over."""
    bodies: list[Symbol] = field(default_factory=list)
    words: dict[Over | None, int] = field(default_factory=dict)
    """What is asked of items, by the rule that asks it."""
    must: list[Flag] = field(default_factory=list)
    """What is so of every count."""

    def counts(self, node: Over) -> bool:
        return node.what in _COUNTED

    def over(
        self, what: str, path: str, bound: Mapping[str, str], node: Over | None, body: Symbol, unknowns: Unknowns
    ) -> Symbol:  # fmt: skip
        """What is counted. ``node`` says it in words of its edition alone, if it can; ``body`` is what is asked of one
        item, whichever."""
        self.lists[path] = None
        words = node if node is not None and self._same(node) else None
        if words is None or words not in self.words:
            self.words[words] = self._asked(body, unknowns)
        key = (what, path, *sorted(bound.items()), self.words[words])
        if key not in self.made:
            name = f"{what} {len(self.made)} of {path}"
            value, missing, stuck = z3.Real(name), z3.Bool(f"missing {name}"), z3.Bool(f"stuck {name}")
            made = Symbol(value, missing, stuck)
            if what == "count":
                still = z3.Real(f"still open of {name}")
                self.must += [value >= 0, still >= 0, (still > 0) == z3.Or(missing, stuck)]
                made = Symbol(value, missing, stuck, Bound(True, value), Bound(True, value + still))
            self.made[key] = made
        return self.made[key]

    def _asked(self, body: Symbol, unknowns: Unknowns) -> int:
        """Which of the questions met so far is always answered as this one is."""
        for number, other in enumerate(self.bodies):
            if Solver([*unknowns.must, neg(_answers_alike(body, other))]).check() == "unsat":
                return number
        self.bodies.append(body)
        return len(self.bodies) - 1

    def _same(self, node: Over) -> bool:
        """Whether it comes to the same in both editions."""
        before, after = self.sides
        one, two = Reach(before.rules), Reach(after.rules)
        try:
            one.into(node)
            two.into(node)
        except KeyError:
            return False  # a term or table that the other edition does not have
        return same_below(one, two, before, after)


def _answers_alike(one: Symbol, two: Symbol) -> Flag:
    if one.value is None or two.value is None:
        return False
    agree = disj(neg(known(one)), same(one.value, two.value))
    return conj(_both(one.missing, two.missing), _both(one.stuck, two.stuck), agree)


def _both(one: Flag, two: Flag) -> Flag:
    return disj(conj(one, two), conj(neg(one), neg(two)))
