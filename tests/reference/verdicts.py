"""The verdict on given outcomes, and every verdict that open findings leave possible, by brute force."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import product

OUTCOMES = ("met", "not applicable", "not met", "waived", "open")


@dataclass(frozen=True, slots=True)
class Finding:
    """One requirement on a record (`item` None) or on one item of its list.

    kind: setup, acceptance, advice. voids: what a set-up fault voids: passes, failures, both.
    list_wide: a finding of the record that speaks of all items. can: the outcomes it may still come to.
    """

    kind: str
    voids: str = "both"
    item: int | None = None
    list_wide: bool = False
    can: frozenset[str] = frozenset({"met"})


Assignment = Sequence[tuple[Finding, str]]


def verdict_of(assignment: Assignment, present: int, asks: int) -> str:
    """pass, fail, invalid or incomplete; `present` counts the items not set aside, `asks` 0 means no list.

    A waived finding is neither met nor not met, so that no fault voids it.
    """
    faults = [f for f, outcome in assignment if f.kind == "setup" and outcome == "not met"]
    acceptance = [(f, outcome) for f, outcome in assignment if f.kind == "acceptance"]
    failures = [f for f, outcome in acceptance if outcome == "not met"]

    def voided(finding: Finding, what: str) -> bool:
        return any(
            fault.voids in (what, "both")
            and (fault.item is None or fault.item == finding.item or finding.list_wide)
            for fault in faults
        )

    if any(not voided(f, "failures") for f in failures):
        return "fail"

    void_items = {fault.item for fault in faults if fault.voids in ("passes", "both")}
    void_items |= {f.item for f in failures}  # each of them voided, or the verdict were a fail
    record_void = None in void_items
    void_items -= {None}
    list_void = any(o == "met" and f.list_wide and voided(f, "passes") for f, o in acceptance)
    # Items that are asked for and not there yet are items like any other, of which nothing is known.
    others = max(present, asks) - len(void_items)
    if record_void or list_void or (void_items and others < asks):
        return "invalid"

    counted = [(f, o) for f, o in assignment if f.kind != "advice" and f.item not in void_items]
    if present < asks or any(outcome == "open" for _, outcome in counted):
        return "incomplete"
    if not any(f.kind == "acceptance" and outcome in ("met", "waived") for f, outcome in counted):
        return "incomplete"
    return "pass"


def could_be(findings: Iterable[Finding], present: int, asks: int) -> set[str]:
    """The verdicts over all combinations of what each finding can still become. Exponential.

    Items not there yet can still be supplied, so that by themselves they rule nothing out: their findings do,
    and the caller gives those too.
    """
    listed = list(findings)
    ways = product(*(sorted(f.can) for f in listed))
    there = max(present, asks)
    return {verdict_of(list(zip(listed, outcomes, strict=True)), there, asks) for outcomes in ways}
