"""What a job knows of a test: all that the papers say of the lots and the equipment that are named."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..jobs.job import Job, Lot
from ..jobs.parts import joined, leaves
from ..lang.kernel import key_of
from ..lang.quantity import number
from ..lang.values import Data, Group, Leaf, data_at, with_leaf
from ..shape.schemas import load_schema
from ..shape.vocabulary import Vocabulary

_LOT = "lot"


def known_of(job: Job, given: Group, words: Vocabulary) -> Group:
    """The fields of a record that the job fills in, where ``given`` has what was said of the test.

    What is named must be one thing of the job alone: of two that agree with what was given nothing is filled in.
    """
    found = Group("", {})
    if "job" in words.fields:
        found = with_leaf(found, "job", Leaf("job", job.id, job.id))
    by = load_schema("job")["x-total"]["by"]
    found = _with([each.data for each in job.assemblies], by, found, given, words)
    given = joined(found, given)
    for of in dict.fromkeys(lot.of for lot in job.lots):
        mine = [lot for lot in job.lots if lot.of == of]
        found = _with([Group("", {of: lot.data}) for lot in mine], f"{of}.{_LOT}", found, given, words)
        found = _with_quantity(mine, found, given, words)
    for of, key in dict.fromkeys((each.of, each.key) for each in job.equipment):
        things = [Group("", {of: each.data}) for each in job.equipment if each.of == of]
        found = _with(things, f"{of}.{key}", found, given, words)
    return found


def _with_quantity(lots: Iterable[Lot], found: Group, given: Group, words: Vocabulary) -> Group:
    """``found`` with how many came of a lot, where what is given and found is of that lot alone."""
    for lot in lots:
        path = f"{lot.of}.quantity"
        both = Group("", {lot.of: lot.data})
        filled = isinstance(data_at(found, f"{lot.of}.{_LOT}"), Leaf) and _agrees(both, f"{lot.of}.{_LOT}", found)
        there = isinstance(data_at(given, path), Leaf)
        if filled and lot.quantity is not None and path in words.fields and not there:
            found = with_leaf(found, path, Leaf(path, number(lot.quantity), str(lot.quantity)))
    return found


def _with(papers: Iterable[Group], key: str, found: Group, given: Group, words: Vocabulary) -> Group:
    """``found`` with what the papers say that ``given`` names by ``key``."""
    named = data_at(given, key)
    if not isinstance(named, Leaf):
        return found
    meant = [each for each in papers if _agrees(each, key, given)]
    return joined(found, _in_words(meant[0], words)) if len(meant) == 1 else found


def _agrees(paper: Group, key: str, given: Group) -> bool:
    """Whether nothing that was given is said otherwise there."""
    both = ((leaf, data_at(given, leaf.path)) for leaf in leaves(paper))
    said = [(leaf, other) for leaf, other in both if isinstance(other, Leaf)]
    same = all(key_of(leaf.value) == key_of(other.value) for leaf, other in said)
    return same and any(leaf.path == key for leaf, _ in said)


def _in_words(group: Group, words: Vocabulary) -> Group:
    """What a record of this kind has a place for."""
    return Group(group.path, dict(_kept(group, words)))


def _kept(group: Group, words: Vocabulary) -> Iterator[tuple[str, Data]]:
    for name, data in group.fields.items():
        if group.below(name) in words.fields:
            yield name, _in_words(data, words) if isinstance(data, Group) else data
