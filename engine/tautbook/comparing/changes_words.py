"""Parts of rules in words: relations, limits, roundings, each as the edition writes what is in it."""

from __future__ import annotations

from ..lang.surface import Arithmetic, Conditional, Expression, Given, Relation, Rounding
from .changes_figures import difference

RELATION: dict[Relation, str] = {
    "=": "equal to", "!=": "other than", "<": "less than", "<=": "at most", ">": "more than", ">=": "at least",
}  # fmt: skip
MIRRORED: dict[Relation, Relation] = {"=": "=", "!=": "!=", "<": ">", "<=": ">=", ">": "<", ">=": "<="}


def text_of(e: Expression) -> str:
    """As the edition writes it, on one line."""
    return " ".join(e.span.text.split())


def quoted(e: Expression) -> str:
    return f"`{text_of(e)}`"


def became(old: str, new: str) -> str:
    return f"{old} became {new}"


def limit(before: Relation, was: Given, after: Relation, now: Given) -> str:
    apart = difference(was.value, now.value)
    told = became(f"`{RELATION[before]} {operand(was)}`", f"`{RELATION[after]} {operand(now)}`")
    return f"{told}, {apart}" if apart and before == after else told


def operand(e: Expression) -> str:
    text = text_of(e)
    return f"({text})" if isinstance(e, Arithmetic | Conditional) and not text.startswith("(") else text


def ties_of(e: Rounding) -> str:
    return f"ties {e.ties}" if e.ties else "no rule for ties"


def rounding(e: Rounding, ties: bool = True) -> str:
    """A rounding in words, without what it rounds."""
    step = text_of(e.step)
    if e.way != "nearest":
        return f"rounded {e.way} in steps of {step}"
    return f"rounded to the nearest {step}" + (f", {ties_of(e)}" if ties and e.ties else "")
