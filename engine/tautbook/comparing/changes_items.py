"""Items of an edition beside each other, member by member: what was added, taken out, changed.

Two parts are the same if the digest takes them for the same. Whatever differs gives at least one change.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from ..lang.surface import Expression
from ..lang.tree import Mapping as TreeMapping
from ..lang.tree import Scalar, Sequence, Tree
from ..shape.digest import canonical
from ..shape.shaped import Raw, Shaped, ShapedList, ShapedMap, ShapedValue
from .change import Change, How, What
from .changes_figures import difference
from .changes_rules import rule_changes

SAME = "the same, written otherwise"
_MEANS = {
    ("months", "clamp"): "the last day of the month",
    ("months", "roll over"): "that many days on in the next month",
    ("months", "refuse"): "a date that is refused",
    ("kind", "setup"): "deciding whether the test was validly run",
    ("kind", "acceptance"): "deciding whether the material passes",
    ("kind", "advice"): "advice that decides nothing",
}
"""What words of an edition mean, where the words alone may not say it."""


_NO_FIGURES = frozenset({"year", "from", "until"})
"""How far apart these are tells nobody anything."""


@dataclass(frozen=True, slots=True)
class Place:
    """An item of an edition, or a part of one, that changes are told of."""

    what: What
    item: str
    part: tuple[str, ...]
    title: str = ""
    keys: str = ""
    member: str = ""

    def at(self, part: tuple[str, ...], keys: str) -> Place:
        """A figure or a value of the item, called by its keys."""
        return replace(self, part=(*self.part, *part), keys=keys)

    def of(self, key: str) -> Place:
        """The member of that name."""
        return replace(self, part=(*self.part, key), member=f"{self.member}, {key}" if self.member else key)

    @property
    def where(self) -> str:
        item = f"{self.item} [{self.keys}]" if self.keys else self.item
        return f"{item}, {self.member}" if self.member else item


@dataclass(frozen=True, slots=True)
class Comparing:
    """Two editions being compared."""

    old: ShapedMap
    new: ShapedMap
    rules: Mapping[int, Expression]
    """The parsed rules of both, by the identity of their scalars."""
    meanings: dict[int, str] = field(default_factory=dict)

    def meaning(self, node: Shaped | None) -> str:
        if node is None:
            return ""
        if id(node) not in self.meanings:
            self.meanings[id(node)] = canonical(node, self.rules)
        return self.meanings[id(node)]

    def same(self, a: Shaped | None, b: Shaped | None) -> bool:
        return self.meaning(a) == self.meaning(b)

    # What is written

    def text(self, node: Shaped) -> str:
        """A part on one line, as the edition writes it."""
        match node:
            case ShapedValue(written=written):
                return " ".join(written.split())
            case ShapedList(items=items):
                return ", ".join(map(self.of_list, items)) or "none"
            case ShapedMap(entries=entries):
                return "; ".join(self.pair(key, below) for key, below in entries.items()) or "none"
            case Raw(tree=tree):
                return tree_text(tree)

    def pair(self, key: str, below: Shaped) -> str:
        return f"{key} ({self.text(below)})" if isinstance(below, ShapedMap) else f"{key}: {self.text(below)}"

    def of_list(self, item: Shaped) -> str:
        if isinstance(item, ShapedMap):
            return self.text(next(iter(item.entries.values()))) if len(item.entries) == 1 else f"({self.text(item)})"
        return self.text(item)

    def lines(self, node: ShapedMap, without: Iterable[str] = ()) -> str:
        """A whole item, a line for each of its members, and for each row of a table."""
        left_out = {*without}
        return "\n".join(
            line for key, below in node.entries.items() if key not in left_out for line in self.of_member(key, below)
        )

    def of_member(self, key: str, below: Shaped) -> Iterator[str]:
        if isinstance(below, Raw) and isinstance(below.tree, TreeMapping):
            for entry in below.tree.entries:
                yield f"{key}, {tree_text(entry.key)}: {tree_text(entry.value)}"
        elif _entries(below):
            for name, each in _entries(below).items():
                yield f"{key}, {name}: {self.text(each)}"
        else:
            yield self.pair(key, below)

    # What changed

    def change(
        self, place: Place, how: How, before: str | None, after: str | None, detail: str = ""
    ) -> Change:  # fmt: skip
        return Change(
            ".".join(place.part), place.what, place.where, how, before, after, detail, place.part, place.item,
            ", ".join(each for each in (place.keys, place.member) if each), place.title,
        )  # fmt: skip

    def whole(self, place: Place, a: Shaped | None, b: Shaped | None) -> Change:
        """One change of a part as a whole, which differs."""
        before = None if a is None else self.text(a)
        after = None if b is None else self.text(b)
        how: How = "added" if a is None else "removed" if b is None else "changed"
        if how == "changed" and place.part[-1] == "clause":
            how = "renumbered"
        return self.change(place, how, before, after, self.detail(place.part[-1], a, b))

    def told(self, place: Place, a: Shaped | None, b: Shaped | None, found: Iterable[Change]) -> Iterator[Change]:
        """What was found of two parts; if they differ and nothing was, that they are written otherwise."""
        if self.same(a, b):
            return
        none = True
        for change in found:
            none = False
            yield change
        if none:
            change = self.whole(place, a, b)
            yield replace(change, detail=change.detail or SAME)

    def detail(self, key: str, a: Shaped | None, b: Shaped | None) -> str:
        match a, b:
            case ShapedValue(), ShapedValue():
                old, new = self.rules.get(id(a.scalar)), self.rules.get(id(b.scalar))
                if old is not None and new is not None:
                    return "; ".join(rule_changes(old, new))
                means = [_MEANS.get((key, each.written)) for each in (a, b)]
                if all(means):
                    return f"from {means[0]} to {means[1]}"
                return "" if key in _NO_FIGURES else difference(a.value, b.value)
            case ShapedList(), ShapedList():
                return self.of_lists(a, b)
            case ShapedMap(ordered=True), ShapedMap(ordered=True) if dict(self.each(a)) == dict(self.each(b)):
                return "another order"
            case _:
                return ""

    def each(self, node: ShapedMap) -> Iterator[tuple[str, str]]:
        """What each entry means."""
        for key, below in node.entries.items():
            yield key, self.meaning(below)

    def of_lists(self, a: ShapedList, b: ShapedList) -> str:
        """Single values that came and went; items with members speak for themselves."""
        was, now = [self.meaning(item) for item in a.items], [self.meaning(item) for item in b.items]
        gone = [self.text(item) for item in a.items if self.meaning(item) not in now]
        came = [self.text(item) for item in b.items if self.meaning(item) not in was]
        said = [f"{', '.join(each)} {way}" for each, way in ((came, "added"), (gone, "taken out")) if each]
        if said and any(isinstance(item, ShapedMap) for item in (*a.items, *b.items)):
            return ""
        return "; ".join(said) or ("another order" if sorted(was) == sorted(now) else "")

    def members(self, place: Place, a: ShapedMap, b: ShapedMap, without: Iterable[str] = ()) -> Iterator[Change]:
        """A change for each member of an item that differs."""
        left_out = {*without}
        for key in dict.fromkeys((*b.entries, *a.entries)):
            if key not in left_out and not self.same(a.entries.get(key), b.entries.get(key)):
                yield self.whole(place.of(key), a.entries.get(key), b.entries.get(key))

    def items(
        self, a: Shaped | None, b: Shaped | None, place: Callable[[str, ShapedMap], Place],
        changed: Callable[[Place, ShapedMap, ShapedMap], Iterable[Change]],
        renames: bool = True,
    ) -> Iterator[Change]:  # fmt: skip
        """Items by name: those that went, came, or changed; one that went and came under another name is renamed."""
        old, new = _entries(a), _entries(b)
        renamed = self.renamed(old, new) if renames else {}
        for key, node in new.items():
            before = old.get(key) or old.get(renamed.get(key, ""))
            at = place(key, node)
            if before is None:
                yield self.change(at, "added", None, self.lines(node) or "none")
                continue
            if key in renamed:
                named = replace(at, member=f"{at.member}, name" if at.member else "name")
                yield self.change(named, "changed", renamed[key], key, "renamed")
            yield from self.told(at, before, node, changed(at, before, node))
        for key, node in old.items():
            if key not in new and key not in renamed.values():
                yield self.change(place(key, node), "removed", self.lines(node) or "none", None)

    def renamed(self, old: Mapping[str, ShapedMap], new: Mapping[str, ShapedMap]) -> dict[str, str]:
        """Names that came with the content, but for clause numbers, of one that went; where only one fits."""
        gone = _by_content(self, {key: node for key, node in old.items() if key not in new})
        came = _by_content(self, {key: node for key, node in new.items() if key not in old})
        return {came[each][0]: gone[each][0] for each in came if len(came[each]) == len(gone.get(each, ())) == 1}


def _by_content(comparing: Comparing, items: Mapping[str, ShapedMap]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for key, node in items.items():
        content = "\n".join(
            f"{name} {comparing.meaning(below)}" for name, below in sorted(node.entries.items()) if name != "clause"
        )
        found.setdefault(content, []).append(key)
    return found


def _entries(node: Shaped | None) -> dict[str, ShapedMap]:
    entries = node.entries if isinstance(node, ShapedMap) else {}
    return {key: below for key, below in entries.items() if isinstance(below, ShapedMap)}


def tree_text(tree: Tree) -> str:
    """A part that a later stage reads, on one line."""
    match tree:
        case Scalar(text=text):
            return " ".join(text.split())
        case Sequence(items=items):
            return ", ".join(map(tree_text, items)) or "none"
        case TreeMapping(entries=entries):
            return "; ".join(
                f"{tree_text(entry.key)} ({tree_text(entry.value).replace('; ', ', ')})"
                if isinstance(entry.value, TreeMapping)
                else f"{tree_text(entry.key)}: {tree_text(entry.value)}"
                for entry in entries
            ) or "none"
