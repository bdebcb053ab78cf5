"""Known and open values, and how they are joined: strict parts, three-valued logic, comparison by bounds."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any


@dataclass(frozen=True, slots=True)
class Known:
    value: Any


@dataclass(frozen=True, slots=True)
class Open:
    missing: frozenset[str] = frozenset()
    stuck: frozenset[str] = frozenset()
    lo: Fraction | None = None
    hi: Fraction | None = None


Value = Known | Open


def stuck(word: str) -> Open:
    return Open(stuck=frozenset({word}))


def missing(path: str) -> Open:
    return Open(missing=frozenset({path}))


def united(parts: Iterable[Value]) -> Open | None:
    """The reasons of all open parts together, without bounds; None where no part is open."""
    opens = [p for p in parts if isinstance(p, Open)]
    if not opens:
        return None
    return Open(frozenset().union(*(p.missing for p in opens)), frozenset().union(*(p.stuck for p in opens)))


def strict(parts: list[Value], f: Callable[..., Any]) -> Value:
    """f of all parts, open if any is open. f returns a plain value or an Open."""
    lacking = united(parts)
    if lacking is not None:
        return lacking
    result = f(*(p.value for p in parts))  # type: ignore[union-attr]
    return result if isinstance(result, Open) else Known(result)


def kleene(parts: list[Value], decisive: bool) -> Value:
    """`or` (decided by yes) and `and` (decided by no)."""
    if any(isinstance(p, Known) and p.value is decisive for p in parts):
        return Known(decisive)
    return united(parts) or Known(not decisive)


def compare(sign: str, a: Value, b: Value) -> Value:
    if isinstance(a, Known) and isinstance(b, Known):
        x, y = a.value, b.value
        if sign in ("=", "!="):
            return Known((x == y) is (sign == "="))
        return Known({"<": x < y, "<=": x <= y, ">": x > y, ">=": x >= y}[sign])
    if sign in (">", ">="):
        return compare("<" if sign == ">" else "<=", b, a)
    if sign == "!=":
        equal = compare("=", a, b)
        return Known(not equal.value) if isinstance(equal, Known) else equal
    (alo, ahi), (blo, bhi) = bounds(a), bounds(b)
    below = ahi is not None and blo is not None and (ahi < blo or (ahi == blo and sign == "<="))
    above = alo is not None and bhi is not None and (alo > bhi or (alo == bhi and sign == "<"))
    if sign == "=" and (below or above):
        return Known(False)
    if sign != "=" and (below or above):
        return Known(below)
    return united([a, b])  # type: ignore[return-value]


def bounds(a: Value) -> tuple[Any, Any]:
    return (a.value, a.value) if isinstance(a, Known) else (a.lo, a.hi)


def choose(condition: Value, first: Value, second: Value) -> Value:
    if isinstance(condition, Known):
        return first if condition.value else second
    if isinstance(first, Known) and isinstance(second, Known) and first.value == second.value:
        return first
    return united([condition, first, second])  # type: ignore[return-value]
