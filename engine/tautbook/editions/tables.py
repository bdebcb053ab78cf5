"""Tables of an edition: rows by exact key or band, each cell a figure of one kind."""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction

from ..lang.check import common, kind_of_value
from ..lang.kernel import Axis, BandRange, Cell, Table, key_of
from ..lang.kinds import ChoiceKind, Kind, NumberKind, QuantityKind, TextKind, dimension_of
from ..lang.limits import LIMITS
from ..lang.number import Mistake
from ..lang.one_text import one_text
from ..lang.problem import Problem
from ..lang.quantity import DIMENSIONLESS, Quantity, read_quantity, show
from ..lang.tree import Mapping, Scalar, Tree
from ..lang.units import Unit
from ..lang.values import Plain

_BAND = re.compile(r"(?:over (?P<over>[^ ]+(?: [^ ]+)?))?(?: ?up to (?P<up_to>[^ ]+(?: [^ ]+)?))?")


def read_table(
    name: str, axes: tuple[Axis, ...], rows: Tree, unit: Unit | None = None
) -> tuple[Table | None, list[Problem]]:
    """The table with its cells; ``axes`` with ``bands`` an empty tuple are filled from the row keys.

    ``unit`` is that of cells written as plain numbers.
    """
    by = ", ".join(axis.name for axis in axes)
    problems: list[Problem] = []
    found: list[tuple[tuple[Plain, ...], tuple[str, ...], Scalar]] = []
    bands: dict[int, dict[str, BandRange]] = {i: {} for i, axis in enumerate(axes) if axis.bands is not None}

    def descend(tree: Tree, depth: int, keys: tuple[Plain, ...], written: tuple[str, ...]) -> None:
        if depth == len(axes):
            if isinstance(tree, Scalar):
                found.append((keys, written, tree))
            else:
                message = f"a single figure is expected, table `{name}` is looked up by {by}"
                problems.append(Problem("table-shape", message, tree.span, "say every key of the rows under `by`"))
            return
        if not isinstance(tree, Mapping):
            what = f"rows by {axes[depth].name} are expected"
            help = f"table `{name}` is looked up by {by}"
            problems.append(Problem("table-shape", what, tree.span, help))
            return
        seen: dict[object, str] = {}
        for entry in tree:
            key: Plain | Problem
            if depth in bands:
                band = _band(entry.key, axes[depth].kind)
                if isinstance(band, BandRange):
                    bands[depth].setdefault(band.label, band)
                key = band.label if isinstance(band, BandRange) else band
            else:
                key = read_plain(entry.key, axes[depth].kind)
            if isinstance(key, Problem):
                problems.append(key)
                continue
            if key_of(key) in seen:
                message = f"`{entry.key.text}` is the same key as `{seen[key_of(key)]}`"
                problems.append(Problem("duplicate-row", message, entry.key.span, "keep one of the two rows"))
                continue
            seen[key_of(key)] = entry.key.text
            descend(entry.value, depth + 1, (*keys, key), (*written, entry.key.text))

    descend(rows, 0, (), ())
    if len(found) > LIMITS.cells:
        message = f"table `{name}` has more than {LIMITS.cells} cells"
        return None, [Problem("table-large", message, rows.span.at(0, 0), "make several tables of it")]
    cells: dict[tuple[object, ...], Cell] = {}
    values = [read_plain(scalar, None) for _, _, scalar in found]
    # Of the kind of most: a slip in the first figure is told there, and not of all others.
    counted = Counter(kind_of_value(value) for value in values if not isinstance(value, Problem))
    usual = counted.most_common(1)[0][0] if counted and unit is None else None
    kind: Kind | None = usual if usual is not None and dimension_of(usual) is not None else None
    for (keys, written, scalar), value in zip(found, values, strict=True):
        if isinstance(value, Problem):
            problems.append(value)
            continue
        if unit is not None and isinstance(value, Quantity) and not value.unit.name:
            value = Quantity(value.value * unit.scale + unit.offset, unit)
        here = kind_of_value(value)
        joined = here if kind is None else common(kind, here)
        if joined is None:
            message = f"`{scalar.text}` is not of the kind of the other figures of table `{name}`"
            help = "leave out a row that has no figure"
            figure = read_quantity(scalar.text, dimension_of(kind or here))
            if isinstance(figure, Mistake) and figure.code != "quantity-form":
                help = figure.help or help
            problems.append(Problem("table-kind", message, scalar.span, help))
            continue
        kind = joined
        cells[tuple(key_of(key) for key in keys)] = Cell(value, written, scalar.span)
    for by_label in bands.values():
        problems += _overlaps(by_label, rows)
    if problems or kind is None:
        return None, problems or [Problem("table-shape", f"table `{name}` has no rows", rows.span)]
    filled = tuple(
        Axis(axis.name, axis.kind, tuple(bands[i].values()) if i in bands else None) for i, axis in enumerate(axes)
    )
    return Table(name, filled, kind, cells), []


