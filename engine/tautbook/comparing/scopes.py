"""Combinations of keys with the same answer, told together: *A325, 1-1/8 in to 1-1/2 in*."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..lang.operations import words
from ..lang.values import Plain
from .effect import Scope
from .unknowns import AnyOther

Box = tuple[tuple[Plain, ...], ...]


def boxes(keys: Mapping[str, tuple[Plain, ...]], combinations: Sequence[Mapping[str, Plain]]) -> list[Box]:
    """As few products of values as joining neighbours gives. ``keys``: every value of each key, in order."""
    names = list(keys)
    found: list[Box] = [tuple((each[name],) for name in names) for each in combinations]
    for axis in range(len(names) - 1, -1, -1):
        joined: dict[Box, list[Plain]] = {}
        for box in found:
            rest = (*box[:axis], *box[axis + 1 :])
            joined.setdefault(rest, []).extend(box[axis])
        order = {value: number for number, value in enumerate(keys[names[axis]])}
        found = [
            (*rest[:axis], tuple(sorted(dict.fromkeys(values), key=order.__getitem__)), *rest[axis:])
            for rest, values in joined.items()
        ]
    return found


def scope(keys: Mapping[str, tuple[Plain, ...]], box: Box) -> Scope:
    """The box as the paths and values that it is narrower in than everything that tables know."""
    return tuple(
        (path, tuple(map(words, values)))
        for (path, every), values in zip(keys.items(), box, strict=True)
        if any(value not in values for value in every if not isinstance(value, AnyOther))
    )


def among(keys: Mapping[str, tuple[Plain, ...]], told: Scope) -> Scope:
    """Every value of the fields that a scope names."""
    return tuple((path, tuple(map(words, keys[path]))) for path, _ in told)
