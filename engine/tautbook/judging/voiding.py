"""What a fault of the test takes the value from: findings that it voids, and items that then do not count."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from .findings import Finding


def with_voiding(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings, those marked that a fault of the test voids."""
    faults = [each for each in findings if each.requirement.kind == "setup" and each.outcome == "not met"]
    return tuple(replace(each, voided=any(_voids(fault, each) for fault in faults)) for each in findings)


def _voids(fault: Finding, finding: Finding) -> bool:
    if finding.requirement.kind != "acceptance" or finding.outcome not in ("met", "not met"):
        return False
    what = "passes" if finding.outcome == "met" else "failures"
    if fault.requirement.voids not in (what, "both"):
        return False
    return fault.item is None or fault.item == finding.item or fault.listed in finding.requirement.over


def void_items(findings: Iterable[Finding]) -> frozenset[str]:
    """Items that do not count: a fault of the test voids what they passed, or voids their failure."""
    return frozenset(
        each.item
        for each in findings
        if each.item is not None
        and each.outcome == "not met"
        and (
            each.voided
            if each.requirement.kind == "acceptance"
            else each.requirement.voids in ("both", "passes")
        )
    )
