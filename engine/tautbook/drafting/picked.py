"""What a first edition is begun with, picked from the schemas of records: the engine knows no field by name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ..lang.kinds import ChoiceKind, Kind, ListKind, NumberKind, QuantityKind, TextKind, YesNoKind
from ..lang.problem import Problem, did_you_mean
from ..shape.schemas import procedures
from ..shape.vocabulary import FieldInfo, Vocabulary, vocabulary


@dataclass(frozen=True, slots=True)
class Picked:
    """One procedure with fields that serve as examples of each kind of rule.

    INVARIANT: a record schema has a required choice and a required field with an example beside it, a reading, a
    choice among stated words, and a yes/no; a test holds that for each that is shipped.
    """

    words: Vocabulary
    covered: tuple[FieldInfo, ...]
    """Fields that every record has and whose values an edition names, the first a choice."""
    others: tuple[FieldInfo, ...]
    """Choices with several values in use that a record may have."""
    reading: FieldInfo
    each: str | None
    """The list whose items are read."""
    reading_says: str
    """The reading as a rule about one item says it."""
    choice: FieldInfo
    options: tuple[str, ...]
    """The words of the choice."""
    answer: FieldInfo
    lot: FieldInfo
    """A text beside the first covered field, which tells one delivery from another."""


def chosen(named: Iterable[str]) -> tuple[tuple[str, ...], tuple[Problem, ...]]:
    """The procedures named, in the order of ``most_rested_on``; all, if none is. Or those that there are not."""
    wanted = tuple(dict.fromkeys(named))
    problems = [
        Problem("unknown-procedure", f"there is no procedure `{name}`",
                help=did_you_mean(name, procedures(), f"records exist of: {', '.join(procedures())}"))
        for name in wanted if name not in procedures()
    ]  # fmt: skip
    known = tuple(name for name in most_rested_on() if not wanted or name in wanted)
    return known, tuple(problems)


def most_rested_on() -> tuple[str, ...]:
    """All procedures; those whose records others rest on stand before the others, since they are tested first."""
    known = [words for id in procedures() if (words := vocabulary(id)) is not None]
    rests = {
        words.procedure: sum(words.procedure in _rests_on(other) for other in known if other is not words)
        for words in known
    }
    return tuple(sorted(rests, key=lambda id: (-rests[id], id)))


def _rests_on(words: Vocabulary) -> set[str | None]:
    return {info.procedure for info in words.fields.values()}


def picked(procedure: str) -> Picked:
    words = vocabulary(procedure)
    assert words is not None, procedure
    fields = [info for info in words.fields.values() if info.path != "procedure"]
    lists = [info for info in fields if isinstance(info.kind, ListKind) and "." not in info.path]
    inside = [info for info in fields if any(info.path.startswith(f"{each.path}.") for each in lists)]
    outside = [info for info in fields if info not in inside]
    covered = [info for info in outside if info.required and info.examples and _of(info, ChoiceKind, QuantityKind)]
    covered.sort(key=lambda info: not _of(info, ChoiceKind))
    others = [info for info in outside if not info.required and _of(info, ChoiceKind) and len(info.examples) > 1]
    # The last one: what is read at the end of a test is mostly what decides.
    *_, reading = [*_kind(inside, NumberKind), *_kind(inside, QuantityKind)]
    within = next(each for each in lists if reading.path.startswith(f"{each.path}."))
    assert isinstance(within.kind, ListKind)
    group, _, _ = covered[0].path.rpartition(".")
    stated = [info for info in outside if isinstance(info.kind, ChoiceKind) and len(info.kind.options or ()) > 1]
    choice = _shallow(stated)
    assert isinstance(choice.kind, ChoiceKind)
    return Picked(
        words=words, covered=tuple(covered), others=tuple(others), reading=reading, each=within.path,
        reading_says=within.kind.singular + reading.path.removeprefix(within.path),
        choice=choice, options=choice.kind.options or (),
        answer=_shallow(info for info in outside if _of(info, YesNoKind) and info.derived is None),
        lot=_first(info for info in _kind(outside, TextKind) if info.path.startswith(f"{group}.")),
    )  # fmt: skip


def keys(of: Picked) -> tuple[FieldInfo, ...]:
    """What the figures of a table mostly depend on: the first covered choice and the first covered size."""
    return (of.covered[0], *list(_kind(of.covered, QuantityKind))[:1])


def figure(of: FieldInfo, number: int = 1) -> str:
    """What stands for a figure of that field: a small whole number nobody takes for a real one, in its usual unit."""
    return f"{number} {of.units[0]}" if of.units else str(number)


def kind_word(kind: Kind) -> str:
    """As a parameter of a term says its kind."""
    return kind.dimension.name if isinstance(kind, QuantityKind) else "number"


def _of(info: FieldInfo, *kinds: type[Kind]) -> bool:
    return isinstance(info.kind, kinds)


def _kind(infos: Iterable[FieldInfo], kind: type[Kind]) -> Iterator[FieldInfo]:
    return (info for info in infos if isinstance(info.kind, kind))


def _first(infos: Iterable[FieldInfo]) -> FieldInfo:
    return next(iter(infos))


def _shallow(infos: Iterable[FieldInfo]) -> FieldInfo:
    """The first with the shortest way to it: what belongs to the whole test before what belongs to a part of it."""
    return min(infos, key=lambda info: info.path.count("."))
