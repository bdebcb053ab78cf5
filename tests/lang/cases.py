"""Generated cases as the readers of a kernel tree take them: checked tree, rules, record, bound items."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from conformance.engine import data, fixed
from reference.generate import seeded
from tautbook.lang.check import check
from tautbook.lang.evaluate import evaluate
from tautbook.lang.kernel import Node, Rules
from tautbook.lang.kinds import ListKind
from tautbook.lang.parse import parse_text
from tautbook.lang.values import Data, Group, Items, Value


@dataclass(frozen=True)
class Case:
    text: str
    node: Node
    rules: Rules
    record: Group
    bound: Mapping[str, Data]

    def value(self) -> Value:
        return evaluate(self.node, self.rules, self.record, self.bound).value

    @property
    def lists(self) -> tuple[str, ...]:
        """The lists of the bound items, as ``checked`` takes them."""
        return ("items",) if self.bound else ()


def checked(text: str, lists: Sequence[str] = ()) -> Node:
    """The kernel tree of a text; one item of each of ``lists`` stands under its singular."""
    node = accepted(text, lists)
    assert node is not None, text
    return node


def accepted(text: str, lists: Sequence[str] = ()) -> Node | None:
    """The same, or None where the checker refuses the text."""
    scope, _ = fixed()
    kinds = [scope.record.fields[name] for name in lists]
    bound = {kind.singular: kind.item for kind in kinds if isinstance(kind, ListKind)}
    expression, problems = parse_text(text)
    assert expression is not None, (text, problems)
    return check(expression, replace(scope, bound=bound))[0]


def generated(count: int, seed: int) -> Iterator[Case]:
    """``count`` generated cases less the few that the checker refuses, the same for the same seed."""
    scope, rules = fixed()
    for text, given in seeded(count, seed):
        record = data(given["record"], scope.record, "", given["asks"])
        assert isinstance(record, Group)
        bound: dict[str, Data] = {}
        for singular, number in given.get("item", {}).items():
            items = record.fields["items"]
            assert singular == "item" and isinstance(items, Items)
            bound[singular] = items.items[number - 1]
        node = accepted(text, ["items"] if bound else [])
        if node is not None:
            yield Case(text, node, replace(rules, months=given["months"]), record, bound)
