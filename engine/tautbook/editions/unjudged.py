"""What no requirement reaches: formulas that nothing calls, and the crosschecks of tables.

Each must make sense in one procedure at least, and the cells of a table must be as near to its formula as it says.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from ..lang.check import check
from ..lang.kernel import Definition, Rules
from ..lang.problem import Problem
from ..lang.surface import Expression
from ..shape.shaped import ShapedMap, map_at
from .crosscheck import crosscheck
from .procedures import Ground
from .terms import Checked, called, check_terms, reached
from .written import Written


def check_unjudged(written: Written, grounds: Sequence[Ground]) -> None:
    """Their problems, noted in ``written``. ``grounds`` has that of each procedure."""
    formulas = grounds[0].formulas if grounds else {}
    rules = written.rules_in(written.shaped.entries["procedures"])
    used = reached((name for rule in rules for name in called(rule, formulas)), formulas)
    for name in formulas:
        if name not in used:
            written.problems += _fewest(_tried([name], on)[1] for on in grounds)
    for name, node in map_at(written.shaped, "tables").items():
        assert isinstance(node, ShapedMap)
        said = node.entries.get("crosscheck")
        if isinstance(said, ShapedMap) and (formula := written.rule(said, "formula")) is not None:
            written.problems += _fewest(_crosschecked(name, said, formula, on) for on in grounds)


def _fewest(tries: Iterable[list[Problem]]) -> list[Problem]:
    return min(tries, key=lambda problems: len(problems), default=[])


def _tried(names: Sequence[str], on: Ground) -> tuple[Checked, list[Problem]]:
    mine = reached(names, on.formulas)
    formulas = {each: on.formulas[each] for each in mine}
    return check_terms(formulas, [each for each in on.order if each in mine], on.scope)


def _crosschecked(table: str, node: ShapedMap, formula: Expression, on: Ground) -> list[Problem]:
    terms, _ = _tried(called(formula, on.formulas), on)
    if terms.faulty or table not in on.scope.tables:
        return []  # what is wrong with these was said where they stand
    scope = replace(on.scope, terms=terms.signatures)
    problems = list(check(formula, scope)[1])
    if problems:
        return problems
    covers = {cover.name: Definition(cover.name, (), cover.body) for cover in on.covers}
    tables = {**on.scope.tables, **{cover.name: cover.table for cover in on.covers}}
    rules = Rules({**covers, **terms.definitions}, tables)
    return list(crosscheck(on.scope.tables[table], node, formula, scope, rules))
