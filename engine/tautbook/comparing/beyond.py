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


@dataclass(slots=True)
class Beyond:
    """Both editions, and what they count."""

    sides: tuple[Side, Side]
    made: dict[tuple[object, ...], list[tuple[Over | None, Symbol, Symbol]]] = field(default_factory=dict)
    """By what is taken of which list, each question about its items in words and as a formula, and what comes of it."""
    lists: dict[str, None] = field(default_factory=dict)
    """Paths of the lists that something is counted over."""
    must: list[Flag] = field(default_factory=list)
    """What is so of every count."""

    def over(
        self, what: str, path: str, bound: Mapping[str, str], node: Over | None, body: Symbol, unknowns: Unknowns
    ) -> Symbol:  # fmt: skip
        """What is counted. ``node`` says it in words of its edition alone, if it can; ``body`` is what is asked of one
        item, whichever."""
        self.lists[path] = None
        met = self.made.setdefault((what, path, *sorted(bound.items())), [])
        for words, asked, counted in met:
            if node is not None and node == words and self._same(node):
                return counted
            if Solver([*unknowns.must, neg(_answers_alike(body, asked))]).check() == "unsat":
                return counted
        made = self._any_number(what, f"{what} {sum(map(len, self.made.values()))} of {path}")
        met.append((node, body, made))
        return made

    def _any_number(self, what: str, name: str) -> Symbol:
        value, missing, stuck = z3.Real(name), z3.Bool(f"missing {name}"), z3.Bool(f"stuck {name}")
        if what != "count":
            return Symbol(value, missing, stuck)
        still = z3.Real(f"still open of {name}")
        self.must += [value >= 0, still >= 0, (still > 0) == z3.Or(missing, stuck)]
        return Symbol(value, missing, stuck, Bound(True, value), Bound(True, value + still))

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
