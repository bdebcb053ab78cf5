"""Two editions -> every change of wording: figures, rules, texts, clause numbers; added, removed, changed.

Both are taken whole, amendments put in, and compared by what their digests are made over: layout, order of keys, and
another way of writing the same figure are no change. The names of the two editions themselves are no change either.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from ..editions.edition import AsWritten, Edition
from ..editions.reasons import Reason, reasons_at
from ..shape.shaped import Shaped, ShapedMap, as_map, text_at
from .change import Change, What
from .changes_items import Comparing, Place
from .changes_lists import left_to_people, programme
from .changes_tables import covers, tables

_NAMES = frozenset({"ruleset", "edition"})
_PARTS = frozenset(
    {"sources", "covers", "fields", "tables", "terms", "procedures", "left_to_people", "programme", "effective"}
)


def changes(old: Edition, new: Edition) -> tuple[Change, ...]:
    """Every change from ``old`` to ``new``, in the order of an edition; none if they state the same."""
    return tuple(replace(change, why=_why(change, old, new)) for change in compared(old.written, new.written))


def _why(change: Change, old: Edition, new: Edition) -> tuple[Reason, ...]:
    """What amendments say of the item that are put into the new edition, and not into the old one."""
    before = {old.name, *(layer.name for layer in old.layers)}
    return tuple(each for each in reasons_at(new.reasons, change.part) if each.edition not in before)


def compared(old: AsWritten, new: AsWritten) -> tuple[Change, ...]:
    """The same of editions as they are written, whether or not they can be judged by."""
    comparing = Comparing(old.shaped, new.shaped, {**old.rules, **new.rules})
    found = (
        *_texts(comparing),
        *_whole(comparing, "sources", "source", _sources(comparing)),
        *_whole(comparing, "covers", "covers", covers(comparing)),
        *_whole(comparing, "fields", "field", _fields(comparing)),
        *_whole(comparing, "tables", "table", tables(comparing)),
        *_whole(comparing, "terms", "term", _terms(comparing)),
        *_whole(comparing, "procedures", "procedure", _procedures(comparing)),
        *left_to_people(comparing),
        *programme(comparing),
    )
    return tuple(_told_apart(_moved(found)))


def _moved(found: Sequence[Change]) -> Iterator[Change]:
    """What went in one place and came in another with the same content, as from one procedure to another, says so."""
    gone: dict[tuple[str, str], list[Change]] = {}
    came: dict[tuple[str, str], list[Change]] = {}
    for change in found:
        if change.how in ("added", "removed") and not change.member:
            side, content = (came, change.after) if change.before is None else (gone, change.before)
            side.setdefault((change.what, content or ""), []).append(change)
    told: dict[int, str] = {}
    for key, (before, *more) in gone.items():
        if not more and len(came.get(key, ())) == 1:
            (after,) = came[key]
            told |= {id(before): f"moved to {after.where}", id(after): f"moved from {before.where}"}
    for change in found:
        yield replace(change, detail=told[id(change)]) if id(change) in told else change


def _told_apart(found: Iterable[Change]) -> Iterator[Change]:
    """Each with an id of its own: items without names may be called the same."""
    seen: dict[str, int] = {}
    for change in found:
        seen[change.id] = seen.get(change.id, 0) + 1
        yield replace(change, id=f"{change.id} ({seen[change.id]})") if seen[change.id] > 1 else change


def _whole(comparing: Comparing, key: str, what: What, found: Iterable[Change]) -> Iterator[Change]:
    """The changes of one part of the edition."""
    a, b = comparing.old.entries.get(key), comparing.new.entries.get(key)
    return comparing.told(Place(what, key, (key,)), a, b, found)


def _texts(comparing: Comparing) -> Iterator[Change]:
    """What the edition says of itself."""
    old, new = comparing.old, comparing.new
    for change in comparing.members(Place("text", "edition", ()), old, new, without=_NAMES | _PARTS):
        yield replace(change, what="months") if change.part == ("months",) else change
    place = Place("effective", "in force", ("effective",))
    a, b = as_map(old.entries["effective"]), as_map(new.entries["effective"])
    yield from comparing.told(place, a, b, comparing.members(place, a, b))


def _items(comparing: Comparing, key: str, what: What) -> Iterator[Change]:
    def place(name: str, node: ShapedMap) -> Place:
        return Place(what, name, (key, name), text_at(node, "title") or "")

    old, new = comparing.old.entries.get(key), comparing.new.entries.get(key)
    yield from comparing.items(old, new, place, comparing.members)


def _sources(comparing: Comparing) -> Iterator[Change]:
    return _items(comparing, "sources", "source")


def _fields(comparing: Comparing) -> Iterator[Change]:
    return _items(comparing, "fields", "field")


def _terms(comparing: Comparing) -> Iterator[Change]:
    return _items(comparing, "terms", "term")


# Procedures

_INSIDE = frozenset({"asks", "figures", "requirements"})


def _procedures(comparing: Comparing) -> Iterator[Change]:
    old, new = (as_map(side.entries["procedures"]).entries for side in (comparing.old, comparing.new))
    for name in dict.fromkeys((*new, *old)):
        a, b = old.get(name), new.get(name)
        place = Place("procedure", name, ("procedures", name), _title(b or a))
        if a is not None and b is not None:
            found = (*comparing.members(place, as_map(a), as_map(b), without=_INSIDE), *_inside(comparing, place, a, b))
            yield from comparing.told(place, a, b, found)
            continue
        lines = "\n".join(_lines(comparing, as_map(a or b)))
        yield comparing.change(
            place, "removed" if b is None else "added", None if a is None else lines, None if b is None else lines
        )
        yield from _inside(comparing, place, a, b, asks=False)


def _title(node: Shaped | None) -> str:
    return text_at(as_map(node), "title") or ""


def _lines(comparing: Comparing, node: ShapedMap) -> Iterator[str]:
    """A procedure that only one of them has; its requirements are told one by one."""
    told = comparing.lines(node, without=("figures", "requirements"))
    if told:
        yield told
    number = len(as_map(node.entries["requirements"]).entries)
    yield f"requirements: {number}"


def _inside(
    comparing: Comparing, place: Place, a: Shaped | None, b: Shaped | None, asks: bool = True
) -> Iterator[Change]:  # fmt: skip
    """Numbers of items asked for, figures shown and requirements of one procedure."""
    old, new = ({} if node is None else as_map(node).entries for node in (a, b))
    if asks:
        yield from _part(comparing, place, "asks", old.get("asks"), new.get("asks"))

    def figure(name: str, node: ShapedMap) -> Place:
        item = f"{place.item}, figure {name}"
        return Place("procedure", item, (*place.part, "figures", name), text_at(node, "title") or "")

    def requirement(name: str, node: ShapedMap) -> Place:
        item = f"{place.item}, {name}"
        return Place("requirement", item, (*place.part, "requirements", name), text_at(node, "title") or "")

    def changed(at: Place, one: ShapedMap, other: ShapedMap) -> Iterator[Change]:
        yield from comparing.members(at, one, other, without=("unless",))
        yield from _exceptions(comparing, at, one.entries.get("unless"), other.entries.get("unless"))

    found = comparing.items(old.get("figures"), new.get("figures"), figure, comparing.members)
    yield from comparing.told(place.of("figures"), old.get("figures"), new.get("figures"), found)
    yield from comparing.items(old.get("requirements"), new.get("requirements"), requirement, changed)


def _part(comparing: Comparing, place: Place, key: str, a: Shaped | None, b: Shaped | None) -> Iterator[Change]:
    """A map of single values, which either may lack."""
    either = a if a is not None else b
    if either is not None:
        nothing = ShapedMap({}, {}, either.span)
        old, new = (nothing if node is None else as_map(node) for node in (a, b))
        yield from comparing.told(place.of(key), a, b, comparing.members(place.of(key), old, new))


def _exceptions(comparing: Comparing, at: Place, a: Shaped | None, b: Shaped | None) -> Iterator[Change]:
    def named(name: str, node: ShapedMap) -> Place:
        return at.of("unless").of(name)

    yield from comparing.told(at.of("unless"), a, b, comparing.items(a, b, named, comparing.members))
