"""What no real test shows, as formulas: records that the schema of a procedure refuses."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from ..lang.kernel import Field, Interpolate, Node, Over, Recorded, Rules, parts_of
from ..lang.kinds import ListKind
from ..records.derived import Impossible, sense
from .paths import unnumbered
from .symbols import Flag, NotReached, conj, known, neg
from .translate import Here, Translation
from .unknowns import Unknowns


def sound(unknowns: Unknowns, whole: bool = False) -> Iterator[Flag]:
    """That the record is one that a real test can show, as far as the fields go that are looked for so far; ``whole``:
    on every item of a list, also where only others are looked for."""
    words = unknowns.vocabulary
    there = {unnumbered(path) for path in unknowns.fields}
    translation = Translation(unknowns, Rules({}, {}), {}, words.record)
    for check in sense(words.procedure).impossible:
        if not _fields(words.procedure, check.sound.id) & there:
            continue
        for item in list(_items(check, unknowns, whole)):
            at = Here({} if item is None or check.singular is None else {check.singular: item})
            try:
                value = translation.symbol(check.require, at)
            except NotReached:
                continue  # lists within items are not written here
            if value.value is not None:
                yield neg(conj(known(value), neg(value.value)))
    yield from translation.must


def _items(check: Impossible, unknowns: Unknowns, whole: bool) -> Iterator[str | None]:
    each = check.sound.each
    if each is None:
        yield None
        return
    kind = unknowns.vocabulary.record.fields[each]
    assert isinstance(kind, ListKind)
    _, places = unknowns.items(each, kind, 0)
    for _, place in places:
        if whole or any(path.startswith(f"{place}.") for path in unknowns.fields):
            yield place


@cache
def _fields(procedure: str, id: str) -> frozenset[str]:
    """Paths, without numbers, of the fields that a check reads."""
    check = next(each for each in sense(procedure).impossible if each.sound.id == id)
    found: set[str] = set()
    stack: list[Node] = [check.require]
    while stack:
        at = stack.pop()
        stack += parts_of(at)
        match at:
            case Field(root=root, path=path):
                found.add(".".join(path if root is None else (check.sound.each or "", *path)))
            case Recorded(of=field) | Over(of=field) | Interpolate(points=field):
                stack.append(field)
    return frozenset(found)
