"""One scalar to a value of the kind that the schema names. The source text decides, no type is guessed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache

from ..lang.calendar import read_date, read_span
from ..lang.number import read_number
from ..lang.one_text import one_text
from ..lang.problem import Problem
from ..lang.quantity import DIMENSIONLESS, Mistake, Quantity, dimension_named, number, read_quantity
from ..lang.tree import Scalar
from ..lang.values import Plain
from .schemas import Schema

_YES = frozenset({"true", "yes", "y", "on"})
_NO = frozenset({"false", "no", "n", "off"})
_NOTHING = frozenset({"", "~", "null", "Null", "NULL"})


_LONGEST_SHOWN = 60


def short(text: str) -> str:
    """Text from a file for use in a message: its beginning, if it is long."""
    return text if len(text) <= _LONGEST_SHOWN else text[:_LONGEST_SHOWN] + "..."


def is_empty(scalar: Scalar) -> bool:
    """Whether nothing is written there. The words for nothing count as nothing, unless they are in quotes."""
    if scalar.style in {"plain", "json word"}:
        return scalar.text in _NOTHING
    return not scalar.text.strip()


def convert(scalar: Scalar, schema: Schema, name: str) -> Plain | Problem:
    """The value of ``scalar`` in the kind of ``schema``. ``name`` is how a message calls the field."""
    if is_empty(scalar):
        return _nothing(scalar, schema, name)
    value = _READERS[schema["x-kind"]](scalar, schema, name)
    if isinstance(value, Mistake):
        span = scalar.place(value.start, value.end)
        return Problem(value.code, value.message, span, value.help)
    return value


def _nothing(scalar: Scalar, schema: Schema, name: str) -> Problem:
    if scalar.style == "json word" or (scalar.style == "plain" and scalar.text):
        message = f"`{scalar.text}` says that there is no value for `{name}`"
    elif scalar.style == "plain":
        message = f"nothing is written after `{name}:`"
    else:
        message = f"the text of `{name}` is empty"
    return Problem("empty-value", message, scalar.span, f"write a value, or leave `{name}` out")


def _text(scalar: Scalar, schema: Schema, name: str) -> Plain | Problem:
    if scalar.style == "json word":
        return Problem(
            "text-expected", f"`{name}` is text, not `{scalar.text}`", scalar.span, "put it in quotes"
        )
    return one_text(scalar.text)


def _expression(scalar: Scalar, schema: Schema, name: str) -> Plain | Problem:
    """The text of a rule, if each character of it has its place in the file."""
    if scalar.style == "folded" or scalar.offsets is None:
        message = "a rule is written on one line, in quotes without escapes, or as a block after `|`"
        help = "start it with `|` and write it on the next lines, indented"
        return Problem("expression-form", message, scalar.span, help)
    return scalar.text


def _yes_no(scalar: Scalar, schema: Schema, name: str) -> Plain | Problem:
    word = scalar.text.lower()
    shown = short(scalar.span.text if scalar.style in {"single", "double"} else scalar.text)
    bare = scalar.style in {"plain", "json word"}
    if bare and scalar.text in {"true", "false"}:
        return scalar.text == "true"
    if word in _YES or word in _NO:
        meant = "true" if word in _YES else "false"
        help = f"write `{name}: {meant}`" + ("" if bare else ", without quotes")
    else:
        help = "write `true` or `false`"
    return Problem("yes-no", f"`{name}` is answered by `true` or `false`, not `{shown}`", scalar.span, help)


def _number(scalar: Scalar, schema: Schema, name: str) -> Plain | Problem:
    read = read_quantity(scalar.text, DIMENSIONLESS)
    found = None if isinstance(read, Mistake) else read.value
    if found is None:
        message = f"`{name}` is a number, and `{short(scalar.text)}` is not written as one"
        help = "digits with a decimal point or a fraction, such as 3, 2.5 or 1/2; no unit, no leading zeros"
        return Problem("number-form", message, scalar.span, help)
    return _in_range(number(found), scalar, schema, name)


def _whole(scalar: Scalar, schema: Schema, name: str) -> Plain | Problem:
    found = read_number(scalar.text)
    if found is None or found.denominator != 1:
        message = f"`{name}` is a whole number, and `{short(scalar.text)}` is not"
        help = "digits only, such as 3; no unit, no leading zeros"
        return Problem("whole-number", message, scalar.span, help)
    if scalar.style not in {"plain", "json number"}:
        help = f"write `{name}: {found}`, without quotes"
        return Problem("quoted-number", f"`{name}` is a number", scalar.span, help)
    return _in_range(number(found), scalar, schema, name)


def _quantity(scalar: Scalar, schema: Schema, name: str) -> Plain | Problem | Mistake:
    dimension = dimension_named(schema["x-dimension"])
    assert dimension is not None, schema["x-dimension"]
    value = read_quantity(scalar.text, dimension)
    return value if isinstance(value, Mistake) else _in_range(value, scalar, schema, name)


def _date(scalar: Scalar, schema: Schema, name: str) -> Plain | Mistake:
    return read_date(scalar.text)


def _span(scalar: Scalar, schema: Schema, name: str) -> Plain | Mistake:
    return read_span(scalar.text)


_READERS: Mapping[str, Callable[[Scalar, Schema, str], Plain | Problem | Mistake]] = {
    "text": _text,
    "choice": _text,
    "expression": _expression,
    "yes-no": _yes_no,
    "number": _number,
    "whole": _whole,
    "quantity": _quantity,
    "date": _date,
    "span": _span,
}


def range_of(schema: Schema) -> tuple[Quantity, Quantity] | None:
    """Least and greatest value that a field can hold, both included, from `x-range`."""
    if "x-range" not in schema:
        return None
    low, high = schema["x-range"]
    return _bound(low, schema.get("x-dimension")), _bound(high, schema.get("x-dimension"))


@cache
def _bound(text: str, dimension: str | None) -> Quantity:
    if dimension is not None:
        value = read_quantity(text, dimension_named(dimension))
        assert isinstance(value, Quantity), text
        return value
    found = read_number(text)
    assert found is not None, text
    return number(found)


def _in_range(value: Quantity, scalar: Scalar, schema: Schema, name: str) -> Quantity | Problem:
    limits = range_of(schema)
    if limits is None or limits[0].value <= value.value <= limits[1].value:
        return value
    low, high = schema["x-range"]
    message = f"`{name}` can be {low} to {high}, and this says {scalar.text}"
    help = "check the figure and its unit" if "x-dimension" in schema else "check the figure"
    return Problem("out-of-range", message, scalar.span, help)
