"""Limits of readings that a rule corrects first: which of them get a letter, under which the mark of the dial is worked
out once and written wherever the work needs it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from string import ascii_uppercase

from ..explaining.dial import points_of
from ..explaining.limits import Limit, Limits
from ..explaining.prose_tree import flat
from ..explaining.provisions_stated import Provisions
from .asked import AT_LEAST, AT_MOST, Place, asked_by, path_of, place_of
from .form import Dials


def letters_of(limits: Limits) -> Mapping[Place, str]:
    """A letter for each limit with a name, of a reading that a rule corrects by a list of the record itself."""
    places = dict.fromkeys(place_of(limit) for limit in limits.limits if _points(limit, limits) is not None)
    return dict(zip(places, ascii_uppercase, strict=False))


def _points(limit: Limit, limits: Limits) -> str | None:
    """Path of the list that a reading is corrected by; None where no mark is to be worked out."""
    comparison = limit.comparison
    if limit.requirement.watch is None or limit.applies is not None or comparison is None or comparison.node is None:
        return None
    if comparison.observed.term is None or comparison.relation not in AT_LEAST | AT_MOST or path_of(limit) is None:
        return None
    found = points_of(comparison.node, limits.procedure)
    return None if found is None or found.points.root is not None else ".".join(found.points.path)


def dials_of(limits: Limits, letters: Mapping[Place, str], stated: Provisions) -> Dials | None:
    """The limits with a letter, and how their readings are corrected; None where there are none."""
    lettered = {letters[place_of(limit)]: limit for limit in limits.limits if place_of(limit) in letters}
    points = next((path for limit in lettered.values() if (path := _points(limit, limits)) is not None), None)
    if points is None:
        return None
    lines = []
    for limit in lettered.values():
        asked = asked_by(limit, limits.words, letters)
        assert asked is not None, "a limit with a letter compares"
        lines.append(asked)
    return Dials(points, tuple(dict.fromkeys(_said(lettered.values(), limits, stated))), tuple(lines))


def _said(found: Iterable[Limit], limits: Limits, stated: Provisions) -> Iterator[tuple[str, str | None]]:
    names = {limit.comparison.observed.term for limit in found if limit.comparison is not None}
    for term in stated.terms:
        for procedures, prose in term.sentences:
            if term.name in names and limits.procedure.id in procedures:
                yield flat(prose), term.origin.clause
