"""What stands in the way of a job, or is worth telling of it."""

from __future__ import annotations

from dataclasses import dataclass, field

from .needs import Need

ORDER = (
    "unusable", "two-records", "edited", "verdict-altered", "record-gone",
    "other-job", "lot-not-delivered", "other-than-delivered", "other-than-in-the-work", "not-told-apart", "not-placed",
    "equipment-not-on-job", "other-equipment", "not-drawn-so",
    "held", "split", "not-stated", "no-leave", "out-of-calibration",
    "hidden-failure", "failed", "invalid", "incomplete", "missing", "expired", "advisory",
    "other-edition", "other-quantity", "more-than-came", "leave-unused", "left-over", "later",
)  # fmt: skip
"""In which order things are mended: first what is on paper, since verdicts rest on it; then which lots and tests are
meant and what tests are made with, since a test of the wrong ones is lost; then the tests that failed, were not valid,
are not finished, were not made, do not count any more. The last row never stands in the way."""

_TOLD_ONLY = frozenset(ORDER[ORDER.index("other-edition") :])
_SOFT = frozenset({"incomplete", "advisory"})


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing, in words. ``code`` is stable and one of ORDER."""

    code: str
    text: str
    next: str | None = None
    """What the edition says to do, or what mends it."""
    records: tuple[str, ...] = ()
    """Numbers of the records that it is about."""
    needs: tuple[Need, ...] = field(default=(), repr=False, compare=False)
    """The tests that it speaks of, where it speaks of tests and not of records."""

    @property
    def blocks(self) -> bool:
        """Whether it stands in the way."""
        return self.code not in _TOLD_ONLY

    @property
    def soft(self) -> bool:
        """Whether it only asks for what is not finished, or for figures that somebody has to check."""
        return self.code in _SOFT


def in_order(faults: list[Fault]) -> tuple[Fault, ...]:
    """In the order in which to mend them, each once; those alike in the order they were found."""
    return tuple(sorted(dict.fromkeys(faults), key=lambda fault: ORDER.index(fault.code)))
