"""Waivers: leave given not to hold a requirement against a test, as stated on the record; nobody verified it here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ..editions.edition import Requirement
from ..lang.values import Data, Group, Items, Leaf

if TYPE_CHECKING:
    from .findings import Finding


@dataclass(frozen=True, slots=True)
class Waiver:
    """One waiver as recorded. ``item`` None speaks of every item, or of the whole record."""

    path: str
    requirement: str
    item: str | None
    by: str
    role: str
    on: str
    why: str


@dataclass(frozen=True, slots=True)
class Ignored:
    """A waiver without effect, and why."""

    waiver: Waiver
    why: str


def waivers_of(group: Group) -> tuple[Waiver, ...]:
    """The waivers on a record. INVARIANT: the schema says which of their fields are there."""
    listed = group.fields.get("waivers")
    items = listed.items if isinstance(listed, Items) else ()
    return tuple(_waiver(item) for item in items if isinstance(item, Group))


def _waiver(item: Group) -> Waiver:
    def text(name: str) -> str:
        return _text(item, name) or ""

    return Waiver(
        path=item.path, requirement=text("requirement"), item=_text(item, "item"), by=text("by"), role=text("role"),
        on=text("on"), why=text("why"),
    )  # fmt: skip


def _text(group: Group, name: str) -> str | None:
    found: Data | None = group.fields.get(name)
    return found.written if isinstance(found, Leaf) else None


def with_waivers(
    findings: Sequence[Finding], waivers: Iterable[Waiver], requirements: Sequence[Requirement]
) -> tuple[tuple[Finding, ...], tuple[Ignored, ...]]:
    """The findings after the waivers that have an effect, and the waivers that have none.

    A waiver acts only on a finding that is not met, of a requirement that names its role. What was never observed
    is not waived: it has to be observed first.
    """
    found = list(findings)
    ignored = []
    known = {requirement.id: requirement for requirement in requirements}
    for waiver in waivers:
        requirement = known.get(waiver.requirement)
        why = _no_effect(waiver, requirement)
        if why is None:
            spoken_of = [i for i, each in enumerate(found) if _speaks_of(waiver, each)]
            if not any(found[i].outcome == "not met" for i in spoken_of):
                why = _nothing_to_waive([found[i].outcome for i in spoken_of], waiver)
            for i in spoken_of:
                found[i] = _waived(found[i], waiver)
        if why is not None:
            ignored.append(Ignored(waiver, why))
    return tuple(found), tuple(ignored)


def _no_effect(waiver: Waiver, requirement: Requirement | None) -> str | None:
    if requirement is None:
        return f"this edition has no requirement `{waiver.requirement}`"
    if requirement.kind == "advice":
        return "advice decides nothing and needs no waiver"
    if not requirement.waivable_by:
        return "this edition lets nobody waive this requirement"
    if waiver.role.casefold() not in {role.casefold() for role in requirement.waivable_by}:
        return f"this edition lets only {' or '.join(requirement.waivable_by)} waive it, not {waiver.role}"
    return None


def _speaks_of(waiver: Waiver, finding: Finding) -> bool:
    return finding.requirement.id == waiver.requirement and waiver.item in (None, finding.item)


def _nothing_to_waive(outcomes: Sequence[str], waiver: Waiver) -> str:
    if not outcomes:
        return f"there is no finding of this requirement on `{waiver.item}`"
    if "waived" in outcomes:
        return "it was waived already"
    if "open" in outcomes:
        return "the requirement is still open"
    return "the requirement is not broken"


def _waived(finding: Finding, waiver: Waiver) -> Finding:
    if finding.outcome != "not met":
        return finding
    return replace(finding, outcome="waived", can=frozenset({"waived"}), waiver=waiver)