def read_plain(scalar: Scalar, kind: Kind | None) -> Plain | Problem:
    """A key or cell of the wanted kind; without one, a figure if it reads as a figure, in quotes as well (in JSON a
    figure with its unit has no other form), else a word."""
    if not scalar.text.strip():
        return Problem("empty-value", "nothing is written here", scalar.span, "write what stands here, or leave it out")
    match kind:
        case ChoiceKind() | TextKind():
            return _word(scalar)
        case NumberKind() | QuantityKind():
            dimension = DIMENSIONLESS if isinstance(kind, NumberKind) else kind.dimension
            found = read_quantity(scalar.text, dimension)
        case _:
            bare = scalar.style in {"plain", "json number", "json word"}
            if not re.match(r"-?[0-9]", scalar.text):
                word = one_text(scalar.text)
                return {"true": True, "false": False}.get(word, word) if bare else word
            found = read_quantity(scalar.text)
            if isinstance(found, Mistake) and not bare:
                return one_text(scalar.text)
    if isinstance(found, Mistake):
        return Problem(found.code, found.message, scalar.place(found.start, found.end), found.help)
    return found


def _word(scalar: Scalar) -> str | Problem:
    """A word. One that reads as a figure has one form: for a digest 8.8 and 8.80 are one, for a rule they are two."""
    word, figure = one_text(scalar.text), read_quantity(scalar.text)
    if isinstance(figure, Quantity) and show(figure) != word:
        message = f"`{scalar.text}` is a word here, which reads as the figure {show(figure)}"
        return Problem("word-figure", message, scalar.span, f"write `{show(figure)}`, in the record as well")
    return word


def _band(key: Scalar, kind: Kind) -> BandRange | Problem:
    match = _BAND.fullmatch(key.text)
    if match is None or not key.text.strip():
        return Problem(
            "band-form", f"`{key.text}` is not a band", key.span, "write `up to 4`, `over 4 up to 8` or `over 8`"
        )
    ends: dict[str, Quantity | None] = {"over": None, "up_to": None}
    for end in ends:
        if match[end] is None:
            continue
        dimension = kind.dimension if isinstance(kind, QuantityKind) else DIMENSIONLESS
        found = read_quantity(match[end], dimension)
        if isinstance(found, Mistake):
            return Problem(found.code, found.message, key.span, found.help)
        ends[end] = found
    over, up_to = ends["over"], ends["up_to"]
    if over is not None and up_to is not None and over.value >= up_to.value:
        return Problem("band-form", f"the band `{key.text}` is empty", key.span, "the first figure must be the smaller")
    return BandRange(key.text, over, up_to)


def _lower_end(band: BandRange) -> tuple[bool, Fraction]:
    return (False, Fraction(0)) if band.over is None else (True, band.over.value)


def _overlaps(bands: dict[str, BandRange], rows: Tree) -> list[Problem]:
    """A figure in two bands would have two answers."""
    found = []
    # From below, each is held against the one before it that reaches farthest.
    listed = sorted(bands.values(), key=_lower_end)
    for i, band in enumerate(listed[1:]):
        before = listed[i]
        if before.up_to is None or band.over is None or before.up_to.value > band.over.value:
            message = f"the bands `{before.label}` and `{band.label}` overlap"
            found.append(Problem("band-overlap", message, rows.span, "let one begin where the other ends"))
            if before.up_to is None or (band.up_to is not None and before.up_to.value > band.up_to.value):
                listed[i + 1] = before
    return found
