"""Tables: rows that are wanting or never found, figures out of order, exceptions that no crosscheck needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from ..editions.crosscheck import crosscheck
from ..editions.tables import read_plain
from ..lang.check import check
from ..lang.kernel import Axis, BandRange, Cell, Lookup, Table, Term, key_of
from ..lang.kinds import NumberKind, QuantityKind
from ..lang.operations import words
from ..lang.problem import Problem
from ..lang.quantity import Quantity
from ..lang.source import Span
from ..lang.tree import Entry, Scalar, Sequence, Tree
from ..lang.tree import Mapping as TreeMapping
from ..lang.values import Plain
from ..shape.shaped import Raw, ShapedMap, items_at
from .combinations import covered, nodes_of
from .completeness import rows_not_there
from .galley import Galley
from .report import Finding, error, listed, remark
from .survey import Survey
from .unused import used


def tables(copy: Galley, survey: Survey) -> Iterator[Finding]:
    covers = _covered(copy)
    wanted = rows_not_there(survey)
    looked_up = _looked_up(copy)
    _, reached = used(copy)
    for name, table in copy.tables.items():
        rows = _rows(copy, name)
        if rows is None:
            continue
        # Of a table that nothing reaches, that much is told already.
        if name in reached:
            yield from _wanting(table, rows, covers, wanted, looked_up)
        yield from _uncovered(table, rows, covers, looked_up, copy)
        yield from _gaps(table, rows)
        yield from _out_of_order(table)
        yield from _needless(table, copy)


def _rows(copy: Galley, name: str) -> tuple[Tree, Span] | None:
    """The rows as written, and the place of the word above them."""
    node = copy.part("tables", name)
    rows = None if node is None else node.entries.get("rows")
    return (rows.tree, copy.place("tables", name, "rows")) if isinstance(rows, Raw) else None


def _covered(copy: Galley) -> Mapping[str, tuple[Cell, ...]]:
    """Covered values by path, of all procedures."""
    return {
        path: cells for each in copy.edition.procedures.values() for path, cells in covered(each.rules).items()
    }


def _looked_up(copy: Galley) -> Mapping[str, list[Lookup]]:
    """The look-ups of each table, in requirements and figures."""
    found: dict[str, list[Lookup]] = {}
    for procedure in copy.edition.procedures.values():
        nodes = [figure.value for figure in procedure.figures]
        for each in procedure.requirements:
            rules = [each.require, each.applies, *(exception.when for exception in each.unless)]
            nodes += [rule for rule in rules if rule is not None]
        for node in nodes_of(nodes, procedure.rules):
            if isinstance(node, Lookup):
                found.setdefault(node.table, []).append(node)
    return found


# Rows that are wanting


def _wanting(
    table: Table, rows: tuple[Tree, Span], covers: Mapping[str, tuple[Cell, ...]],
    wanted: Mapping[tuple[str, tuple[object, ...]], Mapping[str, None]], looked_up: Mapping[str, list[Lookup]],
) -> Iterator[Finding]:  # fmt: skip
    """Rows that a rule needs on covered values; where no rule looks, rows that the other keys let expect."""
    groups: dict[Span, tuple[dict[str, None], dict[str, None]]] = {}
    loose: dict[Span, dict[str, None]] = {}
    written = _Rows(table.axes)
    for key, shown in _expected(table, covers).items():
        if key in table.cells:
            continue
        # Where a whole row is not there, it is told by the keys that lead to it.
        at, depth = written.deepest(rows, key)
        told = ", ".join(shown[: depth + 1])
        if (table.name, key) in wanted:
            keys, names = groups.setdefault(at, ({}, {}))
            keys[told] = None
            names |= wanted[table.name, key]
        elif not looked_up.get(table.name) or any(axis.name not in covers for axis in table.axes):
            loose.setdefault(at, {})[told] = None
    for at, (keys, names) in groups.items():
        by = ", ".join(f"`{name}`" for name in list(names)[:3])
        message = f"table `{table.name}` has no row for {listed(keys)}, which is covered and asked for by {by}"
        help = "add the row, or take the value out of `covers`"
        yield error("tables", "row-missing", message, at, help)
    for at, keys in loose.items():
        message = f"table `{table.name}` has no row for {listed(keys)}, though its other rows let expect one"
        yield remark("tables", "row-expected", message, at, "compare it with the printed page")


def _expected(
    table: Table, covers: Mapping[str, tuple[Cell, ...]]
) -> Mapping[tuple[object, ...], tuple[str, ...]]:
    """Every key that covered values make, and on other axes those that stand in any row; with the words for it."""
    keys: list[tuple[tuple[object, ...], tuple[str, ...]]] = [((), ())]
    for i, axis in enumerate(table.axes):
        if axis.bands is None and axis.name in covers:
            values = {key_of(cell.value): words(cell.value) for cell in covers[axis.name]}
        else:
            values = {key[i]: cell.keys[i] for key, cell in table.cells.items()}
        if len(keys) * len(values) > 4 * len(table.cells) + 10_000:
            return {}  # so few of them are there that nothing is to be expected
        keys = [((*key, value), (*said, word)) for key, said in keys for value, word in values.items()]
    return dict(keys)


class _Rows:
    """The rows of a table by key, found once in each mapping."""

    def __init__(self, axes: tuple[Axis, ...]) -> None:
        self.axes = axes
        self.known: dict[int, dict[object, Entry]] = {}

    def deepest(self, rows: tuple[Tree, Span], key: tuple[object, ...]) -> tuple[Span, int]:
        """The place of the row that a missing one belongs into, and how many keys lead there."""
        tree, at = rows
        for depth, part in enumerate(key):
            found = self.below(tree, depth).get(part)
            if found is None:
                return at, depth
            tree, at = found.value, found.key.span
        return at, len(key)

    def below(self, tree: Tree, depth: int) -> dict[object, Entry]:
        if not isinstance(tree, TreeMapping):
            return {}
        if id(tree) not in self.known:
            self.known[id(tree)] = {_key(entry.key, self.axes[depth]): entry for entry in tree}
        return self.known[id(tree)]


def _key(scalar: Scalar, axis: Axis) -> object:
    value: Plain | Problem = scalar.text if axis.bands is not None else read_plain(scalar, axis.kind)
    return None if isinstance(value, Problem) else key_of(value)


# Rows that are never found


def _uncovered(
    table: Table, rows: tuple[Tree, Span], covers: Mapping[str, tuple[Cell, ...]],
    looked_up: Mapping[str, list[Lookup]], copy: Galley,
) -> Iterator[Finding]:  # fmt: skip
    for i, axis in enumerate(table.axes):
        if axis.bands is not None or axis.name not in covers:
            continue
        # A key that is read from elsewhere, say from another record, may be one that is not covered here.
        if any(not _reads_cover(lookup, i, axis.name) for lookup in looked_up.get(table.name, ())):
            continue
        values = {key_of(cell.value) for cell in covers[axis.name]}
        others = _other_names(copy, axis)
        for scalar in _keys_at(rows[0], i):
            key = _key(scalar, axis)
            if key in values:
                continue
            if key in others:
                message = f"a row of `{table.name}` is never found: `{scalar.text}` is another name of `{others[key]}`"
                help = f"rows are found by the value that is covered: write `{others[key]}`"
                yield error("tables", "row-by-other-name", message, scalar.span, help)
            else:
                message = f"table `{table.name}` has a row for `{scalar.text}`, and {axis.name} does not cover it"
                help = "add the value to `covers`, or strike the row"
                yield remark("tables", "row-not-covered", message, scalar.span, help)


def _reads_cover(lookup: Lookup, axis: int, path: str) -> bool:
    key = lookup.keys[axis]
    return isinstance(key, Term) and key.name == f"covers {path}"


def _other_names(copy: Galley, axis: Axis) -> Mapping[object, str]:
    """Other names of covered values, each with the value that it stands for."""
    found: dict[object, str] = {}
    node = copy.part("covers", axis.name)
    for value, said in (node.entries if node is not None else {}).items():
        for item in items_at(said, "also") if isinstance(said, ShapedMap) else ():
            if isinstance(item, Raw) and isinstance(item.tree, Scalar):
                found[_key(item.tree, axis)] = value
    return found


def _keys_at(tree: Tree, depth: int) -> Iterator[Scalar]:
    if isinstance(tree, TreeMapping):
        for entry in tree:
            if depth == 0:
                yield entry.key
            else:
                yield from _keys_at(entry.value, depth - 1)


# Bands


def _gaps(table: Table, rows: tuple[Tree, Span]) -> Iterator[Finding]:
    """Figures between two bands, which lie in neither."""
    for i, axis in enumerate(table.axes):
        bands = sorted(axis.bands or (), key=lambda band: (band.over is not None, band.over and band.over.value))
        places = {scalar.text: scalar.span for scalar in _keys_at(rows[0], i)}
        for low, high in pairwise(bands):
            if low.up_to is not None and high.over is not None and low.up_to.value < high.over.value:
                between = f"over {words(low.up_to)} up to {words(high.over)}"
                message = f"table `{table.name}` has no band for figures {between}"
                help = "let one band begin where the other ends"
                yield error("tables", "band-gap", message, places[high.label], help)


# Figures out of order

_Line = list[tuple[object, Cell]]


def _out_of_order(table: Table) -> Iterator[Finding]:
    """A figure that falls where its neighbours rise, or rises where they fall, along keys that have an order."""
    for i, axis in enumerate(table.axes):
        if axis.bands is None and not isinstance(axis.kind, NumberKind | QuantityKind):
            continue
        lines: dict[tuple[object, ...], list[tuple[object, Cell]]] = {}
        for key, cell in table.cells.items():
            lines.setdefault((*key[:i], *key[i + 1 :]), []).append((_place(key[i], axis), cell))
        turns = [turn for line in lines.values() if (turn := _turn(line, axis)) is not None]
        # A turn at the same place in every row is how the table goes, not a slip.
        if len(lines) > 1 and len(turns) == len(lines) and len({turn[0].keys[i] for turn in turns}) == 1:
            continue
        for cell, before, rising in turns:
            far = "lower" if rising else "higher"
            message = (
                f"`{words(cell.value)}` for {', '.join(cell.keys)} in table `{table.name}` is out of order"
                if before is None
                else f"`{words(cell.value)}` for {', '.join(cell.keys)} in table `{table.name}` is {far} than "
                f"`{words(before.value)}` for {before.keys[i]}, where the others {'rise' if rising else 'fall'}"
            )
            yield remark("tables", "out-of-order", message, cell.span, "compare both with the printed page")


def _place(key: object, axis: Axis) -> object:
    if axis.bands is None:
        return key
    band: BandRange = next(band for band in axis.bands if band.label == key)
    if band.over is not None:
        return band.over.value
    return None if band.up_to is None else band.up_to.value - 1


def _turn(line: _Line, axis: Axis) -> tuple[Cell, Cell | None, bool] | None:
    """The one cell that stands against the order of the others: it, the cell before it (None where it is the first of
    the two that is out of order), and whether the others rise."""
    figures = [(place, cell, cell.value) for place, cell in line if isinstance(cell.value, Quantity)]
    if len(figures) < 4 or any(place is None for place, _, _ in figures):
        return None
    figures.sort(key=lambda each: each[0])  # type: ignore[arg-type, return-value]  # all of one kind
    values = [value.value for _, _, value in figures]
    rises = [i for i, (a, b) in enumerate(pairwise(values)) if b > a]
    falls = [i for i, (a, b) in enumerate(pairwise(values)) if b < a]
    rising = len(rises) > len(falls)
    against, along = (falls, rises) if rising else (rises, falls)
    if len(against) != 1 or len(along) < 2:
        return None
    first = against[0]
    cells = [cell for _, cell, _ in figures]
    # Without the first of the two the order may hold, or without the second; where either would do, the second is told.
    if _ordered([*values[: first + 1], *values[first + 2 :]], rising):
        return cells[first + 1], cells[first], rising
    if _ordered([*values[:first], *values[first + 1 :]], rising):
        return cells[first], None, rising
    return cells[first + 1], cells[first], rising


def _ordered(values: list[Fraction], rising: bool) -> bool:
    return all((a <= b) if rising else (a >= b) for a, b in pairwise(values))


# Crosschecks


def _needless(table: Table, copy: Galley) -> Iterator[Finding]:
    """Exceptions from a crosscheck that the cell does not need."""
    said = copy.part("tables", table.name, "crosscheck")
    if said is None or not items_at(said, "except"):
        return
    far = _far_off(table, said, copy)
    for item in items_at(said, "except"):
        assert isinstance(item, ShapedMap)
        raw = item.entries["key"]
        assert isinstance(raw, Raw) and isinstance(raw.tree, Sequence)
        scalars = [each for each in raw.tree.items if isinstance(each, Scalar)]
        key = tuple(_key(each, axis) for each, axis in zip(scalars, table.axes, strict=False))
        cell, told = table.cells.get(key), ", ".join(each.text for each in scalars)
        if cell is None:
            message = f"the exception is for {told}, and table `{table.name}` has no such row"
            yield error("tables", "except-nowhere", message, raw.tree.span, "mend the key, or strike the exception")
        elif cell.span not in far:
            message = f"`{words(cell.value)}` for {told} is near enough to the formula, and needs no exception"
            help = "strike the exception, or compare the figure with the printed page"
            yield remark("tables", "except-needless", message, raw.tree.span, help)


def _far_off(table: Table, said: ShapedMap, copy: Galley) -> set[Span | None]:
    """The places of the cells that are further off than ``said``, the crosscheck, allows."""
    formula = copy.written.rule(said, "formula")
    assert formula is not None
    bare = replace(said, entries={key: node for key, node in said.entries.items() if key != "except"})
    tries: list[set[Span | None]] = []
    for on, procedure in zip(copy.grounds, copy.edition.procedures.values(), strict=True):
        terms, _ = on.terms(copy.formulas)
        months = procedure.rules.months
        rule, _ = check(formula, replace(on.scope, terms=terms.signatures))
        if rule is not None:
            tries.append({far.span for far in crosscheck(table, bare, rule, on.scope.record, on.rules(terms, months))})
    return max(tries, key=len, default=set())
