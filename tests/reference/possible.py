"""Every verdict that open findings leave possible, however many there are.

Not by trying every combination but by carrying along the states that the findings of one item, then all items, then
the record can come to. `verdicts.could_be`, which tries every combination, is what it is held to.
"""

from collections.abc import Callable, Iterable
from typing import NamedTuple

from reference.verdicts import Finding


class One(NamedTuple):
    """What the findings of one item, or those of the record itself, have come to."""

    voids_passes: bool = False
    voids_failures: bool = False
    failed: bool = False
    wide_failed: bool = False
    wide_met: bool = False
    open: bool = False
    good: bool = False

    def then(self, finding: Finding, outcome: str) -> "One":
        bad = outcome == "not met"
        fault, fails = bad and finding.kind == "setup", bad and finding.kind == "acceptance"
        passes = finding.kind == "acceptance" and outcome in ("met", "waived")
        return One(
            self.voids_passes or (fault and finding.voids != "failures"),
            self.voids_failures or (fault and finding.voids != "passes"),
            self.failed or (fails and not finding.list_wide),
            self.wide_failed or (fails and finding.list_wide),
            self.wide_met or (finding.list_wide and finding.kind == "acceptance" and outcome == "met"),
            self.open or outcome == "open",
            self.good or passes,
        )


class All(NamedTuple):
    """What all items together have come to. `fails`: unless the record voids it."""

    voids_passes: bool = False
    voids_failures: bool = False
    fails: bool = False
    void: int = 0
    open: bool = False
    good: bool = False

    def then(self, item: One) -> "All":
        void = item.voids_passes or item.failed
        return All(
            self.voids_passes or item.voids_passes,
            self.voids_failures or item.voids_failures,
            self.fails or (item.failed and not item.voids_failures),
            self.void + void,
            self.open or (item.open and not void),
            self.good or (item.good and not void),
        )


def _ways(findings: Iterable[Finding]) -> set[One]:
    states = {One()}
    for finding in findings:
        states = {state.then(finding, outcome) for state in states for outcome in finding.can}
    return states


def _verdict(record: One, items: All, there: int, asks: int) -> str:
    voids_failures = record.voids_failures or items.voids_failures
    if not record.voids_failures and (items.fails or record.failed):
        return "fail"
    if record.wide_failed and not voids_failures:
        return "fail"
    if record.voids_passes or record.failed or record.wide_failed or (record.wide_met and items.voids_passes):
        return "invalid"
    if items.void and there - items.void < asks:
        return "invalid"
    return "pass" if (record.good or items.good) and not (record.open or items.open) else "incomplete"


def possible(findings: Iterable[Finding], present: int, asks: int) -> set[str]:
    """The same as `verdicts.could_be`."""
    decide = [finding for finding in findings if finding.kind != "advice"]
    of: Callable[[int | None], list[Finding]] = lambda n: [finding for finding in decide if finding.item == n]  # noqa: E731
    together = {All()}
    for n in sorted({finding.item for finding in decide if finding.item is not None}):
        ways = _ways(of(n))
        together = {state.then(item) for state in together for item in ways}
    there = max(present, asks)
    return {_verdict(record, items, there, asks) for record in _ways(of(None)) for items in together}
