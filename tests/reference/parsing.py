"""Text of an expression to nested tuples, by plain recursive descent.

Trees: ("lit", kind, value), ("path", (segments)), ("neg", a), ("not", a), ("and"|"or", [parts]),
("arith", op, a, b), ("compare", [operands], [operators]), ("one of", a, [members]), ("if", c, a, b),
("look up", table, [keys]),
("call", name, [arguments]), ("round", way, x, step, ties). `kind` of a literal is a dimension or a word.
"""

import re
from datetime import date
from fractions import Fraction
from functools import lru_cache
from typing import Any

from reference.units import NUMBER, SPANS, UNITS, in_base

KEYWORDS = {"if", "then", "else", "and", "or", "not", "is", "yes", "no"}
COMPARE = ("<=", ">=", "!=", "<", ">", "=")
NAME = r"[a-z][a-z0-9_]*"
_NUMBER = re.compile(r"(?:(\d+)-)?(\d+)/(\d+)|\d+(?:\.\d+)?", re.ASCII)
_DATE = re.compile(r"\d{4}-\d\d-\d\d(?![\d-])", re.ASCII)
_WORD_AFTER = re.compile(r"[ \t]*(%|[A-Za-z]+(?:-[A-Za-z]+)?)")
_REST = re.compile(rf'"([^"\n]*)"|({NAME}(?:\.{NAME})*)|(<=|>=|!=|[-+*/<>=(){{}}\[\],])')


class Mistake(Exception):
    """The text is no expression of the language; `code` says why."""

    def __init__(self, code: str, what: str = "") -> None:
        super().__init__(f"{code}: {what}")
        self.code = code


def _number(text: str, at: int) -> tuple[tuple[Any, ...], int]:
    found = _NUMBER.match(text, at)
    assert found is not None
    end = found.end()
    whole, top, bottom = found.groups()
    if bottom is not None and int(bottom) == 0:
        raise Mistake("syntax", "a fraction over nothing")
    value = Fraction(found[0]) if bottom is None else int(whole or 0) + Fraction(int(top), int(bottom))
    word = _WORD_AFTER.match(text, end)
    unit = word[1] if word is not None and word[1] not in KEYWORDS else None
    if unit is None and (whole is not None or re.match(r"-[0-9]", text[end:])):
        raise Mistake("ambiguous", "a minus that touches two numbers")
    if unit is None:
        return ("number", NUMBER, value, bottom is not None), end
    assert word is not None
    if unit in SPANS:
        months, days = SPANS[unit]
        if value.denominator != 1:
            raise Mistake("syntax", "a part of a calendar span")
        return ("number", "span", (months * int(value), days * int(value)), bottom is not None), word.end()
    if unit not in UNITS:
        raise Mistake("unit-unknown", unit)
    return ("number", UNITS[unit][2], in_base(value, unit), bottom is not None), word.end()


def tokens(text: str) -> list[tuple[Any, ...]]:
    """Every token: ("number", kind, value, is a fraction), ("text", t), ("name", dotted), ("sign", s)."""
    out: list[tuple[Any, ...]] = []
    at = 0
    while at < len(text):
        if text[at] in " \t\r\n":
            at += 1
            continue
        if day := _DATE.match(text, at):
            try:
                out.append(("number", "date", date.fromisoformat(day[0]), False))
            except ValueError:
                raise Mistake("syntax", "no such day") from None
            at = day.end()
            continue
        if text[at] in "0123456789":
            token, at = _number(text, at)
            if token[3] and out and out[-1] == ("sign", "/"):
                raise Mistake("ambiguous", "a fraction after a division")
            out.append(token)
            continue
        found = _REST.match(text, at)
        if found is None:
            raise Mistake("syntax", text[at:])
        kind = ("text", "name", "sign")[0 if found[1] is not None else 1 if found[2] is not None else 2]
        out.append((kind, found[1] if kind == "text" else found[0]))
        at = found.end()
    return [*out, ("end", "")]


