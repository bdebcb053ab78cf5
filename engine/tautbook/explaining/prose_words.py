"""Single words of sentences: figures, comparisons, rounding rules, lists."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from ..lang.calendar import CalendarSpan, read_span
from ..lang.kernel import Constant, Node, Relation
from ..lang.kinds import DateKind, Kind, NumberKind, QuantityKind, YesNoKind
from ..lang.operations import words
from ..lang.problem import visible
from ..lang.quantity import Quantity, read_quantity

Writing = Callable[[], str]

MIRRORED: Mapping[Relation, Relation] = {"=": "=", "!=": "!=", "<": ">", "<=": ">=", ">": "<", ">=": "<="}
"""The same comparison, read from its other side."""

_OF_FIGURES: Mapping[Relation, str] = {
    "=": "is exactly", "!=": "is anything but", "<": "is less than", "<=": "is at most", ">": "is more than",
    ">=": "is at least",
}  # fmt: skip
_OF_DATES: Mapping[Relation, str] = {
    "=": "is the same day as", "!=": "is another day than", "<": "is before", "<=": "is no later than",
    ">": "is after", ">=": "is no earlier than",
}  # fmt: skip


def compared(relation: Relation, kind: Kind, to: Node) -> str:
    """How something of ``kind`` is compared: ``is at least``."""
    if isinstance(kind, DateKind):
        return _OF_DATES[relation]
    if isinstance(kind, NumberKind | QuantityKind) and relation in ("=", "!=") and not isinstance(to, Constant):
        return "is equal to" if relation == "=" else "is not equal to"
    if isinstance(kind, NumberKind | QuantityKind) or relation not in ("=", "!="):
        return _OF_FIGURES[relation]
    if isinstance(kind, YesNoKind):
        return "is the same answer as" if relation == "=" else "is another answer than"
    if isinstance(to, Constant):
        return "is" if relation == "=" else "is not"
    return "is the same as" if relation == "=" else "is not the same as"


def figure(node: Constant) -> str:
    """A figure as the rule writes it, a word in quotation marks."""
    value = node.value
    if isinstance(value, Quantity | CalendarSpan):
        text = _as_written(node, value) or words(value)
        return f"minus {text[1:]}" if text.startswith("-") else text
    return f'"{visible(value)}"' if isinstance(value, str) else words(value)


def _as_written(node: Constant, value: Quantity | CalendarSpan) -> str | None:
    """``0.70``, not ``0.7``; ``12 months``, not ``1 year``: to be compared with a printed page."""
    if node.span is None:
        return None
    text = node.span.source.text[node.span.start : node.span.end]
    if isinstance(value, CalendarSpan):
        return text if read_span(text) == value else None
    found = read_quantity(text)
    alike = isinstance(found, Quantity) and found == value and found.unit == value.unit
    return text if alike else None


def rounded(way: str, step: Quantity, ties: str | None) -> str:
    """``rounded to the nearest 1 kip, a tie upwards``."""
    to = words(step)
    if way != "nearest":
        return f"rounded {way} to {'a whole number' if to == '1' else f'a multiple of {to}'}"
    near = "whole number" if to == "1" else to
    return f"rounded to the nearest {near}, a tie {'upwards' if ties == 'up' else 'to the even multiple'}"


def with_commas(parts: Sequence[str], word: str) -> str:
    """``a, b or c``."""
    *before, last = parts
    return f"{', '.join(before)} {word} {last}" if before else last
