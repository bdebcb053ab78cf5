"""Explanation -> the parts of an HTML report that show the record: readings, equipment, people, the record whole."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import yaml

from ..explaining.explain import Explanation
from ..explaining.labels import item_label, label
from ..lang.kinds import GroupKind
from ..lang.operations import words as words_of
from ..lang.problem import visible
from ..lang.values import Data, Group, Items, Leaf
from ..records.data import Observed
from ..records.record import Record, content
from ..shape.vocabulary import Vocabulary
from .account import why
from .page import facts, table, text
from .recorded_text import as_recorded, leaves, set_aside, written

STYLE = """
pre { font: .8rem/1.45 ui-monospace, Consolas, monospace; white-space: pre-wrap; overflow-wrap: anywhere; margin: 0; }
.groups { display: grid; grid-template-columns: repeat(auto-fit, minmax(18rem, 1fr)); gap: 0 2rem; }
.groups h3, .groups h4 { margin-top: .6rem; }
@media print {
  .groups { grid-template-columns: 1fr 1fr; }
  .groups > div { break-inside: avoid; }
}
"""
_MOST_SIDE_BY_SIDE = 6
"""Items that stand side by side in columns; more stand below each other."""
_PERSON = frozenset({"name", "role"})
_OF_ITS_OWN = frozenset({"serial", "id"})
"""Fields by which one piece of equipment is told from another."""
_TOLD_ELSEWHERE = frozenset({"waivers", "evidence", "procedure"})
_LOCAL = "local"
_IDENTITY = frozenset({"id", "job", "place", "tested", "retest_of"})
"""Told above, with what was judged."""


def readings_part(explanation: Explanation) -> Iterator[str]:
    """The lists of the record as tables, items set aside left out."""
    observed, words = explanation.verdict.observed, explanation.verdict.record.words
    for name, data in _own(observed):
        if isinstance(data, Items):
            yield from _items(data, label(name, words), observed, words)


def people_part(explanation: Explanation) -> Iterator[str]:
    words = explanation.verdict.record.words
    rows = [
        [label(name, words), *(_text_at(data, field) for field in ("name", "organisation", "role"))]
        for name, data in people(explanation)
    ]
    if rows:
        heads = ["part in the test", "name", "organisation", "role"]
        yield from table("who made and saw the test, as recorded", heads, rows)


def people(explanation: Explanation) -> list[tuple[str, Group]]:
    """The parts of the record that are persons."""
    own = _own(explanation.verdict.observed)
    return [(name, data) for name, data in own if isinstance(data, Group) and data.fields.keys() >= _PERSON]


def equipment_part(explanation: Explanation, level: int) -> Iterator[str]:
    """What the test was made with: parts of the record that have a number of their own, with their certificates."""
    words = explanation.verdict.record.words
    groups = []
    for name, data in _own(explanation.verdict.observed):
        if isinstance(data, Group) and _is_equipment(name, data, words):
            groups.append("\n".join(_group(name, data, words, level)))
    yield from _side_by_side(groups)


def material_part(explanation: Explanation, level: int) -> Iterator[str]:
    """What was tested, and all else that was recorded once."""
    words = explanation.verdict.record.words
    own = list(_own(explanation.verdict.observed))
    groups = [
        "\n".join(_group(name, data, words, level)) for name, data in own
        if isinstance(data, Group) and not data.fields.keys() >= _PERSON and not _is_equipment(name, data, words)
    ]  # fmt: skip
    single = [
        (label(name, words), text(written(data))) for name, data in own
        if isinstance(data, Leaf) and name not in _IDENTITY
    ]  # fmt: skip
    if single:
        groups.append("\n".join([f"<h{level}>besides</h{level}>", *facts(single)]))
    yield from _side_by_side(groups)


def waivers_part(explanation: Explanation) -> Iterator[str]:
    verdict = explanation.verdict
    words = verdict.record.words
    waivers = {each.waiver.path: (each.waiver, "has effect") for each in verdict.findings if each.waiver is not None}
    waivers |= {each.waiver.path: (each.waiver, f"ignored: {each.why}") for each in verdict.ignored_waivers}
    rows = [
        [waiver.requirement, item_label(waiver.item, words) if waiver.item else "", waiver.by, waiver.role, waiver.on,
         waiver.why, effect]
        for _, (waiver, effect) in sorted(waivers.items())
    ]  # fmt: skip
    if rows:
        heads = ["requirement", "item", "by", "role", "on", "why", "effect"]
        yield from table("waivers, as stated on the record and not verified", heads, rows)


def set_aside_part(explanation: Explanation) -> Iterator[str]:
    verdict = explanation.verdict
    rows = [
        [item_label(path, verdict.record.words), set_aside(verdict.record.shaped, path)]
        for path in verdict.observed.set_aside
    ]
    if rows:
        yield from table("set aside and not judged, with why, by whom and what was read", ["item", "why"], rows)


def evidence_part(explanation: Explanation, level: int) -> Iterator[str]:
    """The other records that this one rests on, an earlier test among them, each with its verdict by this edition."""
    for slot, other in explanation.verdict.record.evidence.items():
        judged = explanation.evidence.get(slot)
        title = explanation.verdict.record.words.fields[f"evidence.{slot}"].title
        yield f"<h{level}>{text(f'{title}: {other.id}')}</h{level}>"
        comes_to = "these rules know no such test" if judged is None else judged.headline
        where = "written out in this record" if other.file == explanation.verdict.record.file else other.file
        said = [("verdict", comes_to), ("file", where), ("digest", other.digest)]
        said += [] if judged is None else list(why(judged))
        yield from facts((name, text(what)) for name, what in said)
        if judged is not None:
            yield from evidence_part(judged, level)


def whole_part(record: Record) -> Iterator[str]:
    """The record as a file that reads back as the same record, those that it rests on written out in it."""
    lines = "\n".join(map(text, as_file(record).split("\n")))
    yield f"<pre>{lines}</pre>"


def as_file(record: Record) -> str:
    """The record in YAML. What has no shape of its own is written by number, so that nothing in it is hidden."""
    data = content(record.shaped)
    for plain in (True, False):
        found = yaml.dump(data, Dumper=_Dumper, sort_keys=False, allow_unicode=plain,
                          default_flow_style=None, width=1_000_000)  # fmt: skip
        if all(visible(line) == line for line in found.split("\n")):
            break
    return found.rstrip("\n")


class _Dumper(yaml.SafeDumper):
    def ignore_aliases(self, data: object) -> bool:
        """The strict reader takes no anchors: what stands twice is written twice."""
        return True


def _own(observed: Observed) -> Iterator[tuple[str, Data]]:
    for name, data in as_recorded(observed).fields.items():
        if name not in _TOLD_ELSEWHERE:
            yield name, data
    if _LOCAL in observed.group.fields:
        yield _LOCAL, observed.group.fields[_LOCAL]


def _side_by_side(groups: list[str]) -> Iterator[str]:
    if groups:
        yield '<div class="groups">'
        yield from (f"<div>\n{group}\n</div>" for group in groups)
        yield "</div>"


def _is_equipment(name: str, data: Group, words: Vocabulary) -> bool:
    kind = words.record.fields.get(name)
    return isinstance(kind, GroupKind) and bool(kind.fields.keys() & _OF_ITS_OWN) and not data.fields.keys() >= _PERSON


def _group(name: str, data: Group, words: Vocabulary, level: int) -> Iterator[str]:
    title = "observations of the authority's own" if name == _LOCAL else label(name, words)
    yield f"<h{level}>{text(title)}</h{level}>"
    yield from facts((_within(leaf.path, name, words), text(written(leaf))) for leaf in leaves(data))
    for items in _lists(data):
        yield from _items(items, _within(items.path, name, words), None, words)


def _within(path: str, name: str, words: Vocabulary) -> str:
    """The title of a field without what it is part of, which stands above it."""
    info = words.fields.get(path)
    if info is not None and path.count(".") == name.count(".") + 1:
        return info.title
    return path.removeprefix(f"{name}.").replace("_", " ").replace(".", ", ")


def _lists(group: Group) -> Iterator[Items]:
    for data in group.fields.values():
        if isinstance(data, Group):
            yield from _lists(data)
        elif isinstance(data, Items):
            yield data


def _items(items: Items, title: str, observed: Observed | None, words: Vocabulary) -> Iterator[str]:
    """A list as a table: its items beside each other where they are few, else below each other."""
    numbered = {_item(item.path, words): _cells(item, observed, words) for item in items.items}
    numbered = {name: cells for name, cells in numbered.items() if cells}
    fields = list(dict.fromkeys(field for cells in numbered.values() for field in cells))
    if not fields:
        return
    if len(numbered) <= _MOST_SIDE_BY_SIDE and len(fields) > 1:
        rows: Iterable[Sequence[str]] = (
            [field, *(cells.get(field, "not recorded") for cells in numbered.values())] for field in fields
        )
        yield from table(f"{title}, as recorded", ["observation", *numbered], rows)
    else:
        rows = ([name, *(cells.get(field, "not recorded") for field in fields)] for name, cells in numbered.items())
        yield from table(f"{title}, as recorded", ["item", *fields], rows)


def _item(path: str, words: Vocabulary) -> str:
    return item_label(path.rpartition(".")[2], words) if "." not in path else path.rpartition("[")[2].rstrip("]")


def _cells(data: Data, observed: Observed | None, words: Vocabulary) -> dict[str, str]:
    """What was read of one item, by what it is called."""
    match data:
        case Leaf():
            shown = written(data)
            derived = observed is not None and data.path not in observed.spans
            name = label(data.path, words) if data.path[-1] != "]" else "read"
            return {name: f"{shown} (worked out)" if derived else shown}
        case Group(fields=fields):
            found: dict[str, str] = {}
            for below in fields.values():
                found |= _cells(below, observed, words)
            return found
        case Items(path=path, items=items):
            texts = [_inside(item) for item in items]
            return {label(path, words): "; ".join(texts)} if texts else {}
        case _:
            return {}


def _inside(data: Data) -> str:
    if isinstance(data, Leaf):
        return written(data)
    return ", ".join(f"{leaf.path.rpartition('.')[2].replace('_', ' ')} {written(leaf)}" for leaf in leaves(data))


def _text_at(data: Group, field: str) -> str:
    leaf = data.fields.get(field)
    return words_of(leaf.value) if isinstance(leaf, Leaf) else ""
