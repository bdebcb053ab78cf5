"""What an expression gives on a record: a known value, or open with its reasons."""

from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from typing import Any

from reference.operations import arithmetic, between, look_up, rounded
from reference.parsing import Mistake, parse
from reference.values import Known, Open, Value, choose, compare, kleene, missing, strict, stuck, united

__all__ = ["Known", "Mistake", "Open", "Scope", "Value", "evaluate"]


@dataclass(slots=True)
class Scope:
    """What an expression may speak of.

    `singulars` by path of a list; `items` binds singulars (of `each`) to the path of an item. A value of the record may
    be Open itself: something that others are still to settle.
    """

    record: dict[str, Any] = field(default_factory=dict)
    asks: dict[str, int] = field(default_factory=dict)
    singulars: dict[str, str] = field(default_factory=dict)
    tables: dict[str, tuple[list[Any], dict[tuple[Any, ...], Any]]] = field(default_factory=dict)
    terms: dict[str, tuple[list[str], str]] = field(default_factory=dict)
    months: str = "clamp"
    points: dict[str, tuple[str, str]] = field(default_factory=dict)
    items: dict[str, str] = field(default_factory=dict)


def evaluate(text: str, scope: Scope) -> Value:
    """`text` on `scope`; raises Mistake only for text that is no expression."""
    return _value(parse(text), scope, scope.items, {})


def at(record: Any, path: str) -> Any:
    """What stands at `items[2].force`, or None."""
    for segment in path.split("."):
        name, _, index = segment.partition("[")
        record = record.get(name) if isinstance(record, dict) else None
        if index and record is not None:
            n = int(index[:-1])
            record = record[n - 1] if n <= len(record) else None
        if record is None:
            return None
    return record


def generic(path: str) -> str:
    """`items[2].readings` to `items.readings`."""
    return "".join(part.partition("]")[2] if i else part for i, part in enumerate(path.split("[")))


def size(path: str, scope: Scope) -> int | None:
    """How many items a list has once padded; None where it is absent and nothing is asked."""
    found, asked = at(scope.record, path), scope.asks.get(generic(path), 0)
    return None if found is None and not asked else max(len(found or []), asked)


def any_leaf(found: Any) -> bool:
    if isinstance(found, dict):
        return any(any_leaf(v) for v in found.values())
    return found is not None


def _full(segments: tuple[str, ...], bound: dict[str, str]) -> str:
    return ".".join((bound.get(segments[0], segments[0]), *segments[1:]))


def _list_of(tree: Any, scope: Scope, bound: dict[str, str]) -> tuple[str, str] | None:
    """(path of the list, its singular) where `tree` names a list."""
    if tree[0] != "path":
        return None
    path = _full(tree[1], bound)
    singular = scope.singulars.get(generic(path))
    return None if singular is None else (path, singular)


def _value(tree: Any, scope: Scope, bound: dict[str, str], params: dict[str, Value]) -> Value:
    def of(part: Any) -> Value:
        return _value(part, scope, bound, params)

    kind = tree[0]
    if kind == "lit":
        return Known(tree[2])
    if kind == "path":
        name = tree[1][0]
        if len(tree[1]) == 1 and name in params:
            return params[name]
        if len(tree[1]) == 1 and name in scope.terms:
            return _value(parse(scope.terms[name][1]), scope, {}, {})
        path = _full(tree[1], bound)
        found = at(scope.record, path)
        if isinstance(found, Open):
            return found
        return missing(path) if found is None else Known(found)
    if kind == "neg":
        return strict([of(tree[1])], lambda x: -x)
    if kind == "not":
        return strict([of(tree[1])], lambda x: not x)
    if kind in ("and", "or"):
        return kleene([of(p) for p in tree[1]], kind == "or")
    if kind == "arith":
        return strict([of(tree[2]), of(tree[3])], lambda x, y: arithmetic(tree[1], x, y, scope.months))
    if kind == "compare":
        values = [of(p) for p in tree[1]]
        return kleene([compare(s, *pair) for s, pair in zip(tree[2], pairwise(values), strict=True)], False)
    if kind == "one of":
        value = of(tree[1])
        return kleene([compare("=", value, of(m)) for m in tree[2]], True)
    if kind == "if":
        return choose(*(of(p) for p in tree[1:]))
    if kind == "look up":
        return strict([of(k) for k in tree[2]], lambda *keys: look_up(scope.tables[tree[1]], keys))
    if kind == "round":
        return strict([of(tree[2]), of(tree[3])], lambda x, step: rounded(tree[1], tree[4], x, step))
    return _call(tree[1], tree[2], scope, bound, params)


def _call(name: str, args: list[Any], scope: Scope, bound: dict[str, str], params: dict[str, Value]) -> Value:
    if name in scope.terms:
        wanted, text = scope.terms[name]
        given = [_value(a, scope, bound, params) for a in args]
        return _value(parse(text), scope, {}, dict(zip(wanted, given, strict=True)))
    if name == "abs":
        return strict([_value(args[0], scope, bound, params)], abs)
    if name == "recorded":
        path = _full(args[0][1], bound)
        return Known(True) if any_leaf(at(scope.record, path)) else missing(path)
    if name == "interpolate":
        return _interpolate(_full(args[0][1], bound), _value(args[1], scope, bound, params), scope)
    over = _list_of(args[0], scope, bound)
    if over is None:
        if name not in ("smallest", "largest"):
            raise Mistake("unknown-name", name)
        a, b = (_value(x, scope, bound, params) for x in args)
        return choose(compare("<=" if name == "smallest" else ">=", a, b), a, b)
    path, singular = over
    length = size(path, scope)
    if length is None:
        return missing(path)
    return _whole_list(
        name,
        [_value(args[1], scope, {**bound, singular: f"{path}[{n}]"}, params) for n in range(1, length + 1)],
    )


def _whole_list(name: str, parts: list[Value]) -> Value:
    if name in ("every", "some"):
        return kleene(parts, name == "some")
    known, lacking = [p.value for p in parts if isinstance(p, Known)], united(parts)
    if name == "count":
        lo = Fraction(sum(known))
        hi = lo + len(parts) - len(known)
        return Known(lo) if lacking is None else Open(lacking.missing, lacking.stuck, lo, hi)
    if name == "sum":
        return lacking or Known(sum(known[1:], known[0]) if known else Fraction(0))
    if not parts:
        return stuck("empty list")
    if name == "mean":
        return lacking or Known(sum(known[1:], known[0]) / len(known))
    best = (min if name == "smallest" else max)(known, default=None)
    if lacking is None:
        return Known(best)
    if name == "smallest":
        return Open(lacking.missing, lacking.stuck, hi=best)
    return Open(lacking.missing, lacking.stuck, lo=best)


def _interpolate(path: str, x: Value, scope: Scope) -> Value:
    length = size(path, scope)
    if length is None:
        return united([x, missing(path)])  # type: ignore[return-value]
    fields: list[Value] = []
    for n in range(1, length + 1):
        for name in scope.points[generic(path)]:
            there = f"{path}[{n}].{name}"
            found = at(scope.record, there)
            fields.append(missing(there) if found is None else Known(found))
    return strict([x, *fields], between)
