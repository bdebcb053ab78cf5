"""Tables and covered values of two editions beside each other, figure by figure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ..lang.quantity import Quantity, read_quantity
from ..lang.tree import Mapping as TreeMapping
from ..lang.tree import Scalar, Tree
from ..shape.digest import canonical
from ..shape.shaped import Raw, Shaped, ShapedList, ShapedMap, as_map, items_at, text_at
from .change import Change
from .changes_figures import difference
from .changes_items import SAME, Comparing, Place, tree_text


def tables(comparing: Comparing) -> Iterator[Change]:
    old, new = comparing.old.entries.get("tables"), comparing.new.entries.get("tables")

    def changed(place: Place, a: ShapedMap, b: ShapedMap) -> Iterator[Change]:
        yield from comparing.members(place, a, b, without=("source", "crosscheck", "rows"))
        yield from _rows(comparing, place, a, b)
        yield from _group(comparing, place, a, b, "source")
        yield from _group(comparing, place, a, b, "crosscheck")

    yield from comparing.items(old, new, _place, changed)


def _place(name: str, node: ShapedMap) -> Place:
    clause = text_at(as_map(node.entries["source"]), "clause")
    item = f"{clause}, {name}" if clause else name
    return Place("table", item, ("tables", name), text_at(node, "title") or "")


def _group(comparing: Comparing, place: Place, a: ShapedMap, b: ShapedMap, key: str) -> Iterator[Change]:
    """The members of a part of the table; the part as a whole where only one of them has it."""
    old, new = a.entries.get(key), b.entries.get(key)
    at = place.of(key)
    if isinstance(old, ShapedMap) and isinstance(new, ShapedMap):
        yield from comparing.told(at, old, new, comparing.members(at, old, new))
    elif old is not None or new is not None:
        yield comparing.whole(at, old, new)


@dataclass(frozen=True, slots=True)
class _Cell:
    """One figure of a table. ``unit`` is that of all figures written as plain numbers."""

    keys: tuple[str, ...]
    scalar: Scalar
    unit: str | None

    @property
    def text(self) -> str:
        """With its unit, where the table says it for all."""
        written = tree_text(self.scalar)
        return f"{written} {self.unit}" if self.unit and " " not in written else written


_Key = tuple[str, ...]
_Cells = Mapping[_Key, _Cell]


def _rows(comparing: Comparing, place: Place, a: ShapedMap, b: ShapedMap) -> Iterator[Change]:
    old, new = a.entries["rows"], b.entries["rows"]
    assert isinstance(old, Raw) and isinstance(new, Raw)
    if comparing.same(old, new):
        return
    if _axes(a) != _axes(b):
        yield comparing.whole(place.of("rows"), old, new)
        return
    was, now = dict(_cells(old.tree, text_at(a, "unit"))), dict(_cells(new.tree, text_at(b, "unit")))
    stands_for = _stands_for(comparing, _axes(b), was, now)
    yield from comparing.told(place.of("rows"), old, new, _of_cells(comparing, place, was, now, stands_for))


def _stands_for(comparing: Comparing, axes: tuple[str, ...], was: _Cells, now: _Cells) -> Mapping[_Key, _Key]:
    """Keys of new figures, each with that of the figure it stands for: the same, or one of a value renamed since."""
    old, new = (_fields(side.entries.get("covers")) for side in (comparing.old, comparing.new))
    renamed = [
        _renamed(_named(old[path]), _named(new[path])) if path in old and path in new else {} for path in axes
    ]  # fmt: skip
    found = {}
    for key in now:
        before = tuple(names.get(part, part) for names, part in zip(renamed, key, strict=True))
        if key in was or (before in was and before not in now):
            found[key] = key if key in was else before
    return found


def _of_cells(
    comparing: Comparing, place: Place, was: _Cells, now: _Cells, stands_for: Mapping[_Key, _Key]
) -> Iterator[Change]:  # fmt: skip
    renamed = {
        (before, after): None
        for key, other in stands_for.items()
        for before, after in zip(was[other].keys, now[key].keys, strict=True)
        if key != other and before != after
    }
    for before, after in renamed:
        at = place.at(("rows", after), after)
        yield comparing.change(at, "changed", before, after, "renamed")
    for key, cell in now.items():
        at = place.at(("rows", *cell.keys), ", ".join(cell.keys))
        if key not in stands_for:
            yield comparing.change(at, "added", None, cell.text)
        elif _meaning(was[stands_for[key]].scalar) != _meaning(cell.scalar):
            earlier = was[stands_for[key]]
            yield comparing.change(at, "changed", earlier.text, cell.text, _apart(earlier, cell))
    gone = was.keys() - stands_for.values()
    for key, cell in was.items():
        if key in gone:
            at = place.at(("rows", *cell.keys), ", ".join(cell.keys))
            yield comparing.change(at, "removed", cell.text, None)


def _apart(before: _Cell, cell: _Cell) -> str:
    old, new = read_quantity(before.text), read_quantity(cell.text)
    if isinstance(old, Quantity) and isinstance(new, Quantity):
        return difference(old, new)
    return SAME if before.text == cell.text else ""


def _cells(tree: Tree, unit: str | None, keys: tuple[Scalar, ...] = ()) -> Iterator[tuple[tuple[str, ...], _Cell]]:
    """Every figure, by what its keys mean."""
    if isinstance(tree, TreeMapping):
        for entry in tree.entries:
            yield from _cells(entry.value, unit, (*keys, entry.key))
    elif isinstance(tree, Scalar):
        yield tuple(map(_meaning, keys)), _Cell(tuple(map(tree_text, keys)), tree, unit)


def _meaning(scalar: Scalar) -> str:
    return canonical(Raw(scalar), {})


def _axes(table: ShapedMap) -> tuple[str, ...]:
    return tuple(text_at(as_map(key), "key") or "" for key in items_at(table, "by"))


# Covered values


def covers(comparing: Comparing) -> Iterator[Change]:
    old, new = (_fields(side.entries.get("covers")) for side in (comparing.old, comparing.new))
    for path in dict.fromkeys((*new, *old)):
        place = Place("covers", path, ("covers", path), "values covered")
        a, b = old.get(path), new.get(path)
        if a is None or b is None:
            yield comparing.whole(place, a, b)
        else:
            yield from comparing.told(place, a, b, _values(comparing, place, a, b))


def _fields(node: Shaped | None) -> Mapping[str, Shaped]:
    return {} if node is None else as_map(node).entries


def _values(comparing: Comparing, place: Place, a: Shaped, b: Shaped) -> Iterator[Change]:
    old, new = _named(a), _named(b)
    renamed = _renamed(old, new)
    for meaning, (value, group) in new.items():
        at, before = place.at((value,), value), old.get(renamed.get(meaning, meaning))
        if before is None:
            yield comparing.change(at, "added", None, _with_names(comparing, value, group))
            continue
        if meaning in renamed:
            yield comparing.change(at, "changed", before[0], value, "renamed")
        yield from comparing.members(at, before[1], group)
    for meaning, (value, group) in old.items():
        if meaning not in new and meaning not in renamed.values():
            yield comparing.change(place.at((value,), value), "removed", _with_names(comparing, value, group), None)


def _with_names(comparing: Comparing, value: str, group: ShapedMap) -> str:
    return f"{value} ({comparing.text(group)})" if group.entries else value


_Named = Mapping[str, tuple[str, ShapedMap]]


def _renamed(old: _Named, new: _Named) -> dict[str, str]:
    """Values that came, each with the one that went and is another name of it, or has it as another name."""
    links = [
        (meaning, other)
        for meaning, (_, group) in new.items()
        for other, (_, before) in old.items()
        if meaning not in old and other not in new and (other in _also(group) or meaning in _also(before))
    ]
    return {
        came: gone
        for came, gone in links
        if sum(came == each for each, _ in links) == sum(gone == each for _, each in links) == 1
    }


def _also(group: ShapedMap) -> set[str]:
    return {_meaning(each.tree) for each in items_at(group, "also")
            if isinstance(each, Raw) and isinstance(each.tree, Scalar)}  # fmt: skip


def _named(node: Shaped) -> _Named:
    """Each value by what it means, as it is written, with what is said of its other names."""
    if isinstance(node, ShapedList):
        raw = [item for item in node.items if isinstance(item, Raw)]
        return {_meaning(each.tree): (tree_text(each.tree), ShapedMap({}, {}, each.span))
                for each in raw if isinstance(each.tree, Scalar)}  # fmt: skip
    node = as_map(node)
    return {_meaning(node.keys[key]): (tree_text(node.keys[key]), as_map(below))
            for key, below in node.entries.items()}  # fmt: skip
