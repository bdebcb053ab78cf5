"""What no requirement reaches: formulas that nothing calls, and the crosschecks of tables.

Each must make sense in one procedure at least, and the cells of a table must be as near to its formula as it says.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from ..lang.calendar import MonthPolicy
from ..lang.check import check
from ..lang.problem import Problem
from ..lang.surface import Expression
from ..shape.shaped import ShapedMap, map_at
from .crosscheck import crosscheck
from .procedures import Ground
from .terms import called, reached
from .written import Written


def check_unjudged(written: Written, grounds: Sequence[Ground], months: MonthPolicy) -> None:
    """Their problems, noted in ``written``. ``grounds`` has that of each procedure."""
    formulas = grounds[0].formulas if grounds else {}
    rules = written.rules_in(written.shaped.entries["procedures"])
    used = reached((name for rule in rules for name in called(rule, formulas)), formulas)
    for name in formulas:
        if name not in used:
            written.problems += _fewest(on.terms([name])[1] for on in grounds)
    for name, node in map_at(written.shaped, "tables").items():
        assert isinstance(node, ShapedMap)
        said = node.entries.get("crosscheck")
        if isinstance(said, ShapedMap) and (formula := written.rule(said, "formula")) is not None:
            written.problems += _fewest(_crosschecked(name, said, formula, on, months) for on in grounds)


def _fewest(tries: Iterable[list[Problem]]) -> list[Problem]:
    return min(tries, key=lambda problems: len(problems), default=[])


def _crosschecked(table: str, node: ShapedMap, formula: Expression, on: Ground, months: MonthPolicy) -> list[Problem]:
    terms, _ = on.terms(called(formula, on.formulas))
    if terms.faulty or table not in on.scope.tables:
        return []  # what is wrong with these was said where they stand
    rule, problems = check(formula, replace(on.scope, terms=terms.signatures))
    if rule is None:
        return list(problems)
    return list(crosscheck(on.scope.tables[table], node, rule, on.scope.record, on.rules(terms, months)))
