"""Kinds and dimensions of an expression over the shared vocabulary: its kind, or the first mistake."""

from itertools import pairwise
from typing import Any

from reference.parsing import Mistake, parse
from reference.plain import kinds_of_fields, vocabulary
from reference.units import (
    ANGLE,
    DURATION,
    FORCE,
    LENGTH,
    MASS,
    NUMBER,
    STRESS,
    TEMPERATURE,
    TORQUE,
)

DIMENSIONS = {"number": NUMBER, "whole number": NUMBER, "force": FORCE, "length": LENGTH, "angle": ANGLE,
              "temperature": TEMPERATURE, "torque": TORQUE, "stress": STRESS, "mass": MASS,
              "duration": DURATION}  # fmt: skip
Names = dict[str, Any]


def check(text: str, bound: frozenset[str] = frozenset()) -> Any:
    """The kind of `text`: a dimension, or yes/no, choice, text, date, span. Raises Mistake."""
    words = vocabulary()
    singulars = {of["singular"]: name for name, of in words["lists"].items()}
    names: Names = {
        path: kind(k) for path, k in kinds_of_fields().items() if path.split(".")[0] not in singulars.values()
    }
    for singular in bound:
        names |= _items(singulars[singular])
    return _kind(parse(text), names)


def kind(word: str) -> Any:
    return DIMENSIONS.get(word, word)


def _items(name: str) -> Names:
    of = vocabulary()["lists"][name]
    return {f"{of['singular']}.{path}": kind(field["kind"]) for path, field in of["fields"].items()}


def _same(a: Any, b: Any) -> Any:
    """The one kind of two parts. A quoted literal is a choice or a text, as its partner is."""
    if a == b:
        return a
    if {a, b} == {"choice", "text"}:
        return "text"
    raise Mistake("dimension" if isinstance(a, tuple) and isinstance(b, tuple) else "kind", f"{a} and {b}")


def _numeric(a: Any) -> Any:
    if not isinstance(a, tuple) or a == TEMPERATURE:
        raise Mistake("kind", f"{a} where a number is needed")
    return a


def _must(wanted: Any, a: Any) -> Any:
    _same(wanted, a)
    return wanted


def _arith(sign: str, a: Any, b: Any) -> Any:
    if a == "date" and sign == "-" and b == "date":
        return NUMBER
    if a == "date" and sign == "+" and b == "span":
        return "date"
    _numeric(a), _numeric(b)
    if sign in "+-":
        return _same(a, b)
    return tuple(x + y if sign == "*" else x - y for x, y in zip(a, b, strict=True))


def _compare(kinds: list[Any], signs: list[str]) -> str:
    for (a, b), sign in zip(pairwise(kinds), signs, strict=True):
        both = _same(a, b)
        if sign not in ("=", "!=") and not isinstance(both, tuple) and both != "date":
            raise Mistake("kind", f"{both} has no order")
    return "yes/no"


def _kind(tree: Any, names: Names) -> Any:
    def of(part: Any) -> Any:
        return _kind(part, names)

    head = tree[0]
    if head == "lit":
        return tree[1]
    if head == "path":
        path = ".".join(tree[1])
        term = vocabulary()["terms"].get(path)
        if path not in names and term is None:
            raise Mistake("unknown-name", path)
        if path not in names and term["takes"]:
            raise Mistake("arguments", path)
        return names[path] if path in names else kind(term["gives"])
    if head == "neg":
        return _numeric(of(tree[1]))
    if head in ("and", "or", "not"):
        for part in tree[1] if head != "not" else [tree[1]]:
            _must("yes/no", of(part))
        return "yes/no"
    if head == "arith":
        return _arith(tree[1], of(tree[2]), of(tree[3]))
    if head == "compare":
        return _compare([of(p) for p in tree[1]], tree[2])
    if head == "one of":
        for member in tree[2]:
            _same(of(tree[1]), of(member))
        return "yes/no"
    if head == "if":
        _must("yes/no", of(tree[1]))
        return _same(of(tree[2]), of(tree[3]))
    if head == "round":
        return _same(_numeric(of(tree[2])), of(tree[3]))
    if head == "look up":
        table = vocabulary()["tables"].get(tree[1])
        if table is None:
            raise Mistake("unknown-name", tree[1])
        return _given(kind(table["gives"]), [kind(axis["kind"]) for axis in table["by"]], tree[2], names)
    return _call(tree[1], tree[2], names)


def _given(gives: Any, wanted: list[Any], args: list[Any], names: Names) -> Any:
    if len(wanted) != len(args):
        raise Mistake("arguments", f"{len(args)} for {len(wanted)}")
    for want, arg in zip(wanted, args, strict=True):
        _must(want, _kind(arg, names))
    return gives


def _call(name: str, args: list[Any], names: Names) -> Any:
    words = vocabulary()
    if name in words["terms"]:
        term = words["terms"][name]
        return _given(kind(term["gives"]), [kind(k) for k in term["takes"].values()], args, names)
    counts = {"abs": 1, "recorded": 1}
    if name not in (*counts, "interpolate", "smallest", "largest", "count", "every", "some", "sum", "mean"):
        raise Mistake("unknown-name", name)
    if len(args) != counts.get(name, 2):
        raise Mistake("arguments", name)
    if name == "abs":
        return _numeric(_kind(args[0], names))
    path = ".".join(args[0][1]) if args[0][0] == "path" else ""
    if name == "recorded":
        if not any(n == path or n.startswith(f"{path}.") for n in [*names, *words["lists"]]):
            raise Mistake("unknown-name", path)
        return "yes/no"
    of = words["lists"].get(path)
    if name == "interpolate":
        if of is None or "at" not in of:
            raise Mistake("unknown-name", path)
        _must(kind(of["fields"][of["at"]]["kind"]), _kind(args[1], names))
        return kind(of["fields"][of["value"]]["kind"])
    if of is None:
        if name not in ("smallest", "largest"):
            raise Mistake("unknown-name", path)
        return _same(_numeric(_kind(args[0], names)), _kind(args[1], names))
    inside = _kind(args[1], names | _items(path))
    if name in ("count", "every", "some"):
        _must("yes/no", inside)
        return NUMBER if name == "count" else "yes/no"
    return _numeric(inside)
