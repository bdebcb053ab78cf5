"""Lists of any length: what is counted over one is taken to be any number, in both editions the same where it is the
same question. What is proved so holds beyond the bound on items; no record is found so."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import z3

from ..lang.kernel import Over
from .reached import Reach, same_below
from .side import Side
from .symbols import Bound, Flag, Symbol

_COUNTED = frozenset({"count", "sum", "mean"})
"""What comes out otherwise the more items there are. Whether some or every item is so shows in a few."""


@dataclass(slots=True)
class Beyond:
    """Both editions, and what they count."""

    sides: tuple[Side, Side]
    made: dict[tuple[object, ...], Symbol] = field(default_factory=dict)
    lists: dict[str, None] = field(default_factory=dict)
    """Paths of the lists that something is counted over."""
    must: list[Flag] = field(default_factory=list)
    """What is so of every count."""

    def counts(self, node: Over) -> bool:
        return node.what in _COUNTED

    def over(
        self, node: Over, path: str, side: Side, bound: Mapping[str, str], parameters: Sequence[object]
    ) -> Symbol:  # fmt: skip
        self.lists[path] = None
        same = not parameters and self._same(node)
        which = (node,) if same else (id(side), id(node), *map(id, parameters))
        key = (path, *sorted(bound.items()), which)
        if key not in self.made:
            name = f"{node.what} {len(self.made)} of {path}"
            value, missing, stuck = z3.Real(name), z3.Bool(f"missing {name}"), z3.Bool(f"stuck {name}")
            made = Symbol(value, missing, stuck)
            if node.what == "count":
                still = z3.Real(f"still open of {name}")
                self.must += [value >= 0, still >= 0, (still > 0) == z3.Or(missing, stuck)]
                made = Symbol(value, missing, stuck, Bound(True, value), Bound(True, value + still))
            self.made[key] = made
        return self.made[key]

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
