"""Exceptions and requirements that decide nothing, since others of the procedure decide before them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import partial
from itertools import islice, permutations

from ..editions.edition import Procedure, Requirement
from ..lang.evaluate import Step
from ..lang.source import Span
from .combinations import Combination, Tries, reads, tries
from .condition_ways import ALWAYS, NEVER, Ways, all_of, any_of, apart
from .conditions import Conditions
from .galley import Galley
from .report import Finding, remark
from .shadowed_words import seen_at
from .survey import Survey, Surveyed, Tried, exception_of, rules_of, settled, try_on

MOST_PAIRS = 2_000
"""Pairs of requirements of one procedure that are looked at."""
MOST_TRIED = 10_000
"""Combinations that these are tried on, together."""


def exceptions(survey: Survey) -> Iterator[Finding]:
    """Exceptions that hold only where another one does, where the requirement does not apply, or where it is met."""
    for each in survey.requirements:
        if each.requirement.unless and not each.tries.sampled:
            yield from _exceptions(each)


_NOT_APPLYING, _MET = -1, -2


def _exceptions(of: Surveyed) -> Iterator[Finding]:
    unless = of.requirement.unless
    numbers = range(len(unless))
    implied = {*permutations(numbers, 2), *((i, j) for i in numbers for j in (_NOT_APPLYING, _MET))}
    varying: set[int] = set()
    for tried in of.live:
        conditions = Conditions()
        for i in numbers:
            if conditions.ways(tried.unless[i]) != NEVER:
                varying.add(i)
        for i, j in list(implied):
            if not apart(conditions.ways(tried.unless[i]), _unshadowed(j, tried, conditions)):
                implied.discard((i, j))
    # Of one that always or never holds, that much is told already.
    varying = {i for i in varying if settled(of, partial(exception_of, i)) is None}
    told: set[int] = set()
    for i in reversed([i for i in numbers if i in varying]):
        causes = [j for j in (_NOT_APPLYING, _MET, *numbers) if (i, j) in implied and j in {*varying, -1, -2} - told]
        if causes:
            told.add(i)
            named, at = f"the exception `{unless[i].id}` of `{of.requirement.id}`", unless[i].when.span
            message = f"{named} decides nothing: wherever it holds, {_told(causes[0], of.requirement)}"
            yield remark("requirements", "exception-implied", message, at, "strike one of the two, or mend it")


def _unshadowed(by: int, tried: Tried, conditions: Conditions) -> Ways | None:
    """Where an exception would still decide something."""
    if by == _NOT_APPLYING:
        return ALWAYS if tried.applies is None else conditions.ways(tried.applies)
    if by == _MET:
        return ALWAYS if tried.require is None else conditions.ways(tried.require, False)
    return conditions.ways(tried.unless[by], False)


def _told(by: int, requirement: Requirement) -> str:
    if by == _NOT_APPLYING:
        assert requirement.applies is not None
        return f"the requirement does not apply, by {seen_at(requirement.applies.span)}"
    if by == _MET:
        assert requirement.require is not None
        return f"the requirement is met, by {seen_at(requirement.require.span)}"
    other = requirement.unless[by]
    return f"the exception `{other.id}` holds too, by {seen_at(other.when.span)}"


# Requirements


def requirements(copy: Galley, survey: Survey) -> Iterator[Finding]:
    """Requirements that are not met only where another one is not met either, of which nothing else comes.

    Advice is left aside: a second one may be the same warning, more urgent.
    """
    for procedure in copy.edition.procedures.values():
        of = [each for each in survey.requirements if each.procedure is procedure and _looked_at(each)]
        told: set[str] = set()
        trials = _Trials(procedure)
        for one, other in islice(_pairs(of), MOST_PAIRS):
            if {one.requirement.id, other.requirement.id} & told or not trials.implied(one, other):
                continue
            told.add(one.requirement.id)
            at = copy.rule_place(procedure.id, one.requirement, "require")
            by = _at(other, copy)
            message = f"`{one.requirement.id}` decides nothing: wherever it is not met, {by} is not met either"
            help = "strike one of the two, or mend its rule"
            yield remark("requirements", "requirement-implied", message, at, help)


def _at(of: Surveyed, copy: Galley) -> str:
    place: Span = copy.rule_place(of.procedure.id, of.requirement, "require")
    line, column = place.source.position(place.start)
    return f"`{of.requirement.id}` (line {line}, column {column})"


def _looked_at(each: Surveyed) -> bool:
    return each.requirement.kind != "advice" and each.requirement.require is not None and not each.tries.sampled


def _pairs(of: list[Surveyed]) -> Iterator[tuple[Surveyed, Surveyed]]:
    """Those of which the same comes; the later one first."""
    alike: dict[tuple[object, ...], list[Surveyed]] = {}
    for each in of:
        said = each.requirement
        alike.setdefault((said.kind, said.voids, said.each, said.waivable_by), []).append(each)
    for those in alike.values():
        for i in reversed(range(len(those))):
            yield from ((those[i], those[j]) for j in range(len(those)) if j != i)


@dataclass(slots=True)
class _Trials:
    """Requirements of one procedure, tried in pairs on what both of them read."""

    procedure: Procedure
    left: int = MOST_TRIED
    known: dict[tuple[tuple[str, ...], int], Tries] = field(default_factory=dict)

    def implied(self, one: Surveyed, other: Surveyed) -> bool:
        """Whether ``one`` can fail somewhere, and nowhere but where ``other`` fails."""
        rules = [*rules_of(one.requirement), *rules_of(other.requirement)]
        paths, most = reads(rules, self.procedure.rules), min(one.most, other.most)
        if (paths, most) not in self.known:
            self.known[paths, most] = tries(paths, self.procedure, most)
        found = self.known[paths, most]
        fails = False
        for combination in found.combinations if not found.sampled else ():
            self.left -= 1
            conditions = Conditions()
            failing = _failing(_tried(one, combination), conditions)
            if self.left < 0 or not apart(failing, _not_failing(_tried(other, combination), conditions)):
                return False
            fails |= failing != NEVER
        return fails


def _tried(of: Surveyed, combination: Combination) -> Tried:
    return try_on(combination, of.requirement, of.procedure)


def _failing(tried: Tried, conditions: Conditions) -> Ways | None:
    """The ways in which a requirement is not met."""
    return all_of(
        ALWAYS if tried.applies is None else conditions.ways(tried.applies),
        conditions.ways(_require(tried), False),
        *(conditions.ways(each, False) for each in tried.unless),
    )


def _not_failing(tried: Tried, conditions: Conditions) -> Ways | None:
    return any_of(
        NEVER if tried.applies is None else conditions.ways(tried.applies, False),
        conditions.ways(_require(tried)),
        *(conditions.ways(each) for each in tried.unless),
    )


def _require(tried: Tried) -> Step:
    assert tried.require is not None
    return tried.require
