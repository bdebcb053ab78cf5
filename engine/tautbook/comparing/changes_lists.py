"""Items of an edition that have no names: those that stand for each other, those that went, those that came."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from ..shape.shaped import ShapedMap, as_map, items_at, text_at
from .change import Change
from .changes_items import Comparing, Place

_Key = Callable[[ShapedMap], object]
_SHOWN = 40


def left_to_people(comparing: Comparing) -> Iterator[Change]:
    def text(key: str) -> _Key:
        return lambda node: " ".join((text_at(node, key) or "").split())

    def place(node: ShapedMap) -> Place:
        clause, what = text_at(node, "clause"), text_at(node, "what") or ""
        short = what if len(what) <= _SHOWN else f"{what[:_SHOWN].rstrip()}..."
        name = clause or short
        return Place("left to people", f"left to people, {name}", ("left_to_people", name), what)

    yield from _changes(comparing, "left_to_people", (text("what"), text("clause")), place)


def programme(comparing: Comparing) -> Iterator[Change]:
    def procedure(node: ShapedMap) -> object:
        return text_at(node, "procedure")

    def entry(node: ShapedMap) -> object:
        return text_at(node, "procedure"), comparing.meaning(node.entries["for_each"])

    def place(node: ShapedMap) -> Place:
        name = text_at(node, "procedure") or ""
        return Place("programme", f"programme, {name}", ("programme", name))

    yield from _changes(comparing, "programme", (entry, procedure), place)


@dataclass(frozen=True, slots=True)
class _Aligned:
    pairs: tuple[tuple[int, int], ...]
    gone: tuple[int, ...]
    came: tuple[int, ...]


def _changes(
    comparing: Comparing, key: str, alike: tuple[_Key, ...], place: Callable[[ShapedMap], Place]
) -> Iterator[Change]:  # fmt: skip
    a, b = (side.entries.get(key) for side in (comparing.old, comparing.new))
    old, new = ([as_map(item) for item in items_at(side, key)] for side in (comparing.old, comparing.new))
    found = _aligned(old, new, (comparing.meaning, *alike))

    def all_changes() -> Iterator[Change]:
        for i, j in found.pairs:
            yield from comparing.told(place(new[j]), old[i], new[j], comparing.members(place(new[j]), old[i], new[j]))
        for j in found.came:
            yield comparing.change(place(new[j]), "added", None, comparing.lines(new[j]))
        for i in found.gone:
            yield comparing.change(place(old[i]), "removed", comparing.lines(old[i]), None)
        if any(one > other for one, other in pairwise(i for i, _ in sorted(found.pairs, key=lambda pair: pair[1]))):
            before = "; ".join(place(old[i]).part[-1] for i, _ in sorted(found.pairs))
            after = "; ".join(place(new[j]).part[-1] for _, j in sorted(found.pairs, key=lambda pair: pair[1]))
            every = place(new[0])
            whole = Place(every.what, every.what, (key,)).of("order")
            yield comparing.change(whole, "changed", before, after, "another order")

    every = Place("text", key.replace("_", " "), (key,))
    yield from comparing.told(every, a, b, all_changes())


def _aligned(old: list[ShapedMap], new: list[ShapedMap], keys: tuple[_Key, ...]) -> _Aligned:
    """What stands for what: equals first, then what is alike by one key after the other, where only one fits."""
    gone, came = list(range(len(old))), list(range(len(new)))
    pairs: list[tuple[int, int]] = []
    for number, key in enumerate(keys):
        was: dict[object, list[int]] = {}
        now: dict[object, list[int]] = {}
        for i in gone:
            was.setdefault(key(old[i]), []).append(i)
        for j in came:
            now.setdefault(key(new[j]), []).append(j)
        for value, left in was.items():
            right = now.get(value, [])
            if value and (number == 0 or len(left) == len(right) == 1):
                pairs += zip(left, right, strict=False)
        gone = [i for i in gone if i not in {i for i, _ in pairs}]
        came = [j for j in came if j not in {j for _, j in pairs}]
    return _Aligned(tuple(sorted(pairs, key=lambda pair: pair[1])), tuple(gone), tuple(came))
