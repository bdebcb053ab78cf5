"""An amendment that changes nothing yet but the name and the day: samples of each way to amend, and what there is.

The samples are the base's own items as they stand, so that only the part that changes is to be written.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..editions.edition import Edition, Procedure, Requirement
from ..editions.to_fill_in import TO_FILL_IN, to_fill_in
from ..lang.tree import Mapping, Scalar, Sequence, Tree
from ..shape.schemas import load_schema
from .first_edition import who_and_when
from .lines import SAMPLE, columns, entry, heading, remark, sample, says, scalar_text, text

_WHY = f"why: {to_fill_in()}"


def amendment(ruleset: str, edition: str, base: Edition, whole: Mapping, effective: str | None) -> str:
    """The text of the file. ``whole`` is the tree of ``base`` with all that it amends put in."""
    lines = [
        "# yaml-language-server: $schema=../../schemas/amendment.schema.json",
        *_how_to(ruleset, edition, base),
        *heading("Who, when, and what is amended"),
        *who_and_when(ruleset, edition, effective),
        *remark("What 31 May and 9 months are: clamp, roll over or refuse."),
        *sample(entry("months", _at(whole, "months"), 0)),
        *remark(
            "The digest stands for everything that the other edition says: it cannot change under this one unnoticed."
        ),
        "amends:",
        f"  ruleset: {text(base.ruleset)}",
        f'  edition: "{base.edition}"',
        f"  digest: {base.digest}",
        *heading("What changes"),
        *_changes(base, whole),
        *heading(f"What there is in {base.name}"),
        *_there(base, whole),
    ]
    return "".join(f"{line}\n" for line in lines)


def _how_to(ruleset: str, edition: str, base: Edition) -> list[str]:
    draft = (
        f"{base.name} is a draft still. Enact it first: when it changes, the digest below does, and this edition is "
        "refused until it names the new one."
    )
    return [
        "#",
        *remark(
            f"{ruleset}@{edition}, an amendment of {base.name}: it states what changes, and all else stays. It "
            f"stands in the folder `{ruleset}`, in the file `{edition}.yaml`."
        ),
        *(remark(draft) if base.enacted is None else []),
        "#",
        *remark(
            f"What stands after # explains. A line that begins with {SAMPLE} is a sample, an item as it stands now: "
            "take these two signs away and nothing else, and change what changes. Lines of samples without another "
            "line between them belong together. A word at the very margin may stand in the file once: more of its "
            "kind go below it."
        ),
        *remark(
            f"{TO_FILL_IN} stands where only you know what belongs there. After each step `tautbook proofread` and the "
            "name of this file tells what is wrong, and lists what is still to be filled in; `tautbook shelf --show` "
            "prints the whole edition, each part with the one that it comes from."
        ),
    ]


def _changes(base: Edition, whole: Mapping) -> Iterator[str]:
    known = load_schema("amendment")["properties"]
    struck, changed = _two_requirements(base)
    if struck is not None:
        yield from remark(f"strike: {says(known['strike'])}")
        path = ".".join(("procedures", struck[0].id, "requirements", struck[1].id))
        yield from sample(["strike:", f"  {path}: {to_fill_in('why it is taken out')}"])
        yield ""
    for part in ("sources", "covers", "fields"):
        items = _items(whole, part)
        if items:
            yield from remark(f"{part}: {says(known[part])}")
            yield from sample([f"{part}:", *_item(items[0], 2)])
            yield ""
    tables = _items(whole, "tables")
    if tables:
        yield from remark(
            f"tables: {says(known['tables'])} Here one cell; with `rows`, and all else that the table has, it is whole."
        )
        yield from sample(["tables:", f"  {tables[0][0]}:", "    cells:", *_cell(tables[0][1]), f"    {_WHY}"])
        yield ""
    terms = _items(whole, "terms")
    if terms:
        yield from remark(f"terms: {says(known['terms'])} A name that is not there yet adds a term.")
        yield from sample(["terms:", *_item(terms[0], 2), f"    {_WHY}"])
        yield ""
    yield from remark(
        f"procedures: {says(known['procedures'])} A requirement that is named is replaced whole; a name that is not "
        "there yet adds one."
    )
    procedure, requirement = changed
    found = _at(whole, "procedures", procedure.id, "requirements", requirement.id)
    yield from sample(["procedures:", f"  {procedure.id}:", "    requirements:", *entry(requirement.id, found, 6),
                       f"        {_WHY}"])  # fmt: skip
    for part in ("left_to_people", "programme"):
        there = whole.get(part)
        if there is not None:
            yield ""
            yield from remark(f"{part}: {says(known[part])}")
            yield from sample(entry(part, there, 0))


def _two_requirements(
    base: Edition,
) -> tuple[tuple[Procedure, Requirement] | None, tuple[Procedure, Requirement]]:
    """One to strike, whose procedure has others beside it, if there is one; and one to change."""
    every = [(each, of) for each in base.procedures.values() for of in each.requirements if not of.covers]
    changed = next((pair for pair in every if pair[1].kind == "acceptance" and pair[1].require), every[0])
    others = [pair for pair in every if pair is not changed and sum(each is pair[0] for each, _ in every) > 1]
    order = {"advice": 0, "setup": 1, "acceptance": 2}
    return min(others, key=lambda pair: order[pair[1].kind], default=None), changed


def _items(whole: Mapping, part: str) -> list[tuple[str, Tree]]:
    """The items of a part of the edition, each with its name as it is written."""
    found = whole.get(part)
    return [(scalar_text(each.key), each.value) for each in found] if isinstance(found, Mapping) else []


def _item(of: tuple[str, Tree], indent: int) -> list[str]:
    return entry(*of, indent)


def _at(tree: Tree, *path: str) -> Tree:
    """What stands at ``path``. INVARIANT: the edition has it."""
    for key in path:
        below = tree.get(key) if isinstance(tree, Mapping) else None
        assert below is not None, path
        tree = below
    return tree


def _cell(table: Tree) -> Iterator[str]:
    """The first cell of a table below its keys."""
    tree, indent = _at(table, "rows"), 6
    while isinstance(tree, Mapping):
        first = tree.entries[0]
        if not isinstance(first.value, Mapping):
            yield from entry(scalar_text(first.key), first.value, indent)
            return
        yield f"{' ' * indent}{scalar_text(first.key)}:"
        tree, indent = first.value, indent + 2


def _there(base: Edition, whole: Mapping) -> list[str]:
    lines = remark(
        "By these names parts are changed or struck: such as tables.NAME or procedures.NAME.requirements.NAME."
    )
    for each in base.procedures.values():
        requirements = [(of.id, _told(of.origin.clause, of.title, of.origin.layer))
                        for of in each.requirements if not of.covers]  # fmt: skip
        figures = [(of.id, _told(of.origin.clause, of.title, of.origin.layer)) for of in each.figures]
        asks = [(path, f"{number} asked for") for path, number in each.asks.items()]
        lines += _listing(f"procedures.{each.id}: {each.title}", [])
        lines += _listing(f"procedures.{each.id}.asks", asks)
        lines += _listing(f"procedures.{each.id}.figures", figures)
        lines += _listing(f"procedures.{each.id}.requirements", requirements)
    tables = [(name, f"{_told(of.origin.clause, of.title, of.origin.layer)}; by {_keys(base, name)}")
              for name, of in base.tables.items()]  # fmt: skip
    terms = [(name, _told(of.origin.clause, of.title, of.origin.layer)) for name, of in base.terms.items()]
    lines += _listing("tables", tables)
    lines += _listing("terms", terms)
    lines += _listing("covers", [(path, ", ".join(_values(below))) for path, below in _items(whole, "covers")])
    for part in ("fields", "sources"):
        lines += _listing(part, [(name, _title(below)) for name, below in _items(whole, part)])
    return lines


def _listing(title: str, rows: list[tuple[str, str]]) -> list[str]:
    if not rows and ":" not in title:
        return []
    width = max((len(first) for first, _ in rows), default=0)
    return ["", *remark(title), *(line for first, second in rows for line in columns(f"  {first}", second, width + 2))]


def _told(clause: str | None, title: str, layer: str | None) -> str:
    clause = f"{clause}, " if clause else ""
    return f"{clause}{title}" + (f" (from {layer})" if layer else "")


def _keys(base: Edition, name: str) -> str:
    """The keys of a table, each with those that stand in it."""
    table = next(each.rules.tables[name] for each in base.procedures.values())
    keys = [dict.fromkeys(cell.keys[i] for cell in table.cells.values()) for i in range(len(table.axes))]
    return " and ".join(f"{axis.name} ({', '.join(there)})" for axis, there in zip(table.axes, keys, strict=True))


def _values(covered: Tree) -> list[str]:
    if isinstance(covered, Mapping):
        return [each.key.text for each in covered]
    return [each.text for each in covered.items if isinstance(each, Scalar)] if isinstance(covered, Sequence) else []


def _title(item: Tree) -> str:
    title = item.get("title") if isinstance(item, Mapping) else None
    return title.text if isinstance(title, Scalar) else ""
