"""Text of an expression -> surface tree. Whatever reads two ways is a problem with help, never a guess."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Literal, cast

from .calendar import CalendarSpan, read_date, read_span
from .limits import LIMITS, Limits
from .number import read_number
from .one_text import one_text
from .problem import Problem
from .quantity import UNITS, Mistake, number, read_quantity
from .source import Source, Span
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
    Relation,
    Rounding,
    Sign,
)  # fmt: skip
from .tree import Scalar

if TYPE_CHECKING:
    from lark import Lark, Token, Tree

RESERVED = frozenset(
    [
        "and",
        "or",
        "not",
        "is",
        "one",
        "of",
        "if",
        "then",
        "else",
        "yes",
        "no",
        "nearest",
        "up",
        "down",
        "ties",
        "even",
        "abs",
        "smallest",
        "largest",
        "count",
        "every",
        "some",
        "sum",
        "mean",
        "interpolate",
        "recorded",
    ]
)
"""Words of the language, which no field, term or table may be named."""

_Way = Literal["nearest", "up", "down"]
_Ties = Literal["up", "even"] | None

_WORDS_FOR = {
    "EVEN": "`up` or `even`", "RELATION": "a comparison", "PLUS": "`+` or `-`", "PRODUCT_SIGN": "`*` or `/`",
    "COMMA": "`,`", "RPAR": "`)`", "RSQB": "`]`", "RBRACE": "`}`", "LPAR": "`(`", "LBRACE": "`{`", "THEN": "`then`",
    "ELSE": "`else`", "ONE": "`one of`", "OF": "`of`",
}  # fmt: skip

_FOREIGN = {
    "==": "equality is written `=`", "&&": "write `and`", "||": "write `or`", "!": "write `not`", "<>": "write `!=`",
    "=<": "write `<=`", "=>": "write `>=`", "≤": "write `<=`", "≥": "write `>=`", "≠": "write `!=`",
    "×": "write `*`", "÷": "write `/`", "−": "write `-`", "–": "write `-`", "^": "write the product out with `*`",
    "'": 'a choice is written in double quotes, "like this"', '"': "the closing `\"` is missing",
    "“": 'use straight quotes, "like this"', "”": 'use straight quotes, "like this"',
}  # fmt: skip


def parse(scalar: Scalar, limits: Limits = LIMITS) -> tuple[Expression | None, tuple[Problem, ...]]:
    """The surface tree of the expression in ``scalar``, or the problems that stand in the way."""
    return _Parse(scalar, limits).run()


def parse_text(text: str, name: str = "expression") -> tuple[Expression | None, tuple[Problem, ...]]:
    """The same for a bare text."""
    span = Span(Source(name, text), 0, len(text))
    return parse(Scalar(text, "plain", span, tuple(range(len(text) + 1))))


@cache
def _lark() -> Lark:
    """The parser. Built once in a process: it holds no state between calls."""
    from lark import Lark

    return Lark(grammar_text(), parser="lalr", lexer="basic", maybe_placeholders=True, propagate_positions=True)


def grammar_text() -> str:
    """The grammar with the accepted unit spellings put in, the longest first."""
    text = files(__package__).joinpath("grammar.lark").read_text(encoding="utf-8")
    units = "|".join(re.escape(unit).replace("/", r"\/") for unit in sorted(UNITS, key=lambda u: (-len(u), u)) if unit)
    return text.replace("UNITS", units)


class _Parse:
    """One parse: the text, its place in the file, and the problems found so far."""

    def __init__(self, scalar: Scalar, limits: Limits) -> None:
        self.scalar, self.text, self.limits = scalar, scalar.text, limits
        self.problems: list[Problem] = []

    def run(self) -> tuple[Expression | None, tuple[Problem, ...]]:
        from lark.exceptions import UnexpectedCharacters, UnexpectedToken

        if not self.text.strip():
            return self.fail("syntax", "an expression is expected here", 0, 0)
        if len(self.text) > self.limits.expression:
            return self.fail(
                "expression-long", f"an expression may have at most {self.limits.expression} characters",
                0, len(self.text), "give parts of it a name under `terms`",
            )  # fmt: skip
        if self.bracket_depth() > self.limits.expression_depth:
            return self.too_deep()
        try:
            tree = _lark().parse(self.text)
        except UnexpectedCharacters as error:
            return self.unexpected_character(error.pos_in_stream or 0)
        except UnexpectedToken as error:
            return self.unexpected_token(error.token, frozenset(error.expected))
        size, depth = _measure(tree)
        if size > self.limits.expression_nodes:
            return self.fail(
                "expression-large", f"an expression may have at most {self.limits.expression_nodes} parts",
                0, len(self.text), "give parts of it a name under `terms`",
            )  # fmt: skip
        if depth > self.limits.expression_depth:
            return self.too_deep()
        expression = self.build(tree)
        if self.problems:
            return None, tuple(self.problems)
        return expression, ()

    # problems

    def add(self, code: str, message: str, start: int, end: int, help: str | None = None) -> None:
        self.problems.append(Problem(code, message, self.scalar.place(start, end), help))

    def fail(
        self, code: str, message: str, start: int, end: int, help: str | None = None
    ) -> tuple[None, tuple[Problem, ...]]:
        self.add(code, message, start, end, help)
        return None, tuple(self.problems)

    def too_deep(self) -> tuple[None, tuple[Problem, ...]]:
        return self.fail(
            "expression-deep", f"an expression may be nested at most {self.limits.expression_depth} deep",
            0, len(self.text), "give parts of it a name under `terms`",
        )  # fmt: skip

    def bracket_depth(self) -> int:
        """Nesting before parsing, so that no parser ever meets a tower of brackets."""
        depth = most = 0
        for char in self.text:
            depth += (char in "([{") - (char in ")]}")
            most = max(most, depth)
        return most

    def unexpected_character(self, at: int) -> tuple[None, tuple[Problem, ...]]:
        rest = self.text[at:]
        known = next((mark for mark in sorted(_FOREIGN, key=len, reverse=True) if rest.startswith(mark)), None)
        if known is not None:
            return self.fail("syntax", f"`{known}` is not part of the language", at, at + len(known), _FOREIGN[known])
        if rest[0].isupper():
            word = re.match(r"\w+", rest)
            end = at + (word.end() if word else 1)
            found = self.text[at:end]
            help = f"write `{found.lower()}`" if found.lower() in RESERVED else (
                f'a choice is written in quotes, "{found}"; names are lower case')  # fmt: skip
            return self.fail("syntax", f"`{found}` is not a name", at, end, help)
        return self.fail("syntax", f"`{rest[0]}` is not part of the language", at, at + 1)

    def unexpected_token(self, token: Token, expected: frozenset[str]) -> tuple[None, tuple[Problem, ...]]:
        if token.type == "$END":
            opened = self.unclosed()
            if opened is not None:
                return self.fail("syntax", f"`{self.text[opened]}` is never closed", opened, opened + 1)
            end = len(self.text.rstrip())
            next_word = next((_WORDS_FOR[w] for w in ("THEN", "ELSE", "ONE", "OF") if w in expected), "more")
            return self.fail("syntax", f"the expression ends where {next_word} is expected", end, end)
        start = token.start_pos or 0
        end = start + len(token)
        for mark in ("==", "=<", "=>", "<>"):
            if self.text[max(0, start - 1) : end] == mark or self.text[start : start + 2] == mark:
                first = start if self.text[start : start + 2] == mark else start - 1
                return self.fail("syntax", f"`{mark}` is not part of the language", first, first + 2, _FOREIGN[mark])
        if token.type == "RELATION":
            return self.fail("syntax", f"`{token}` has nothing to compare on its left", start, end)
        # Where a name may stand a bracket may too, but so may anything else that begins a value.
        wanted = ["a name or a figure"] if "PATH" in expected else sorted(
            words for name, words in _WORDS_FOR.items() if name in expected)  # fmt: skip
        help = f"expected here: {', '.join(wanted)}" if 0 < len(wanted) <= 3 else None
        if str(token) == "," and re.search(r"[0-9]$", self.text[:start]) and re.match("[0-9]", self.text[end:]):
            help = "decimals are written with a point; thousands are not set off"
        if str(token) == "if":
            help = "put brackets around an `if` inside other arithmetic"
        return self.fail("syntax", f"`{token}` is not expected here", start, end, help)

    def unclosed(self) -> int | None:
        """Offset of the innermost bracket that is still open at the end."""
        opened: list[int] = []
        for at, char in enumerate(self.text):
            if char in "([{":
                opened.append(at)
            elif char in ")]}" and opened:
                opened.pop()
        return opened[-1] if opened else None

    # building

    def build(self, tree: Any) -> Expression:
        """The surface node of a lark tree. INVARIANT: depth and size were measured before."""
        start, end = _extent(tree)
        span = self.scalar.place(start, end)
        parts = tree.children
        match tree.data:
            case "brackets":
                return self.build(parts[0])
            case "conditional":
                return Conditional(self.build(parts[0]), self.build(parts[1]), self.build(parts[2]), span=span)
            case "either" | "both":
                return Junction("or" if tree.data == "either" else "and", tuple(map(self.build, parts)), span=span)
            case "negation":
                return Negation(self.build(parts[0]), span=span)
            case "comparison":
                rest = tuple((cast(Relation, str(parts[i])), self.build(parts[i + 1])) for i in range(1, len(parts), 2))
                return Comparison(self.build(parts[0]), rest, span=span)
            case "one_of":
                options = tuple(self.build(part) for part in parts[1:])
                return OneOf(self.build(parts[0]), options, span=span)
            case "sum" | "product":
                return self.chain(parts)
            case "signed":
                return Negative(self.build(parts[1]), span=span)
            case "lookup":
                return Cell(str(parts[0]), tuple(self.build(part) for part in parts[1:]), span=span)
            case "call":
                return Call(str(parts[0]), tuple(self.build(part) for part in parts[1:]), span=span)
            case "rounding":
                way, of, step, ties = parts
                return Rounding(
                    cast(_Way, str(way)), self.build(of), self.build(step), cast(_Ties, ties and str(ties)), span=span
                )  # fmt: skip
            case "function":
                return Function(str(parts[0]), tuple(self.build(part) for part in parts[1:]), span=span)
            case "name":
                return Name(tuple(str(parts[0]).split(".")), span=span)
            case "yes" | "no":
                return Given(tree.data == "yes", span=span)
            case "word":
                return Given(one_text(str(parts[0])[1:-1]), span=span)
            case _:
                return self.literal(tree.data, str(parts[0]), start, end)

    def literal(self, rule: str, text: str, start: int, end: int) -> Expression:
        span = self.scalar.place(start, end)
        if rule == "trap_minus":
            self.add(
                "ambiguous", f"`{text}` reads two ways: a subtraction, or one figure or date", start, end,
                "a subtraction has spaces around the minus; a mixed fraction needs its unit, as in `1-1/8 in`;"
                " a date is written 2026-04-14",
            )  # fmt: skip
            return Given(number(0), span=span)
        value: object
        if rule == "date":
            value = read_date(text)
        elif rule == "span":
            value = read_span(text)
        elif rule == "number":
            found = read_number(text)
            help = f"no leading zeros; at most {self.limits.number} characters"
            wrong = Mistake("number-form", f"`{text}` is not written as a number", help, 0, len(text))
            value = wrong if found is None else number(found)
        else:
            value = read_quantity(text)
        if isinstance(value, Mistake):
            self.add(value.code, value.message, start + value.start, start + value.end, value.help)
            return Given(number(0), span=span)
        return Given(cast("CalendarSpan", value), span=span)

    def chain(self, parts: list[Any]) -> Expression:
        """Left to right. After ``/`` an unbracketed fraction could be read as two divisions: a problem."""
        left = self.build(parts[0])
        for i in range(1, len(parts), 2):
            sign, right_tree = str(parts[i]), parts[i + 1]
            right = self.build(right_tree)
            start, end = _extent(right_tree)
            if sign == "/" and self.is_fraction(right_tree, parts[i + 2 : i + 4]):
                self.add(
                    "ambiguous", "a fraction after `/` reads two ways", start, end,
                    "put the fraction in brackets",
                )  # fmt: skip
            left = Arithmetic(left, cast(Sign, sign), right, span=self.scalar.place(_extent(parts[0])[0], end))
        return left

    def is_fraction(self, tree: Any, following: list[Any]) -> bool:
        if tree.data == "quantity":
            return "/" in str(tree.children[0]).split(" ")[0]
        # `a / 1/8`: two numbers with a touching slash
        return (
            tree.data == "number" and len(following) == 2 and following[0] == "/" and following[1].data == "number"
            and _extent(following[1])[0] == _extent(tree)[1] + 1
        )  # fmt: skip


def _extent(tree: Any) -> tuple[int, int]:
    return tree.meta.start_pos, tree.meta.end_pos


def _measure(tree: Tree[Token]) -> tuple[int, int]:
    """Number of nodes and depth, without recursion. A sum or product counts one level for each operator."""
    size, deepest = 0, 0
    stack: list[tuple[Any, int]] = [(tree, 1)]
    while stack:
        node, depth = stack.pop()
        size += 1
        deepest = max(deepest, depth)
        inner = [child for child in node.children if hasattr(child, "data")]
        chained = len(inner) - 1 if node.data in {"sum", "product"} else 1
        stack += [(child, depth + (0 if node.data == "brackets" else max(1, chained))) for child in inner]
    return size, deepest
