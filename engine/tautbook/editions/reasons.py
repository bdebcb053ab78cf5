"""Why an item was amended: what the amendments themselves say of it, kept beside the rules they were put into.

No verdict and no digest rests on a reason: an amendment cannot be told from the same rules written whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ..lang.tree import Mapping as TreeMapping
from ..lang.tree import Scalar, Tree

Way = tuple[str, ...]
"""The keys that lead to an item of an edition: ("tables", name), ("procedures", name, "requirements", id)."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why, and the edition that says so."""

    edition: str
    why: str


Reasons = Mapping[Way, tuple[Reason, ...]]
"""By item, the first amendment first; of an item that was struck as well."""


def reasons(items: Iterable[tuple[Way, Tree]], struck: Mapping[Way, str], edition: str, below: Reasons) -> Reasons:
    """``below``, with what the amendment ``edition`` says of the items that it states and strikes.

    An item stated whole is a new one: why the one before it was amended does not matter any more. Cells stand beside
    what was there.
    """
    found = {
        way: told for way, told in below.items()
        if not any(way[: len(gone)] == gone for gone in struck)
    }  # fmt: skip
    for way, value in items:
        if not isinstance(value, TreeMapping) or value.entry("cells") is None:
            found.pop(way, None)
        why = value.get("why") if isinstance(value, TreeMapping) else None
        if isinstance(why, Scalar):
            found[way] = (*found.get(way, ()), Reason(edition, " ".join(why.text.split())))
    return {**found, **{way: (Reason(edition, why),) for way, why in struck.items()}}


def reasons_at(reasons: Reasons, part: Way) -> tuple[Reason, ...]:
    """Of a part of an edition: what is said of the item that it is, or is in."""
    return next((reasons[part[:end]] for end in range(len(part), 0, -1) if part[:end] in reasons), ())
