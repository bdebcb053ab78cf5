"""Terms and tables that no requirement, no figure and no crosscheck reaches."""

from __future__ import annotations

from collections.abc import Iterator

from ..editions.terms import called, reached
from ..lang.surface import Cell, Expression, parts_of
from ..shape.shaped import ShapedMap, map_at
from .galley import Galley
from .report import Finding, remark


def unused(copy: Galley) -> Iterator[Finding]:
    terms, tables = used(copy)
    for part, reaching, help in (
        ("terms", terms, "use it in a requirement or a figure, or strike it"),
        ("tables", tables, "look a figure up in it, or strike it"),
    ):
        for name in map_at(copy.written.shaped, part):
            if name not in reaching:
                what = part.removesuffix("s")
                message = f"no requirement, figure or crosscheck reaches the {what} `{name}`"
                yield remark("unused", f"unused-{what}", message, copy.place(part, name), help)


def used(copy: Galley) -> tuple[frozenset[str], frozenset[str]]:
    """The terms and the tables that are reached."""
    roots = _roots(copy)
    terms = reached((name for rule in roots for name in called(rule, copy.formulas)), copy.formulas)
    rules = (*roots, *(copy.formulas[name].expression for name in terms))
    return terms, frozenset(name for rule in rules for name in _tables(rule))


def _roots(copy: Galley) -> list[Expression]:
    """All rules besides those of the terms themselves."""
    entries = copy.written.shaped.entries
    found = [rule for key in ("procedures", "covers") for rule in copy.written.rules_in(entries[key])]
    for table in map_at(copy.written.shaped, "tables").values():
        said = table.entries.get("crosscheck") if isinstance(table, ShapedMap) else None
        found += copy.written.rules_in(said) if isinstance(said, ShapedMap) else []
    return found


def _tables(rule: Expression) -> Iterator[str]:
    stack = [rule]
    while stack:
        e = stack.pop()
        if isinstance(e, Cell):
            yield e.table
        stack += parts_of(e)
