"""Findings at random, for the verdict in closed form to be held to every combination."""

import random
from collections.abc import Callable, Iterator

from hypothesis import strategies as st

from reference.verdicts import Finding

Pick = Callable[[int], int]
Findings = tuple[list[Finding], int, int]
"""Findings, items there, items asked for."""

KINDS = ("acceptance", "acceptance", "setup", "setup", "setup", "advice")
SETTLED = ("met", "met", "met", "not met", "not met", "not applicable", "waived", "open")
UNSETTLED = (
    ("met", "not met"),
    ("met", "not applicable", "not met"),
    ("met", "not met", "open"),
    ("not applicable", "not met"),
    ("waived", "met"),
    ("waived", "not applicable", "met", "open"),
)


def one_list(pick: Pick) -> Findings:
    """At most seven findings, four of them unsettled at most, so that every combination can be tried."""
    present, asks = pick(4), pick(4)
    items = max(present, asks)
    unsettled = 4
    findings = []
    for _ in range(1 + pick(7)):
        item = 1 + pick(items) if items and pick(4) else None
        can: tuple[str, ...] = (SETTLED[pick(len(SETTLED))],)
        if unsettled and pick(2):
            unsettled -= 1
            can = UNSETTLED[pick(len(UNSETTLED))]
        kind = KINDS[pick(len(KINDS))]
        wide = kind == "acceptance" and item is None and bool(pick(2))
        voids = ("passes", "failures", "both")[pick(3)]
        findings.append(Finding(kind, voids, item, wide, frozenset(can)))
    return findings, present, asks


@st.composite
def lists_of_findings(draw: st.DrawFn) -> Findings:
    """The strategy, which shrinks."""
    return one_list(lambda n: draw(st.integers(0, n - 1)) if n > 1 else 0)


def seeded_findings(count: int, seed: int) -> Iterator[Findings]:
    """The same lists for the same seed."""
    source = random.Random(seed)
    for _ in range(count):
        yield one_list(source.randrange)
