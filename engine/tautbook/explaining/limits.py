"""What a test must meet, before any reading: every requirement with what is known put in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from ..editions.edition import Edition, Figure, Procedure, Requirement
from ..lang.evaluate import Step, evaluate
from ..lang.fold import fold
from ..lang.kernel import NoRule
from ..lang.quantity import Quantity
from ..lang.unreduce import print_kernel
from ..lang.values import Data, Group, Open, Plain, Stuck
from ..shape.vocabulary import Vocabulary
from .comparisons import Comparison, From, comparisons_of, origins_of
from .dial import dial_figure
from .explain import standings_of

State = Literal["limit", "holds", "broken", "no rule", "open"]


@dataclass(frozen=True, slots=True)
class Limit:
    """One figure of one requirement.

    ``state``: a *limit* that readings will be held to; *holds* or is *broken* by what is known already; *no rule*;
    or still *open*, since ``needs`` is not known.
    """

    requirement: Requirement
    state: State
    rule: str
    """What remains of the rule, as text."""
    comparison: Comparison | None = None
    needs: tuple[str, ...] = ()
    no_rule: tuple[Stuck, ...] = ()
    dial: Quantity | None = None
    """The mark of the dial to stop at, or not to pass, where its graduation is known."""
    applies: str | None = None
    """When it applies, if what is known does not tell."""


@dataclass(frozen=True, slots=True)
class FigureShown:
    """A figure worth seeing that is no requirement."""

    figure: Figure
    value: Plain | None
    needs: tuple[str, ...]
    no_rule: tuple[Stuck, ...]
    origins: tuple[From, ...]


@dataclass(frozen=True, slots=True)
class Limits:
    edition: Edition
    procedure: Procedure
    words: Vocabulary
    known: Group
    limits: tuple[Limit, ...]
    """Those with a label to watch by first, then as the edition has them."""
    figures: tuple[FigureShown, ...]
    advisory: bool
    demonstration: bool


def limits_of(edition: Edition, procedure: Procedure, words: Vocabulary, known: Group) -> Limits:
    """The figures under ``edition``, where ``known`` is what is known of the test before any reading."""
    steps = {
        each.id: evaluate(each.require, procedure.rules, known, _empty(each))
        for each in procedure.requirements
        if each.require is not None
    }
    found = [
        limit
        for each in procedure.requirements
        for limit in _of_requirement(each, steps.get(each.id), procedure, words, known)
    ]
    found.sort(key=lambda limit: limit.requirement.watch is None)
    standings: set[str | None] = {
        each.requirement.origin.standing for each in found if each.requirement.kind != "advice"
    }
    for step in steps.values():
        standings |= set(standings_of(step, edition))
    figures = tuple(_figure(each, procedure, known) for each in procedure.figures)
    return Limits(
        edition, procedure, words, known, tuple(found), figures, "from memory" in standings, "invented" in standings
    )


def _empty(requirement: Requirement) -> Mapping[str, Data]:
    """An item of which nothing is known; its path has no number, since it stands for every item."""
    if requirement.each is None or requirement.singular is None:
        return {}
    return {requirement.singular: Group(requirement.each, {})}


def _of_requirement(
    requirement: Requirement, step: Step | None, procedure: Procedure, words: Vocabulary, known: Group
) -> Iterator[Limit]:
    if requirement.require is None or step is None:
        reason = Stuck("no rule", requirement.absent or "")
        yield Limit(requirement, "no rule", "", no_rule=(reason,))
        return
    applies = None
    if requirement.applies is not None:
        value = evaluate(requirement.applies, procedure.rules, known, _empty(requirement)).value
        if value is False:
            return
        applies = print_kernel(fold(requirement.applies, procedure.rules, known)) if isinstance(value, Open) else None
    folded = fold(requirement.require, procedure.rules, known)
    rule = print_kernel(folded)
    if isinstance(folded, NoRule):
        yield Limit(requirement, "no rule", rule, no_rule=(folded.reason,), applies=applies)
        return
    comparisons = comparisons_of(step, requirement)
    # Of alternatives that are not decided yet, one that fails is no fault: the rule itself is told.
    undecided = isinstance(step.value, Open) and any(each.outcome == "not met" for each in comparisons)
    if not comparisons or undecided:
        yield Limit(requirement, _state(step), rule, applies=applies)
        return
    for comparison in comparisons:
        yield _of_comparison(comparison, requirement, procedure, words, known, rule, applies)


def _of_comparison(
    comparison: Comparison, requirement: Requirement, procedure: Procedure, words: Vocabulary, known: Group,
    rule: str, applies: str | None,
) -> Limit:  # fmt: skip
    match comparison.outcome:
        case "met":
            return Limit(requirement, "holds", rule, comparison, applies=applies)
        case "not met":
            return Limit(requirement, "broken", rule, comparison, applies=applies)
    limit = comparison.limit
    if limit is None or limit.value is not None:
        dial = dial_figure(comparison, requirement, procedure, words, known)
        return Limit(requirement, "limit", rule, comparison, dial=dial, applies=applies)
    missing = tuple(limit.open.missing) if limit.open is not None else ()
    stuck = tuple(limit.open.stuck) if limit.open is not None else ()
    state: State = "no rule" if stuck and not missing else "open"
    return Limit(requirement, state, rule, comparison, needs=missing, no_rule=stuck, applies=applies)


def _state(step: Step) -> State:
    if isinstance(step.value, Open):
        return "open"
    return "holds" if step.value else "broken"


def _figure(figure: Figure, procedure: Procedure, known: Group) -> FigureShown:
    step = evaluate(figure.value, procedure.rules, known)
    origins = tuple(dict.fromkeys(origins_of(step)))
    if isinstance(step.value, Open):
        return FigureShown(figure, None, step.value.missing, step.value.stuck, origins)
    return FigureShown(figure, step.value, (), (), origins)
