"""The programme of an edition: which tests it asks for, on which combinations of lots."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ..lang.calendar import CalendarSpan, MonthPolicy
from ..lang.check import check
from ..lang.printing import print_expression
from ..lang.problem import did_you_mean
from ..shape.shaped import ShapedMap, ShapedValue, as_map, items_at, map_at, scalar_at, text_at, value_at
from ..shape.vocabulary import Vocabulary
from .edition import Asked
from .procedures import Ground
from .terms import called
from .written import Written


def read_programme(
    written: Written, known: Mapping[str, Vocabulary], grounds: Mapping[str, Ground], months: MonthPolicy
) -> tuple[Asked, ...]:
    """The lines of the programme. What is wrong with them comes to stand among the problems of ``written``."""
    found = (_asked(as_map(node), written, known, grounds, months) for node in items_at(written.shaped, "programme"))
    return tuple(each for each in found if each is not None)


def _asked(
    node: ShapedMap, written: Written, known: Mapping[str, Vocabulary], grounds: Mapping[str, Ground],
    months: MonthPolicy,
) -> Asked | None:  # fmt: skip
    procedure = scalar_at(node, "procedure")
    assert procedure is not None
    procedures = map_at(written.shaped, "procedures")
    if procedure.written not in procedures:
        help = did_you_mean(procedure.written, procedures)
        written.add("unknown-procedure", f"this edition has no procedure `{procedure.written}`", procedure, help)
        return None
    if procedure.written not in known:
        return None  # that no records of it exist was said where the procedure stands
    words, on = known[procedure.written], grounds[procedure.written]
    paths = [path for path in items_at(node, "for_each") if isinstance(path, ShapedValue)]
    for path in paths:
        if path.written not in words.fields:
            help = did_you_mean(path.written, words.fields)
            written.add("unknown-name", f"no field is called `{path.written}`", path, help)
    lasts = value_at(node, "lasts")
    asked = Asked(
        procedure.written, tuple(path.written for path in paths), text_at(node, "clause"), text_at(node, "note"),
        lasts=lasts if isinstance(lasts, CalendarSpan) else None,
        waivable_by=tuple(role.written for role in items_at(node, "waivable_by") if isinstance(role, ShapedValue)),
    )  # fmt: skip
    expression = written.rule(node, "when")
    if expression is None:
        return asked
    terms, _ = on.terms(called(expression, on.formulas))
    when, problems = check(expression, replace(on.scope, terms=terms.signatures), "yes/no")
    written.problems += problems
    return replace(asked, when=when, when_says=print_expression(expression), rules=on.rules(terms, months))
