"""Records under two editions, as text: how many came out how, then each that comes out differently, and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from ..comparing.replay import Counts, Decides, Replayed, Says
from ..editions.edition import Edition, RequirementKind
from ..explaining.labels import item_label
from ..shape.vocabulary import Vocabulary
from .layout import labelled, paragraph

_MOST = 3
"""Requirements that are told of one record."""


def names_of(old: Edition, new: Edition) -> tuple[str, str]:
    """What the two editions are called beside each other, as short as can be."""
    if old.name == new.name:
        return f"{old.name} (old)", f"{new.name} (new)"
    return (old.edition, new.edition) if old.ruleset == new.ruleset else (old.name, new.name)


def drafts(*editions: Edition) -> Iterator[str]:
    """A line for each edition that is a draft: what was worked out by it can still change."""
    for edition in {each.digest: each for each in editions if each.enacted is None}.values():
        yield f"{edition.name} is a draft: nobody has enacted it, and it can still change"


def replay_headline(counts: Counts, old: Edition, new: Edition) -> str:
    """``3 of 40 records come out differently by tern-sound@2021 than by tern-sound@2016``."""
    number, judged = counts.different, counts.judged
    comes = f"{number} of {judged} record{'s' * (judged != 1)} come{'s' * (number == 1)} out differently"
    was, now = names_of(old, new) if old.name == new.name else (old.name, new.name)
    return f"{comes} by {now} than by {was}"


def replay_start(counts: Counts, old: Edition, new: Edition) -> str:
    """What stands above the records: drafts, the headline, and how many came out how."""
    lines = [*drafts(old, new), replay_headline(counts, old, new), "", *_counted(counts)]
    return "".join(f"{line}\n" for line in lines)


def _counted(counts: Counts) -> Iterator[str]:
    pairs = sorted(counts.pairs.items(), key=lambda pair: (-pair[1], pair[0]))
    for (old, new), number in pairs:
        if old != new:
            yield f"{number:>8}  {old} -> {new}"
    same = ", ".join(f"{number} {old}" for (old, new), number in pairs if old == new)
    other = f"; {counts.other_reasons} of them for other reasons" if counts.other_reasons else ""
    yield f"{counts.same:>8}  the same{f': {same}' if same else ''}{other}"
    if counts.not_used:
        yield f"{counts.not_used:>8}  could not be used"


def replayed_text(replayed: Replayed, old: Edition, new: Edition) -> str:
    """One record that comes out differently; it begins with an empty line."""
    return "".join(f"{line}\n" for line in ("", *_lines(replayed, names_of(old, new))))


def _lines(replayed: Replayed, names: tuple[str, str]) -> Iterator[str]:
    record = replayed.record
    yield from paragraph(f"{record.id}  {replayed.old.words} -> {replayed.new.words}  {record.file}", 0)
    yield from why_different(replayed, names)


def why_different(replayed: Replayed, names: tuple[str, str]) -> Iterator[str]:
    """The requirements that decide, each with what both editions find; without any, what both say in one line."""
    groups = _alike(replayed.deciding)
    if not groups:
        for name, side in zip(names, (replayed.old, replayed.new), strict=True):
            yield from labelled(name, side.headline, column=18)
    for group in groups[:_MOST]:
        yield from _requirement(group, names, replayed.record.words)
    if len(groups) > _MOST:
        ids = dict.fromkeys(group[0].requirement for group in groups[_MOST:])
        yield from labelled("and", ", ".join(ids), column=18)


def _alike(deciding: Iterable[Decides]) -> list[list[Decides]]:
    """Items of one requirement of which the same is to be said, together."""
    found: dict[tuple[str | None, ...], list[Decides]] = {}
    for each in deciding:
        found.setdefault((each.requirement, *outcomes(each)), []).append(each)
    return list(found.values())


def _requirement(group: list[Decides], names: tuple[str, str], words: Vocabulary) -> Iterator[str]:
    """Its first item in full; the others by name, since the same is to be said of them."""
    first = group[0]
    yield from paragraph(f"{first.requirement}: {first.title}")
    for name, said, says in zip(names, outcomes(first), (first.old, first.new), strict=True):
        clause = f" [{says.clause}]" if says is not None and says.clause else ""
        text = said if says is None else f"{said}: {says.sentence}{clause}"
        yield from labelled(name, text, indent=4, column=18)
    others = [item_label(each.item, words) for each in group[1:] if each.item is not None]
    if others:
        yield from labelled("also", ", ".join(others), indent=4, column=18)


_KINDS: Mapping[RequirementKind, str] = {"acceptance": "acceptance", "setup": "set-up", "advice": "advice"}


def outcomes(decides: Decides) -> tuple[str, str]:
    """The outcome by both editions: whether a fault of the test voids it, and of which kind the requirement is where
    that differs."""
    old, new = decides.old, decides.new
    kinds = old is not None and new is not None and old.kind != new.kind
    return _outcome(old, kinds), _outcome(new, kinds)


def _outcome(says: Says | None, kind: bool) -> str:
    if says is None:
        return "not asked"
    return f"{says.outcome}{', void' if says.voided else ''}{f' ({_KINDS[says.kind]})' if kind else ''}"
