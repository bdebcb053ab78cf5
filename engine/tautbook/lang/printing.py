"""Surface tree -> canonical text: one spelling of each rule, with no bracket that is not needed.

Printing, parsing and printing again gives the same text.
"""

from __future__ import annotations

from typing import assert_never

from .operations import words
from .quantity import Quantity
from .surface import (
    Arithmetic,
    Call,
    Cell,
    Comparison,
    Conditional,
    Expression,
    Function,
    Given,
    Junction,
    Name,
    Negation,
    Negative,
    OneOf,
    Rounding,
)

# How tightly a construct binds; an operand that binds less than its place asks for stands in brackets.
_IF, _OR, _AND, _NOT, _COMPARE, _SUM, _PRODUCT, _SIGN, _ATOM = range(9)


def print_expression(expression: Expression) -> str:
    """The canonical text."""
    return _text(expression)[0]


def _in(expression: Expression, place: int) -> str:
    text, binds = _text(expression)
    return text if binds >= place else f"({text})"


def _text(e: Expression) -> tuple[str, int]:
    """The text of an expression, and how tightly it binds."""
    match e:
        case Given(value=str() as value):
            return f'"{value}"', _ATOM
        case Given(value=Quantity() as value) if "/" in words(value):
            # After `/` a fraction would read two ways, so it never stands bare in a product.
            return words(value), _COMPARE if not value.unit.name else _PRODUCT
        case Given(value=value):
            return words(value), _ATOM
        case Name(path=path):
            return ".".join(path), _ATOM
        case Call(name=name, arguments=parts) | Function(name=name, arguments=parts):
            return f"{name}({_list(parts)})", _ATOM
        case Cell(table=table, keys=keys):
            return f"{table}[{_list(keys)}]", _ATOM
        case Negative(of=of):
            return f"-{_in(of, _SIGN)}", _SIGN
        case Arithmetic(left=left, sign=sign, right=right):
            place = _SUM if sign in "+-" else _PRODUCT
            return f"{_in(left, place)} {sign} {_in(right, place + 1)}", place
        case Comparison(first=first, rest=rest):
            tail = "".join(f" {relation} {_in(operand, _SUM)}" for relation, operand in rest)
            return f"{_in(first, _SUM)}{tail}", _COMPARE
        case OneOf(of=of, options=options):
            return f"{_in(of, _SUM)} is one of {{{_list(options)}}}", _COMPARE
        case Negation(of=of):
            return f"not {_in(of, _NOT)}", _NOT
        case Junction(word=word, parts=parts):
            place = _OR if word == "or" else _AND
            return f" {word} ".join(_in(part, place + 1) for part in parts), place
        case Conditional(condition=condition, then=then, otherwise=otherwise):
            parts = (condition, then, otherwise)
            a, b, c = (_in(part, _OR) for part in parts)
            return f"if {a} then {b} else {c}", _IF
        case Rounding(way=way, of=of, step=step, ties=ties):
            rule = f", ties {ties}" if ties else ""
            return f"{way}({_list((of, step))}{rule})", _ATOM
        case _:
            assert_never(e)


def _list(parts: tuple[Expression, ...]) -> str:
    return ", ".join(_in(part, _IF) for part in parts)
