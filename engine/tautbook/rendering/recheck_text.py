"""Stored verdicts judged again, as text: how many still hold, then each with what parts it from the new judgement."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from ..comparing.recheck import Difference, Rechecked
from ..editions.edition import Edition
from .layout import labelled, paragraph
from .replay_text import names_of, why_different

_TITLES = {
    "record": "the record was changed after it was judged",
    "rules": "the rules are stated otherwise than they are",
    "verdict": "the verdict is another",
    "headline": "the first line is another",
    "finding": "findings are other ones",
    "figure": "figures are other ones",
    "wording": "the same is said in other words",
}
_MOST = 10
"""Differences of a kind that are told of one verdict."""


def recheck_headline(hold: int, broken: int, differ: int | None, under: Edition | None) -> str:
    """``2 of 3 stored verdicts hold``; ``differ`` is how many come out differently under another edition."""
    number = hold + broken
    text = f"{hold} of {number} stored verdict{'s' * (number != 1)} hold{'s' * (hold == 1)}"
    if under is None:
        return text
    return f"{text}; {differ} come{'s' * (differ == 1)} out differently by {under.name}"


def nothing_more(rechecked: Rechecked, under: Edition | None) -> bool:
    """Whether it holds, and there is no more to say of it than that."""
    return rechecked.holds and not rechecked.differences and not rechecked.notes and under is None


def rechecked_text(rechecked: Rechecked, under: Edition | None) -> str:
    """One stored verdict: its first line alone if there is no more to say."""
    stored = rechecked.stored
    if nothing_more(rechecked, under):
        lines = paragraph(f"holds: {stored.record_id}  {stored.name}  {stored.headline}", 0)
    else:
        lines = _lines(rechecked, under)
    return "".join(f"{line}\n" for line in lines)


def _lines(rechecked: Rechecked, under: Edition | None) -> Iterator[str]:
    stored = rechecked.stored
    held = "holds" if rechecked.holds else "does not hold"
    yield from paragraph(f"{held}: {stored.record_id}  {stored.name}", 0)
    yield from labelled("stated", stored.headline)
    if not rechecked.holds or stored.headline != rechecked.now.headline:
        yield from labelled("now", rechecked.now.headline)
    yield from labelled("by", rechecked.edition.name)
    told = sorted(rechecked.differences, key=lambda each: list(_TITLES).index(each.part))
    for part, group in groupby(told, key=lambda each: each.part):
        found = list(group)
        if part == "wording" and len(found) < len(told):
            # Sentences follow what they tell of, and that is told already.
            yield from paragraph(f"{_TITLES[part]} in {len(found)} place{'s' * (len(found) > 1)}")
        else:
            yield from paragraph(_TITLES[part])
            yield from _told(found)
    for note in rechecked.notes:
        yield from labelled("note", note)
    if rechecked.under is not None and under is not None:
        other = rechecked.under
        if not other.differs:
            yield from labelled("under", f"{under.name}: {other.new.words}, as it is")
        else:
            yield from labelled("under", f"{under.name}: {other.old.words} -> {other.new.words}")
            yield from why_different(other, names_of(rechecked.edition, under))


def _told(differences: list[Difference]) -> Iterable[str]:
    for each in differences[:_MOST]:
        yield from paragraph(each.where, 4)
        yield from labelled("stated", "nothing" if each.stated is None else each.stated, 6, 18)
        yield from labelled("now", "nothing" if each.now is None else each.now, 6, 18)
    if len(differences) > _MOST:
        yield from paragraph(f"and {len(differences) - _MOST} more", 4)
