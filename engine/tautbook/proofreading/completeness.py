"""Whether every requirement decides every combination of covered values; what the edition itself leaves open."""

from __future__ import annotations

from collections.abc import Iterator

from ..lang.evaluate import Step, steps_below
from ..lang.kernel import Lookup, key_of
from ..lang.values import Open, Stuck
from .combinations import Combination
from .galley import Galley
from .report import Finding, error, listed, remark
from .survey import Survey, Surveyed

Rows = dict[tuple[str, tuple[object, ...]], dict[str, None]]
"""Rows that are looked up and not there, with the names of the rules that do."""


def completeness(copy: Galley, survey: Survey) -> Iterator[Finding]:
    for each in survey.requirements:
        of = each.requirement
        place = ("procedures", each.procedure.id, "requirements", of.id)
        if of.absent is not None:
            message = f"`{of.id}` is declared absent: {of.absent}"
            help = "every verdict on such a test stays open until a rule is given"
            yield remark("completeness", "absent", message, copy.place(*place), help)
        for reason, where in _other_reasons(each).items():
            message = f"`{of.id}` has no rule for {listed((each.told for each in where), 3)}: {reason.detail}"
            at = copy.rule_place(each.procedure.id, of, "require")
            help = "give a rule for it, or take it out of `covers`"
            yield error("completeness", "no-rule", message, at, help)
        if each.tries.sampled:
            number, taken = each.tries.all, len(each.tries.combinations)
            message = f"`{of.id}` was tried on {taken} of {number} combinations, which are too many to try all"
            help = "split it into requirements that read fewer covered fields"
            yield remark("completeness", "sampled", message, copy.place(*place), help)


def _other_reasons(of: Surveyed) -> dict[Stuck, list[Combination]]:
    """Reasons for no rule other than a row that is not there, which is told at its table."""
    found: dict[Stuck, list[Combination]] = {}
    for tried in of.tried:
        for step, reason in tried.stuck:
            if not any(reason in value.reasons for _, _, value in _rows(step)):
                found.setdefault(reason, []).append(tried.combination)
    return found


def rows_not_there(survey: Survey) -> Rows:
    """Rows that some requirement or figure needs on covered values, and that are not there."""
    found: Rows = {}
    for each in survey.requirements:
        for tried in each.tried:
            for step in dict.fromkeys(step for step, _ in tried.stuck):
                for table, key, _ in _rows(step):
                    found.setdefault((table, key), {})[each.requirement.id] = None
    for figure in survey.figures:
        for _, step in figure.tried:
            if isinstance(step.value, Open) and step.value.stuck:
                for table, key, _ in _rows(step):
                    found.setdefault((table, key), {})[figure.figure.id] = None
    return found


def _rows(step: Step) -> Iterator[tuple[str, tuple[object, ...], Open]]:
    """The look-ups that leave a rule without an answer: table, key, and the value with its reasons."""
    assert isinstance(step.value, Open)
    for at in steps_below(step):
        if not isinstance(at.node, Lookup) or not isinstance(at.value, Open) or " " in at.node.table:
            continue
        keys = [part.value for part in at.parts]
        if any(isinstance(key, Open) for key in keys) or not at.value.reasons & step.value.reasons:
            continue
        yield at.node.table, tuple(key_of(key) for key in keys if not isinstance(key, Open)), at.value
