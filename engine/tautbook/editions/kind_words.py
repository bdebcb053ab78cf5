"""The words that an edition uses for kinds: of keys of tables, of parameters, of observations of its own."""

from __future__ import annotations

from ..lang.kinds import ChoiceKind, GroupKind, Kind, QuantityKind
from ..lang.problem import Problem, did_you_mean
from ..lang.quantity import DIMENSIONLESS, dimension_named
from ..lang.units import UNITS
from ..shape.shaped import ShapedMap, ShapedValue, items_at, map_at, scalar_at
from ..shape.vocabulary import SIMPLE_KINDS


def kind_named(word: ShapedValue) -> Kind | Problem:
    """The kind that a word stands for: one of the simple ones, or the dimension of a quantity."""
    if word.written in SIMPLE_KINDS:
        return SIMPLE_KINDS[word.written]
    dimension = dimension_named(word.written)
    if dimension is not None and dimension != DIMENSIONLESS:
        return QuantityKind(dimension)
    dimensions = {unit.dimension.name for unit in UNITS.values()} - {DIMENSIONLESS.name}
    known = f"write {', '.join(SIMPLE_KINDS)}, or a dimension such as force or length"
    help = did_you_mean(word.written, {*SIMPLE_KINDS, *dimensions}, known)
    return Problem("unknown-kind", f"`{word.written}` is not a kind", word.span, help)


def own_fields(shaped: ShapedMap, problems: list[Problem]) -> GroupKind | None:
    """The observations that the edition declares for itself, groups in groups as their paths say; None if none."""
    inside: dict[str, object] = {}
    declared = map_at(shaped, "fields")
    owner = shaped.entries.get("fields")
    for path, node in declared.items():
        assert isinstance(node, ShapedMap) and isinstance(owner, ShapedMap)
        kind = _own_kind(node)
        if isinstance(kind, Problem):
            problems.append(kind)
            continue
        *above, last = path.split(".")
        at = inside
        for name in above:
            below = at.setdefault(name, {})
            at = below if isinstance(below, dict) else {}
        if last in at or any(other.startswith(f"{path}.") for other in declared):
            message = f"`{path}` cannot be a field and hold fields of its own"
            problems.append(Problem("field-name", message, owner.key_span(path), "give one of them another name"))
            continue
        at[last] = kind
    return _grouped(inside) if declared else None


def _own_kind(node: ShapedMap) -> Kind | Problem:
    word = scalar_at(node, "kind")
    assert word is not None
    unit = scalar_at(node, "unit")
    dimension = scalar_at(node, "dimension")
    if unit is not None and unit.written not in UNITS:
        wanted = None if dimension is None else dimension_named(dimension.written)
        units = [name for name, known in UNITS.items() if name and wanted in (None, known.dimension)]
        help = did_you_mean(unit.written, units, f"the units are: {', '.join(units)}")
        return Problem("unit-unknown", f"`{unit.written}` is not a unit here", unit.span, help)
    if dimension is not None:
        kind = kind_named(dimension)
        if isinstance(kind, Problem):
            return kind
        if not isinstance(kind, QuantityKind):
            message = f"`{dimension.written}` is not a dimension"
            return Problem("unknown-kind", message, dimension.span, "such as force or length")
        if unit is not None and UNITS[unit.written].dimension != kind.dimension:
            message = f"`{unit.written}` is a unit of {UNITS[unit.written].dimension.name}"
            return Problem("unit-dimension", message, unit.span, f"a unit of {kind.dimension.name} is wanted")
        return kind
    if word.written == "choice":
        options = tuple(item.written for item in items_at(node, "options") if isinstance(item, ShapedValue))
        return ChoiceKind(options or None)
    return SIMPLE_KINDS[word.written]


def _grouped(tree: dict[str, object]) -> GroupKind:
    fields: dict[str, Kind] = {}
    for name, below in tree.items():
        fields[name] = _grouped(below) if isinstance(below, dict) else below  # type: ignore[assignment]  # a Kind
    return GroupKind(fields)
