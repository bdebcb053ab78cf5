"""The least and the most that one reading may be: a least above the most, windows without a mark of a usual dial."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from ..editions.edition import Procedure, Requirement
from ..explaining.comparisons import Comparison, conditions_of
from ..lang.evaluate import Step
from ..lang.kernel import Both, Compare, Not, Term
from ..lang.operations import words
from ..lang.quantity import ONE, Quantity
from ..lang.units import UNITS
from ..lang.values import Open
from ..shape.vocabulary import FieldInfo, vocabulary
from .combinations import Combination, is_cover, reads, tries
from .galley import Galley
from .report import Finding, error, listed, remark
from .survey import Survey, Surveyed, Tried, try_on

Seen = tuple[str | None, str, str | None]
"""What is bounded: a reading of the items of a list (None: of the record), its path, the term it is seen through."""


@dataclass(frozen=True, slots=True)
class Bound:
    value: Quantity
    included: bool
    requirement: Requirement


@dataclass(frozen=True, slots=True)
class Window:
    combination: Combination
    low: Bound
    high: Bound

    @property
    def empty(self) -> bool:
        low, high = self.low.value.value, self.high.value.value
        return low > high or (low == high and not (self.low.included and self.high.included))

    def holds(self, figure: Fraction) -> bool:
        low, high = self.low, self.high
        above = figure >= low.value.value if low.included else figure > low.value.value
        return above and (figure <= high.value.value if high.included else figure < high.value.value)

    @property
    def told(self) -> str:
        return f"{words(self.low.value)} to {words(self.high.value)} for {self.combination.told}"


def windows(copy: Galley, survey: Survey) -> Iterator[Finding]:
    for procedure in copy.edition.procedures.values():
        surveyed = [each for each in survey.requirements if each.procedure is procedure]
        for seen, bounding in _bounded(surveyed).items():
            found = list(_windows(seen, bounding, procedure))
            yield from _empty(found, procedure, copy)
            yield from _unmarked(seen, [window for window in found if not window.empty], procedure, copy)


def _bounded(surveyed: list[Surveyed]) -> dict[Seen, list[Surveyed]]:
    """Readings that are bounded from both sides, each with the requirements that do."""
    found: dict[Seen, dict[str, set[bool]]] = {}
    by_id = {each.requirement.id: each for each in surveyed}
    for each in surveyed:
        if each.requirement.kind == "advice":
            continue
        for tried in each.tried:
            for seen, low, _ in _bounds(tried, each.requirement):
                found.setdefault(seen, {}).setdefault(each.requirement.id, set()).add(low)
    return {
        seen: [by_id[id] for id in by]
        for seen, by in found.items()
        if {low for sides in by.values() for low in sides} == {True, False}
    }


def told_as_window(of: Surveyed) -> bool:
    """Whether a requirement bounds one reading from both sides, so that what is wrong with that is told here."""
    return any(of.requirement.id in {each.requirement.id for each in by} for by in _bounded([of]).values())


def _windows(seen: Seen, bounding: list[Surveyed], procedure: Procedure) -> Iterator[Window]:
    requirements = [each.requirement for each in bounding]
    nodes = [node for each in requirements for node in (each.require, each.applies) if node is not None]
    most = min(each.most for each in bounding) // len(bounding)
    for combination in tries(reads(nodes, procedure.rules), procedure, most).combinations:
        bounds = [
            (low, bound)
            for each in requirements
            for at, low, bound in _bounds(try_on(combination, each, procedure), each)
            if at == seen
        ]
        lows = [bound for low, bound in bounds if low]
        highs = [bound for low, bound in bounds if not low]
        if lows and highs:
            yield Window(
                combination,
                max(lows, key=lambda bound: (bound.value.value, not bound.included)),
                min(highs, key=lambda bound: (bound.value.value, bound.included)),
            )


def _bounds(tried: Tried, requirement: Requirement) -> Iterator[tuple[Seen, bool, Bound]]:
    """What a requirement asks of single readings: the reading, whether from below, and the figure.

    Only where it certainly applies; exceptions aside.
    """
    certain = tried.applies is None or tried.applies.value is True
    if tried.require is None or not certain or any(step.value is True for step in tried.unless):
        return
    for step in _asked_together(tried.require):
        for comparison in conditions_of(step):
            found = _bound(comparison, requirement)
            if found is not None:
                yield found


def _asked_together(step: Step) -> Iterator[Step]:
    match step.node:
        case Both():
            for part in step.parts:
                yield from _asked_together(part)
        case Term() if not is_cover(step.node):
            yield from _asked_together(step.parts[0])
        case Compare():
            yield step
        case Not(of=Compare()):
            yield step


def _bound(comparison: Comparison, requirement: Requirement) -> tuple[Seen, bool, Bound] | None:
    side, limit = comparison.observed, comparison.limit
    if side.path is None or side.over is not None or not isinstance(side.open, Open):
        return None
    if limit is None or not isinstance(limit.value, Quantity) or comparison.relation not in ("<", "<=", ">", ">="):
        return None
    low = comparison.relation in (">", ">=")
    bound = Bound(limit.value, comparison.relation in ("<=", ">="), requirement)
    return (requirement.each, side.path, side.term), low, bound


def _empty(found: list[Window], procedure: Procedure, copy: Galley) -> Iterator[Finding]:
    by: dict[tuple[str, str], list[Window]] = {}
    for window in found:
        if window.empty:
            by.setdefault((window.low.requirement.id, window.high.requirement.id), []).append(window)
    for (low, high), empty in by.items():
        both = f"`{low}` and `{high}` cannot hold together" if low != high else f"`{low}` can never hold"
        message = f"{both}: the least is above the most, {listed((window.told for window in empty), 3)}"
        at = copy.rule_place(procedure.id, empty[0].high.requirement, "require")
        yield error("windows", "window-empty", message, at, "compare both limits with the printed page")


def _unmarked(seen: Seen, found: list[Window], procedure: Procedure, copy: Galley) -> Iterator[Finding]:
    """Windows that no mark of a dial in its usual steps lies in."""
    words_of = vocabulary(procedure.id)
    info: FieldInfo | None = None if words_of is None else words_of.fields.get(seen[1])
    # One step may be given in two units.
    steps: dict[tuple[Fraction, Fraction], Quantity] = {}
    for unit, step in (info.resolution if info is not None else {}).items():
        dial = UNITS.get(unit, ONE)
        steps.setdefault((step * dial.scale, dial.offset), Quantity(step * dial.scale, dial))
    for (size, offset), mark in steps.items():
        by: dict[tuple[str, str], list[Window]] = {}
        for window in found:
            if not _has_mark(window, size, offset):
                by.setdefault((window.low.requirement.id, window.high.requirement.id), []).append(window)
        for (low, high), narrow in by.items():
            between = f"between `{low}` and `{high}`" if low != high else f"within `{low}`"
            told = listed((each.told for each in narrow), 3)
            message = f"a dial in steps of {_step(mark)} has no mark {between}: {told}"
            at = copy.rule_place(procedure.id, narrow[0].high.requirement, "require")
            help = "such a reading can only be estimated between two marks; ask for a finer dial, or widen the limits"
            yield remark("windows", "window-unmarked", message, at, help)


def _step(step: Quantity) -> str:
    """A step of degrees is no temperature: it has no place on the scale."""
    return words(step) if not step.unit.offset else f"{step.value / step.unit.scale} {step.unit.name}"


def _has_mark(window: Window, size: Fraction, offset: Fraction) -> bool:
    first = ((window.low.value.value - offset) / size).__ceil__()
    return any(window.holds((first + n) * size + offset) for n in range(2))
