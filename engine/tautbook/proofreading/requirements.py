"""Requirements that decide nothing: that can never fail, never hold or never apply, or void nothing."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from ..editions.edition import Procedure
from .galley import Galley
from .report import Finding, error, remark
from .survey import Survey, Surveyed, exception_of, settled
from .windows import told_as_window


def requirements(copy: Galley, survey: Survey) -> Iterator[Finding]:
    for each in survey.requirements:
        # Of a sample nothing can be said of all.
        if not each.tries.sampled:
            yield from _conditions(each, copy)
            yield from _rule(each, copy)
    for procedure in copy.edition.procedures.values():
        yield from _voiding(procedure, [each for each in survey.requirements if each.procedure is procedure], copy)


def _conditions(of: Surveyed, copy: Galley) -> Iterator[Finding]:
    """``applies`` and ``unless`` that are known before anything is tested."""
    id = of.requirement.id
    at = copy.rule_place(of.procedure.id, of.requirement, "applies")
    applies = settled(of, lambda tried: tried.applies, applying=False)
    if applies is False:
        message = f"`{id}` never applies to anything that this edition covers"
        yield remark("requirements", "never-applies", message, at, "mend the condition, or strike the requirement")
        return
    if applies:
        message = f"`{id}` always applies, so that its condition says nothing"
        yield remark("requirements", "always-applies", message, at, "leave `applies` out, or mend it")
    for i, exception in enumerate(of.requirement.unless):
        place = exception.when.span or at
        named = f"the exception `{exception.id}` of `{id}`"
        holds = settled(of, partial(exception_of, i))
        if holds:
            message = f"{named} always holds, so that the requirement never decides"
            yield error("requirements", "always-excepted", message, place, "mend the exception, or strike it")
        elif holds is False and not told_as_window(of):
            message = f"{named} never holds for anything that this edition covers"
            yield remark("requirements", "never-excepted", message, place, "mend the exception, or strike it")


def _rule(of: Surveyed, copy: Galley) -> Iterator[Finding]:
    id = of.requirement.id
    holds = settled(of, lambda tried: tried.require)
    at = copy.rule_place(of.procedure.id, of.requirement, "require")
    if holds:
        message = f"`{id}` can never fail: it holds for everything that this edition covers, whatever is read"
        yield remark("requirements", "never-fails", message, at, "mend the rule, or strike the requirement")
    elif holds is False and not told_as_window(of):
        message = f"`{id}` can never hold: it fails for everything that this edition covers, whatever is read"
        yield error("requirements", "never-holds", message, at, "mend the rule, or strike the requirement")


def _voiding(procedure: Procedure, surveyed: list[Surveyed], copy: Galley) -> Iterator[Finding]:
    """Set-up rules with no acceptance finding that they could void."""
    accepting = [each for each in surveyed if each.requirement.kind == "acceptance" and each.requirement.require]
    accepting = [each for each in accepting if each.tries.sampled or each.live]
    if not accepting:
        message = f"nothing in `{procedure.id}` decides whether what was tested is accepted, so that no test can pass"
        help = "give at least one requirement the kind `acceptance`"
        yield error("requirements", "nothing-accepted", message, copy.place("procedures", procedure.id), help)
        return
    for each in surveyed:
        of = each.requirement
        if of.kind != "setup" or of.each is None or of.voids is None:
            continue
        there = any(of.each == other.requirement.each or of.each in other.requirement.over for other in accepting)
        if not there:
            message = f"`{of.id}` voids nothing: no acceptance requirement speaks of {of.each}"
            help = "say it of the whole record, make it `advice`, or add what it is to void"
            at = copy.rule_place(procedure.id, of, "each")
            yield remark("requirements", "voids-nothing", message, at, help)

