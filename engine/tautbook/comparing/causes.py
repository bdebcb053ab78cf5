"""The parts in which two editions differ where a requirement reads them; and one edition with some parts of the other
put in, so that the parts that cause an effect can be told."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from ..editions.covers import COVERS
from ..editions.edition import Requirement
from ..lang.kernel import Rules, Table
from .paths import owner_of
from .reached import reach, same_table
from .side import Side

Key = tuple[object, ...]
_MEMBERS = ("require", "applies", "unless", "each", "absent", "kind", "voids", "waivable_by")


@dataclass(frozen=True, slots=True)
class Part:
    """One part that differs. ``name`` is that of a table, term or list; of a requirement, its member."""

    what: str
    """table, cell, term, months, asks, requirement, member."""
    name: str
    key: Key = ()
    keys: tuple[str, ...] = ()
    """Of a cell: its keys as the edition writes them."""


def differing(
    old: Requirement | None, new: Requirement | None, before: Side, after: Side,
    cells: Mapping[str, set[Key]] | None = None,
) -> tuple[Part, ...]:  # fmt: skip
    """The parts of both that a requirement comes to and that differ. ``cells``: of each table the keys that count;
    None, or no such table: all."""
    if old is None or new is None:
        return tuple(Part("requirement", each.id) for each in (old, new) if each is not None)
    one, two = reach(old, before), reach(new, after)
    found = [Part("member", name) for name in _members(old, new)]
    found += [
        Part("term", name)
        for name in sorted(one.terms & two.terms)
        if before.rules.terms[name] != after.rules.terms[name]
    ]
    for name in sorted(one.tables & two.tables):
        if not same_table(before, after, name):
            found += _table(name, before.rules.tables[name], after.rules.tables[name], (cells or {}).get(name))
    found += [
        Part("asks", path)
        for path in sorted(one.lists | two.lists)
        if before.asked(path) != after.asked(path)
    ]
    if (one.months or two.months) and before.rules.months != after.rules.months:
        found.append(Part("months", "months"))
    return tuple(found)


def _members(old: Requirement, new: Requirement) -> Iterator[str]:
    for name in _MEMBERS:
        one, two = getattr(old, name), getattr(new, name)
        if name == "unless":
            one, two = [each.when for each in old.unless], [each.when for each in new.unless]
        if name == "absent":
            one, two = one is None, two is None
        if one != two:
            yield name


def _table(name: str, old: Table, new: Table, keys: set[Key] | None) -> Iterator[Part]:
    if old.axes != new.axes or old.covers:
        yield Part("table", name)
        return
    for key in dict.fromkeys([*old.cells, *new.cells]):
        one, two = old.cells.get(key), new.cells.get(key)
        written = one or two
        if written is None or (keys is not None and key not in keys):
            continue
        if one is None or two is None or one.value != two.value:
            yield Part("cell", name, key, written.keys)


def with_parts(before: Side, after: Side, parts: Iterable[Part], id: str) -> Side:
    """``before`` with some parts of ``after``, for the requirement ``id``. Terms and tables that only ``after`` has
    stand ready for what is taken from it."""
    terms = {**after.rules.terms, **before.rules.terms}
    tables = {**after.rules.tables, **before.rules.tables}
    months, asks, requirement = before.rules.months, dict(before.asks), before.requirements.get(id)
    others = before.others
    for part in parts:
        match part.what:
            case "term":
                terms[part.name] = after.rules.terms[part.name]
            case "table":
                tables[part.name] = after.rules.tables[part.name]
            case "cell":
                cells = dict(tables[part.name].cells)
                cell = after.rules.tables[part.name].cells.get(part.key)
                if cell is None:
                    cells.pop(part.key, None)
                else:
                    cells[part.key] = cell
                tables[part.name] = replace(tables[part.name], cells=cells)
            case "months":
                months = after.rules.months
            case "asks" if part.name.startswith("evidence."):
                others = after.others
            case "asks":
                asks[part.name] = after.asks.get(part.name, 0)
            case "requirement":
                requirement = after.requirements.get(id)
            case _:
                requirement = _with_member(requirement, after.requirements[id], part.name)
    rest = {name: each for name, each in before.requirements.items() if name != id}
    requirements = rest if requirement is None else {**rest, id: requirement}
    return replace(before, rules=Rules(terms, tables, months), requirements=requirements, asks=asks, others=others)


def _with_member(requirement: Requirement | None, new: Requirement, member: str) -> Requirement:
    assert requirement is not None, "a requirement that only one edition has is one part"
    if member == "each":
        return replace(requirement, each=new.each, singular=new.singular, over=new.over)
    if member in {"require", "absent"}:
        return replace(requirement, require=new.require, absent=new.absent, over=new.over)
    return replace(requirement, **{member: getattr(new, member)})


def place_of(part: Part, procedure: str, requirement: str) -> tuple[str, ...]:
    """Where the part stands in an edition, as changes of wording tell it; the beginning of it at least."""
    match part.what:
        case "term" | "table" if part.name.startswith(COVERS):
            return ("covers", part.name.removeprefix(COVERS))
        case "term":
            return ("terms", part.name)
        case "table":
            return ("tables", part.name)
        case "cell":
            return ("tables", part.name, "rows", *part.keys)
        case "months":
            return ("months",)
        case "asks":
            owner, name = owner_of(part.name, procedure)
            return ("procedures", owner, "asks", name)
        case "requirement":
            return ("procedures", procedure, "requirements", requirement)
        case _:
            return ("procedures", procedure, "requirements", requirement, part.name)
