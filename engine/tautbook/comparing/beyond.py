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

    def counts(self, node: Over) -> bool:
        return node.what in _COUNTED

    def sense(self, node: Over, counted: Symbol) -> list[Flag]:
        """No count is below nothing."""
        if node.what != "count" or counted.low is None or counted.high is None:
            return []
        return [counted.value >= 0, counted.low.value >= 0, counted.high.value >= 0]

    def over(
        self, node: Over, path: str, side: Side, bound: Mapping[str, str], parameters: Sequence[object]
    ) -> Symbol:  # fmt: skip
        self.lists[path] = None
        same = not parameters and self._same(node)
        which = (node,) if same else (id(side), id(node), *map(id, parameters))
        key = (path, *sorted(bound.items()), which)
        if key not in self.made:
            name = f"{node.what} {len(self.made)} of {path}"
            self.made[key] = Symbol(
                z3.Real(name), z3.Bool(f"missing {name}"), z3.Bool(f"stuck {name}"),
                Bound(z3.Bool(f"has low {name}"), z3.Real(f"low {name}")),
                Bound(z3.Bool(f"has high {name}"), z3.Real(f"high {name}")),
            )  # fmt: skip
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
