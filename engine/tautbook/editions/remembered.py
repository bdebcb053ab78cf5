"""Editions that were read in this process: the same bytes, on the same bytes below them, are the same edition.

Reading one takes far longer than asking whether its bytes are still the same. INVARIANT: what is remembered was read
from exactly the bytes that are at hand now, so that a file that changed is read again.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

from ..lang.problem import Problem
from .amend import Answer, Lookup
from .edition import Edition

Found = tuple[Edition | None, tuple[Problem, ...]]
_MOST = 8
"""How many are kept: those asked for last."""


@dataclass(frozen=True, slots=True)
class _Reading:
    """An edition, and what was answered about each that it amends when it was read."""

    edition: Edition
    below: tuple[tuple[str, Answer], ...]


_KNOWN: OrderedDict[tuple[bytes, str], _Reading] = OrderedDict()


def remembered(
    data: bytes, name: str, lookup: Lookup | None, read: Callable[[bytes, str, Lookup | None], Found]
) -> Found:
    """What ``read`` says of the bytes of a file shown as ``name``. What has problems is not kept, and read anew."""
    known = _KNOWN.get((data, name))
    if known is not None and all(lookup is not None and lookup(base) == answer for base, answer in known.below):
        _KNOWN.move_to_end((data, name))
        return known.edition, ()
    asked: list[tuple[str, Answer]] = []

    def noted(base: str) -> Answer:
        assert lookup is not None
        answer = lookup(base)
        asked.append((base, answer))
        return answer

    edition, problems = read(data, name, None if lookup is None else noted)
    if edition is not None and not problems:
        _KNOWN[data, name] = _Reading(edition, tuple(asked))
        _KNOWN.move_to_end((data, name))
        if len(_KNOWN) > _MOST:
            _KNOWN.popitem(last=False)
    return edition, problems
