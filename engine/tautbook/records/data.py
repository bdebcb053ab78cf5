"""Record -> the data that rules are evaluated on.

Items set aside are left out, and an item keeps the number that it has in the file, counted from 1. A list shorter
than it is asked to be is filled up with items of which nothing is known. Fields that others give are worked out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from ..lang.evaluate import evaluate
from ..lang.kernel import Field, Recorded, Rules, parts_of
from ..lang.kinds import GroupKind, Kind, ListKind
from ..lang.operations import words as written_as
from ..lang.problem import Problem, in_order
from ..lang.quantity import Quantity
from ..lang.source import Span
from ..lang.values import Data, Group, Items, Leaf, Open, data_at, placed, with_leaf
from ..shape.shaped import Shaped, ShapedList, ShapedMap, ShapedValue
from .derived import Derived, Impossible, sense
from .local import own_observations
from .record import Record

_NO_RULES = Rules({}, {})
_NOTHING = frozenset({"none", "no", "nil", "n/a", "-", "--"})


@dataclass(frozen=True, slots=True)
class Observed:
    """The data of a record, where in the file each part stands, and the items that were set aside."""

    group: Group
    spans: Mapping[str, Span] = field(hash=False, repr=False)
    set_aside: tuple[str, ...]


def observed(
    record: Record, asks: Mapping[str, int], ruleset: str, own: GroupKind | None,
    evidence: Mapping[str, Group] | None = None,
) -> tuple[Observed | None, tuple[Problem, ...]]:  # fmt: skip
    """The data of ``record`` where ``asks`` says how many items lists must have, ``own`` what the authority of
    ``ruleset`` observes besides, and ``evidence`` has the data of the records that it rests on; or everything that no
    real test can show."""
    local, problems = own_observations(record, ruleset, own)
    walk = _Walk()
    alone = {name: node for name, node in record.shaped.entries.items() if name != "evidence"}
    group = walk.group(replace(record.shaped, entries=alone), "", record.words.record)
    named = record.shaped.entries.get("evidence")
    if isinstance(named, ShapedMap):
        walk.spans.update({f"evidence.{slot}": named.key_span(slot) for slot in named.entries})
    if evidence:
        rests_on = {slot: placed(data, f"evidence.{slot}") for slot, data in evidence.items()}
        group = Group("", {**group.fields, "evidence": Group("evidence", rests_on)})
    if local is not None and own is not None:
        below = walk.group(local, f"local.{ruleset}", own)
        group = Group("", {**group.fields, "local": below})
    group = _filled_up(group, asks, walk.set_aside)
    rules = sense(record.procedure)
    wrong = [*problems, *walk.problems]
    for derived in rules.derived:
        group, found = _with_derived(group, derived, walk.spans)
        wrong += found
    for check in rules.impossible:
        wrong += _impossible(group, check, walk.spans, record.shaped.span)
    if wrong:
        return None, in_order(wrong)
    return Observed(group, walk.spans, tuple(walk.set_aside)), ()


@dataclass(slots=True)
class _Walk:
    spans: dict[str, Span] = field(default_factory=dict)
    set_aside: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def data(self, node: Shaped, path: str, kind: Kind) -> Data:
        self.spans[path] = node.span
        match node, kind:
            case ShapedMap(), GroupKind():
                return self.group(node, path, kind)
            case ShapedList(), ListKind():
                return self.items(node, path, kind)
            case ShapedValue(value=value, written=written), _:
                return Leaf(path, value, written)
            case _:
                raise AssertionError(f"{path} is not of the kind that the schema gives it")

    def group(self, node: ShapedMap, path: str, kind: GroupKind) -> Group:
        below = Group(path, {})
        fields = {
            name: self.data(part, below.below(name), kind.fields[name])
            for name, part in node.entries.items()
            if name in kind.fields
        }
        return Group(path, fields)

    def items(self, node: ShapedList, path: str, kind: ListKind) -> Items:
        items = []
        for number, item in enumerate(node.items, 1):
            place = f"{path}[{number}]"
            if isinstance(item, ShapedMap) and "set_aside" in item.entries:
                self.set_aside.append(place)
            else:
                items.append(self.data(item, place, kind.item))
        if kind.points is not None:
            self.rising(items, kind.points[0])
        return Items(path, tuple(items))

    def rising(self, items: list[Data], where: str) -> None:
        """Points stand in rising order, or two of them could say different things of one place."""
        places = [(item.path, _leaf(item, (where,))) for item in items]
        for (_, before), (path, after) in pairwise(places):
            if before is None or after is None:
                continue
            low, high = before.value, after.value
            if isinstance(low, Quantity) and isinstance(high, Quantity) and low.value >= high.value:
                message = f"`{after.written}` follows `{before.written}`, and `{where}` must rise from line to line"
                span = self.spans[f"{path}.{where}"]
                self.problems.append(Problem("points-order", message, span, "put the lines in rising order"))


def _leaf(data: Data, path: tuple[str, ...]) -> Leaf | None:
    found = data_at(data, ".".join(path)) if isinstance(data, Group) else None
    return found if isinstance(found, Leaf) else None


def _filled_up(group: Group, asks: Mapping[str, int], set_aside: Sequence[str]) -> Group:
    fields = dict(group.fields)
    for name, wanted in asks.items():
        there = fields.get(name)
        items = there.items if isinstance(there, Items) else ()
        paths = [item.path for item in items] + [path for path in set_aside if path.startswith(f"{name}[")]
        last = max(map(_number, paths), default=0)
        still = tuple(Group(f"{name}[{last + n}]", {}) for n in range(1, wanted - len(items) + 1))
        fields[name] = Items(name, (*items, *still), written=there is not None)
    return Group(group.path, fields)


def _number(path: str) -> int:
    return int(path[path.rindex("[") + 1 : -1])


def _places(group: Group, each: str | None) -> Iterator[Group]:
    """The record itself, or every item of a list that is there."""
    listed = group if each is None else group.fields.get(each)
    if isinstance(listed, Group):
        yield listed
    elif isinstance(listed, Items):
        yield from (item for item in listed.items if isinstance(item, Group))


def _with_derived(group: Group, rule: Derived, spans: Mapping[str, Span]) -> tuple[Group, list[Problem]]:
    """``group`` with the field filled in wherever the others give it; and where what was recorded says otherwise."""
    problems: list[Problem] = []
    places = list(_places(group, rule.each))
    filled = [_filled_in(place, rule, group, spans, problems) for place in places]
    if rule.each is None:
        return filled[0], problems
    listed = group.fields.get(rule.each)
    if isinstance(listed, Items):
        group = replace(group, fields={**group.fields, rule.each: replace(listed, items=tuple(filled))})
    return group, problems


def _filled_in(
    place: Group, rule: Derived, record: Group, spans: Mapping[str, Span], problems: list[Problem]
) -> Group:
    bound: dict[str, Data] = {} if rule.singular is None else {rule.singular: place}
    if rule.when is not None and evaluate(rule.when, _NO_RULES, record, bound).value is not True:
        return place
    value = evaluate(rule.value, _NO_RULES, record, bound).value
    if isinstance(value, Open) and rule.otherwise is not None:
        value = evaluate(rule.otherwise, _NO_RULES, record, bound).value
    if isinstance(value, Open):
        return place
    there = _leaf(place, rule.path)
    if there is None:
        path = ".".join(rule.path)
        return with_leaf(place, path, Leaf(place.below(path), value, written_as(value)))
    if rule.when is None and there.value != value:
        message = f"`{rule.path[-1]}` says {there.written}, and what is recorded beside it gives {written_as(value)}"
        said = next(_words_for_nothing(rule, record), None)
        help = "keep the one that was observed"
        if said is not None:
            help = f"`{said.path}` says `{said.written}`, which is read as what stands there: leave `{said.path}` empty"
        problems.append(Problem("disagrees", message, spans[there.path], help))
    return place


def _words_for_nothing(rule: Derived, record: Group) -> Iterator[Leaf]:
    """Fields that a rule asks for, and that say in words that there is nothing."""
    stack = [rule.value]
    while stack:
        node = stack.pop()
        stack += parts_of(node)
        if isinstance(node, Recorded) and isinstance(node.of, Field) and node.of.root is None:
            leaf = _leaf(record, node.of.path)
            if leaf is not None and leaf.written.casefold() in _NOTHING:
                yield leaf


def _impossible(group: Group, rule: Impossible, spans: Mapping[str, Span], whole: Span) -> Iterator[Problem]:
    for place in _places(group, rule.sound.each):
        bound: dict[str, Data] = {} if rule.singular is None else {rule.singular: place}
        if evaluate(rule.require, _NO_RULES, group, bound).value is False:
            path = rule.sound.at
            if rule.singular is not None:
                path = place.path + path.removeprefix(rule.singular)
            span = spans.get(path) or spans.get(place.path) or whole
            yield Problem(rule.sound.id, rule.sound.message, span, rule.sound.help)