class _Reader:
    def __init__(self, text: str) -> None:
        self.tokens = tokens(text)
        self.at = 0

    def has(self, value: str, ahead: int = 0) -> bool:
        token = self.tokens[min(self.at + ahead, len(self.tokens) - 1)]
        return token[0] in ("sign", "name") and token[1] == value

    def take(self, value: str) -> bool:
        if self.has(value):
            self.at += 1
            return True
        return False

    def need(self, value: str) -> None:
        if not self.take(value):
            raise Mistake("syntax", f"expected {value}")

    def expression(self) -> Any:
        if not self.take("if"):
            return self.joined("or", lambda: self.joined("and", self.negation))
        condition = self.expression()
        self.need("then")
        first = self.expression()
        self.need("else")
        return ("if", condition, first, self.expression())

    def joined(self, word: str, part: Any) -> Any:
        parts = [part()]
        while self.take(word):
            parts.append(part())
        return parts[0] if len(parts) == 1 else (word, parts)

    def negation(self) -> Any:
        return ("not", self.negation()) if self.take("not") else self.comparison()

    def comparison(self) -> Any:
        operands, operators = [self.sum()], []
        if self.has("is"):
            for word in ("is", "one", "of", "{"):
                self.need(word)
            return ("one of", operands[0], self.listed("}", self.sum))
        while self.tokens[self.at][0] == "sign" and self.tokens[self.at][1] in COMPARE:
            operators.append(self.tokens[self.at][1])
            self.at += 1
            operands.append(self.sum())
        if not operators:
            return operands[0]
        ways = {"equal" if o in ("=", "!=") else o[0] for o in operators}
        if len(operators) > 1 and (len(ways) > 1 or "equal" in ways):
            raise Mistake("chain", " ".join(operators))
        return ("compare", operands, operators)

    def sum(self) -> Any:
        return self.binary(("+", "-"), lambda: self.binary(("*", "/"), self.signed))

    def binary(self, signs: tuple[str, ...], part: Any) -> Any:
        tree = part()
        while self.tokens[self.at][0] == "sign" and self.tokens[self.at][1] in signs:
            sign = self.tokens[self.at][1]
            self.at += 1
            tree = ("arith", sign, tree, part())
        return tree

    def signed(self) -> Any:
        return ("neg", self.signed()) if self.take("-") else self.atom()

    def listed(self, close: str, part: Any) -> list[Any]:
        parts = [part()]
        while self.take(","):
            parts.append(part())
        self.need(close)
        return parts

    def atom(self) -> Any:
        kind, value, *more = self.tokens[self.at]
        self.at += 1
        if kind == "number":
            return ("lit", value, more[0])
        if kind == "text":
            return ("lit", "choice", value)
        if kind == "sign" and value == "(":
            tree = self.expression()
            self.need(")")
            return tree
        if kind == "name" and value in ("yes", "no"):
            return ("lit", "yes/no", value == "yes")
        if kind != "name" or value in KEYWORDS:
            raise Mistake("syntax", f"{value!r} is no value")
        if self.take("["):
            return ("look up", value, self.listed("]", self.expression))
        if not self.take("("):
            return ("path", tuple(value.split(".")))
        return self.rounded(value) if value in ("nearest", "up", "down") else (
            "call", value, self.listed(")", self.expression)
        )  # fmt: skip

    def rounded(self, way: str) -> Any:
        x = self.expression()
        if not self.take(","):
            raise Mistake("arguments" if self.has(")") else "syntax", way)
        step = self.expression()
        ties = None
        if way == "nearest":
            if not (self.take(",") and self.take("ties") and (self.has("up") or self.has("even"))):
                raise Mistake("tie-rule", "say ties up or ties even")
            ties = self.tokens[self.at][1]
            self.at += 1
        elif self.take(","):
            raise Mistake("tie-rule" if self.has("ties") else "arguments", way)
        self.need(")")
        return ("round", way, x, step, ties)


@lru_cache(maxsize=50_000)
def parse(text: str) -> Any:
    """The tree of `text`; raises Mistake."""
    reader = _Reader(text)
    tree = reader.expression()
    if reader.tokens[reader.at][0] != "end":
        raise Mistake("syntax", f"unexpected {reader.tokens[reader.at][1]!r}")
    return tree
