"""What reports show of a record: what was set up and read, and what was set aside."""

from __future__ import annotations

from collections.abc import Iterator

from ..editions.edition import Procedure
from ..explaining.labels import item_label, label, without_numbers
from ..lang.operations import words as words_of
from ..lang.values import Data, Group, Items, Leaf
from ..records.data import Observed
from ..shape.shaped import Shaped, ShapedList, ShapedMap, ShapedValue, text_at
from ..shape.vocabulary import Vocabulary
from ..sheet.reads import fields_read
from .layout import labelled

_TOLD_ELSEWHERE = frozenset({"waivers"})


def as_recorded(observed: Observed) -> Group:
    """What the record itself holds: neither what is worked out from it, nor the records that it rests on."""
    fields = observed.group.fields.items()
    return Group("", {name: data for name, data in fields if data.path in observed.spans})


def on_record(group: Group, words: Vocabulary) -> Iterator[str]:
    """The record as it was read, but for its lists, whose readings are told with the findings."""
    single = []
    for name, data in group.fields.items():
        if isinstance(data, Group):
            info = words.fields.get(name)
            title = name if info is None else info.title
            text = ", ".join([*(f"{_short(leaf.path)} {written(leaf)}" for leaf in leaves(data)), *_lists(data)])
            if text:
                yield from labelled(title, text, column=32)
        elif isinstance(data, Leaf):
            single.append((label(name, words), data))
    for title, leaf in single:
        yield from labelled(title, written(leaf), column=32)


def beside_readings(
    group: Group, procedure: Procedure, ruleset: str, words: Vocabulary
) -> Iterator[tuple[str, str]]:
    """What the items of lists hold and no rule reads, so that no finding tells it: by item, a note among it."""
    read = fields_read(procedure, ruleset)
    for name, listed in group.fields.items():
        if not isinstance(listed, Items) or name in _TOLD_ELSEWHERE:
            continue
        for item in listed.items:
            unread = [leaf for leaf in leaves(item) if without_numbers(leaf.path) not in read]
            if unread:
                told = (f"{label(leaf.path, words)} {written(leaf)}" for leaf in unread)
                yield item_label(item.path, words), "; ".join(told)


def _lists(group: Group) -> Iterator[str]:
    """The lists inside a part of a record, such as the lines of a certificate."""
    for data in group.fields.values():
        if isinstance(data, Group):
            yield from _lists(data)
        elif isinstance(data, Items):
            lines = (", ".join(f"{_last(leaf.path)} {written(leaf)}" for leaf in leaves(item)) for item in data.items)
            yield f"{_short(data.path)} {'; '.join(lines)}"


def _last(path: str) -> str:
    return path.rpartition(".")[2].replace("_", " ")


def _short(path: str) -> str:
    return path.partition(".")[2].replace("_", " ").replace(".", " ")


def written(leaf: Leaf) -> str:
    """A value as it was written; yes and no in these words."""
    return words_of(leaf.value) if isinstance(leaf.value, bool) else leaf.written


def leaves(data: Data) -> Iterator[Leaf]:
    """The single values in a record or a part of it, but for those in lists."""
    match data:
        case Leaf():
            yield data
        case Group(fields=fields):
            for below in fields.values():
                yield from leaves(below)


def set_aside(record: ShapedMap, path: str) -> str:
    """Why an item was set aside, and by whom."""
    name, _, number = path.partition("[")
    items = record.entries.get(name)
    item = items.items[int(number.rstrip("]")) - 1] if isinstance(items, ShapedList) else None
    said = item.entries["set_aside"] if isinstance(item, ShapedMap) else None
    if not isinstance(said, ShapedMap) or not isinstance(item, ShapedMap):
        return ""
    others = [(field, below) for field, below in item.entries.items() if below is not said]
    read = ", ".join(text for field, below in others for text in _scalars(below, field))
    return f"{text_at(said, 'why')} ({text_at(said, 'by')}); on record: {read or 'nothing'}"


def _scalars(node: Shaped, path: str) -> Iterator[str]:
    match node:
        case ShapedMap(entries=entries):
            for name, below in entries.items():
                yield from _scalars(below, f"{path}.{name}")
        case ShapedList(items=items):
            for number, below in enumerate(items, 1):
                yield from _scalars(below, f"{path}[{number}]")
        case ShapedValue(written=written):
            yield f"{path} {written}"
