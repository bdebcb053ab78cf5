"""Printed cells against the formula that they are said to follow: what finds a typing error before a test does.

A cell that is further off than the edition allows is a problem, unless the edition lists it with the reason. The
formula never decides a verdict.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..lang.evaluate import evaluate
from ..lang.kernel import Cell, Node, Rules, Table, key_of
from ..lang.kinds import GroupKind, Kind
from ..lang.operations import words
from ..lang.problem import Problem
from ..lang.quantity import Quantity, show_about
from ..lang.tree import Scalar, Sequence
from ..lang.values import Group, Leaf, Open, Plain, with_leaf
from ..shape.shaped import Raw, ShapedMap, items_at
from .covers import field_kind
from .tables import read_plain


def crosscheck(table: Table, node: ShapedMap, formula: Node, record: GroupKind, rules: Rules) -> Iterator[Problem]:
    """Every cell of ``table`` that is further off from ``formula`` than ``node``, its crosscheck, allows.

    ``record`` gives the kinds of the fields that the keys of the table stand for.
    """
    within = _figure(node.entries["within"], table.kind)
    if isinstance(within, Problem):
        yield within
        return
    listed = _exceptions(node, table)
    for keys, cell in table.cells.items():
        far = _far_off(cell, table, formula, record, rules, within)
        if far is not None and keys not in listed:
            yield far


def _figure(raw: object, kind: Kind) -> Quantity | Problem:
    assert isinstance(raw, Raw) and isinstance(raw.tree, Scalar)
    found = read_plain(raw.tree, kind)
    if isinstance(found, Problem | Quantity):
        return found
    return Problem("crosscheck", "this table holds no figures that a formula could give", raw.tree.span)


def _exceptions(node: ShapedMap, table: Table) -> set[tuple[object, ...]]:
    """The keys of the cells that are further off as printed."""
    found = set()
    for item in items_at(node, "except"):
        assert isinstance(item, ShapedMap)
        raw = item.entries["key"]
        assert isinstance(raw, Raw) and isinstance(raw.tree, Sequence)
        values = [
            read_plain(key, axis.kind) if axis.bands is None else key.text
            for key, axis in zip(raw.tree.items, table.axes, strict=False)
            if isinstance(key, Scalar)
        ]
        found.add(tuple(key_of(value) for value in values if not isinstance(value, Problem)))
    return found


def _far_off(
    cell: Cell, table: Table, formula: Node, record: GroupKind, rules: Rules, within: Quantity
) -> Problem | None:
    """The problem with one cell; None if it is near enough, or the formula says nothing of it."""
    test = Group("", {})
    for axis, written in zip(table.axes, cell.keys, strict=True):
        kind = field_kind(record, axis.name)
        value = None if kind is None or cell.span is None else _key(written, kind, cell)
        if value is not None:
            test = with_leaf(test, axis.name, Leaf(axis.name, value, written))
    found = evaluate(formula, rules, test).value
    if isinstance(found, Open) or not isinstance(found, Quantity) or not isinstance(cell.value, Quantity):
        return None
    if abs(found.value - cell.value.value) <= within.value:
        return None
    place = f"`{words(cell.value)}` for {', '.join(cell.keys)}"
    exactly = Quantity(found.value, cell.value.unit)
    message = f"{place} is not within {words(within)} of the formula of table `{table.name}`, {show_about(exactly)}"
    help = "compare it with the printed page; if that is what it says, list it under `except` with the reason"
    return Problem("crosscheck", message, cell.span, help)


def _key(written: str, kind: Kind, cell: Cell) -> Plain | None:
    assert cell.span is not None
    found = read_plain(Scalar(written, "plain", cell.span), kind)
    return None if isinstance(found, Problem) else found
