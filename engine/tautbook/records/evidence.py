"""Records that others rest on: written out inside them, or named by file or by record number.

Nothing outside of the folder that was named is ever read. What a record rests on is put in its place, so that the
record is whole: its digest and its content are the same whether the other was named or written out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from ..lang.limits import LIMITS
from ..lang.problem import Problem, in_order
from ..lang.tree import Mapping as TreeMapping
from ..lang.tree import Scalar, Tree
from ..shape.digest import digest
from ..shape.shaped import Raw, Shaped, ShapedMap
from .folder import Folder
from .read import Found, record_of
from .record import Record


def with_evidence(record: Record, folder: Folder | None, chain: tuple[str, ...] = ()) -> Found:
    """``record`` with all that it rests on, or why that cannot be used. ``folder`` None: nothing can be named.

    ``chain`` has the digests of the records that rest on this one.
    """
    chain = (*chain, record.digest)
    found: dict[str, Record] = {}
    problems: list[Problem] = []
    for slot, raw in _slots(record):
        other, wrong = _other(record, slot, raw, folder, chain)
        problems += wrong
        if other is not None:
            found[slot] = other
    if problems:
        return None, in_order(problems)
    return (_joined(record, found) if found else record), ()


def _slots(record: Record) -> Iterator[tuple[str, Raw]]:
    group = record.shaped.entries.get("evidence")
    for slot, node in group.entries.items() if isinstance(group, ShapedMap) else ():
        if isinstance(node, Raw):
            yield slot, node


def _other(record: Record, slot: str, raw: Raw, folder: Folder | None, chain: tuple[str, ...]) -> Found:
    """The record in one slot, itself with all that it rests on."""
    tree, path = raw.tree, f"evidence.{slot}"
    if len(chain) > LIMITS.evidence:
        message = f"records rest on each other more than {LIMITS.evidence} deep"
        return None, (Problem("evidence-deep", message, tree.span, "leave the last ones out"),)
    if isinstance(tree, TreeMapping):
        other, problems = record_of(tree, record.file)
    else:
        assert isinstance(tree, Scalar), "the shape stage lets no list through"
        other, problems = _named(tree, record, folder)
    if other is None:
        return None, _told_where_named(problems, tree, path)
    wanted = record.words.fields[path].procedure
    if other.procedure != wanted:
        message = f"`{path}` is a record of `{wanted}`, and {other.id} is one of `{other.procedure}`"
        return None, (Problem("evidence-procedure", message, tree.span, "name the record that is meant"),)
    if other.digest in chain:
        message = f"{other.id} rests on itself" if len(chain) == 1 else f"{other.id} and {record.id} rest on each other"
        return None, (Problem("evidence-circle", message, tree.span, "leave one of the references out"),)
    whole, problems = with_evidence(other, folder, chain)
    return whole, _told_where_named(problems, tree, path)


def _told_where_named(problems: tuple[Problem, ...], tree: Tree, path: str) -> tuple[Problem, ...]:
    """Problems of another file, and where that file was named."""
    if not problems or not isinstance(tree, Scalar) or problems[0].span == tree.span:
        return problems
    message = f"the record named in `{path}` cannot be used"
    return Problem("evidence-unusable", message, tree.span, "its own problems are told beside"), *problems


def _named(name: Scalar, record: Record, folder: Folder | None) -> Found:
    if folder is None:
        message = "a record that comes without a folder can name no other"
        help = "write the other record out here, or judge the file where it stands"
        return None, (Problem("evidence-no-folder", message, name.span, help),)
    return folder.record(name, record.file)


def _joined(record: Record, found: Mapping[str, Record]) -> Record:
    group = record.shaped.entries["evidence"]
    assert isinstance(group, ShapedMap)
    inside: dict[str, Shaped] = {slot: other.shaped for slot, other in found.items()}
    entries: dict[str, Shaped] = {**record.shaped.entries, "evidence": replace(group, entries=inside)}
    shaped = replace(record.shaped, entries=entries)
    return replace(record, shaped=shaped, digest=digest(shaped), evidence=found)
