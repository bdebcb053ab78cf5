"""The engine on the data of a conformance case: the shared vocabulary as a scope, a case as a record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from reference.plain import kinds_of_fields, vocabulary
from tautbook.lang.calendar import CalendarSpan, read_date, read_span
from tautbook.lang.check import Scope, Signature, check
from tautbook.lang.evaluate import evaluate
from tautbook.lang.kernel import Axis, BandRange, Cell, Definition, Rules, Table, key_of
from tautbook.lang.kinds import (
    CalendarSpanKind,
    ChoiceKind,
    DateKind,
    GroupKind,
    Kind,
    ListKind,
    NumberKind,
    QuantityKind,
    TextKind,
    YesNoKind,
)
from tautbook.lang.parse import parse_text
from tautbook.lang.quantity import Quantity, dimension_named, read_quantity
from tautbook.lang.values import Data, Group, Items, Leaf, Open, Plain, Value

SIMPLE: dict[str, Kind] = {
    "number": NumberKind(),
    "whole number": NumberKind(whole=True),
    "yes/no": YesNoKind(),
    "text": TextKind(),
    "date": DateKind(),
    "span": CalendarSpanKind(),
}


def kind(word: str, of: list[str] | None = None) -> Kind:
    if word == "choice":
        return ChoiceKind(tuple(of) if of else None)
    if word in SIMPLE:
        return SIMPLE[word]
    dimension = dimension_named(word)
    assert dimension is not None, word
    return QuantityKind(dimension)


def group(fields: Mapping[str, Any]) -> GroupKind:
    """Dotted paths as groups within groups."""
    inside: dict[str, Any] = {}
    for path, field in fields.items():
        *above, last = path.split(".")
        at = inside
        for name in above:
            at = at.setdefault(name, {})
        at[last] = kind(field["kind"], field.get("of"))

    def made(tree: dict[str, Any]) -> GroupKind:
        return GroupKind({name: made(below) if isinstance(below, dict) else below for name, below in tree.items()})

    return made(inside)


def value(written: Any, of: Kind) -> Plain:
    found: Any = written
    match of:
        case NumberKind() | QuantityKind():
            found = read_quantity(str(written))
        case DateKind():
            found = read_date(str(written))
        case CalendarSpanKind():
            found = read_span(str(written))
    assert isinstance(found, Plain), (written, found)
    return found


def band(label: str, of: Kind) -> BandRange:
    over, _, up_to = label.removeprefix("over ").partition("up to ")
    first = label.startswith("over ")
    low = value(over.strip(), of) if first else None
    high = value(up_to, of) if up_to else None
    assert low is None or isinstance(low, Quantity)
    assert high is None or isinstance(high, Quantity)
    return BandRange(label, low, high)


@cache
def fixed() -> tuple[Scope, Rules]:
    """The scope of every case, and the tables and terms that its names stand for."""
    words = vocabulary()
    lists = {
        name: ListKind(of["singular"], group(of["fields"]), (of["at"], of["value"]) if "at" in of else None)
        for name, of in words["lists"].items()
    }
    record = GroupKind({**group(words["fields"]).fields, **lists})
    tables = {name: table(name, of) for name, of in words["tables"].items()}
    signatures = {
        name: Signature(tuple((p, kind(k)) for p, k in of["takes"].items()), kind(of["gives"]))
        for name, of in words["terms"].items()
    }
    scope = Scope(record, signatures, tables)
    terms = {}
    for name, of in words["terms"].items():
        expression, problems = parse_text(of["is"])
        assert expression is not None, problems
        body, problems = check(expression, replace(scope, parameters=dict(signatures[name].parameters)))
        assert body is not None, problems
        terms[name] = Definition(name, signatures[name].parameters, body)
    return scope, Rules(terms, tables)


def table(name: str, of: Mapping[str, Any]) -> Table:
    axes, kinds = [], []
    for i, axis in enumerate(of["by"]):
        kinds.append(kind(axis["kind"], axis.get("of")))
        labels = dict.fromkeys(row[i] for row in of["rows"])
        bands = tuple(band(label, kinds[i]) for label in labels) if axis.get("bands") else None
        axes.append(Axis(axis["key"], kinds[i], bands))
    cells = {}
    for *keys, figure in of["rows"]:
        found = [key if axis.bands else key_of(value(key, axis.kind)) for key, axis in zip(keys, axes, strict=True)]
        cells[tuple(found)] = Cell(value(figure, kind(of["gives"])), tuple(keys))
    return Table(name, tuple(axes), kind(of["gives"]), cells)


def data(tree: Any, of: Kind, path: str, asks: Mapping[str, int]) -> Data:
    """A record of a case; a list that is asked for is filled up with items of which nothing is known."""
    if isinstance(of, GroupKind):
        below = {
            name: data(tree[name], of.fields[name], f"{path}.{name}" if path else name, asks)
            for name in of.fields
            if name in tree
        }
        for name in asks if not path else ():
            if name not in below:
                asked = data([], of.fields[name], name, asks)
                assert isinstance(asked, Items)
                below[name] = replace(asked, written=False)
        return Group(path, below)
    if isinstance(of, ListKind):
        items = [data(item, of.item, f"{path}[{i}]", asks) for i, item in enumerate(tree, 1)]
        still = [Group(f"{path}[{i}]", {}) for i in range(len(items) + 1, asks.get(path, 0) + 1)]
        return Items(path, (*items, *still))
    return Leaf(path, value(tree, of), str(tree))


def outcome(text: str, given: Mapping[str, Any]) -> Value | tuple[str, ...]:
    """What the engine makes of the text on the case: a value, or the codes of the problems with the text."""
    scope, rules = fixed()
    asks = given.get("asks", {})
    record = data(given.get("record", {}), scope.record, "", asks)
    assert isinstance(record, Group)
    lists = {of["singular"]: name for name, of in vocabulary()["lists"].items()}
    bound: dict[str, Data] = {}
    kinds: dict[str, Kind] = {}
    for singular, number in given.get("item", {}).items():
        items, of = record.fields[lists[singular]], scope.record.fields[lists[singular]]
        assert isinstance(items, Items) and isinstance(of, ListKind)
        bound[singular], kinds[singular] = items.items[number - 1], of.item
    expression, problems = parse_text(text)
    if expression is None:
        return tuple(problem.code for problem in problems)
    node, problems = check(expression, replace(scope, bound=kinds))
    if node is None:
        return tuple(problem.code for problem in problems)
    return evaluate(node, replace(rules, months=given.get("months", "clamp")), record, bound).value


def bare(found: Plain) -> Any:
    """A value without its unit, as the plain evaluator holds it."""
    match found:
        case Quantity():
            return found.value
        case CalendarSpan():
            return ("span", found.months, found.days)
        case _:
            return found


__all__ = ["Open", "bare", "kinds_of_fields", "outcome"]
