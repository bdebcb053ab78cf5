"""Cases at random, each of the right kinds: (text of an expression, given), `given` as in `reference.plain`.

`one_case(pick)` asks `pick(n)` for a whole number below n, so that the same tree of choices is driven by
Hypothesis (which can shrink it) or by a plain seeded generator (which is faster).
"""

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from hypothesis import strategies as st

from reference.plain import kinds_of_fields, vocabulary
from reference.records import LISTS, VALUES, Pick, given

Case = tuple[str, dict[str, Any]]

STEPS = {
    "force": ["1 kip", "0.5 kip", "5 kN"],
    "length": ["1/16 in", "1 mm"],
    "angle": ["30 degree", "1/12 turn"],
    "torque": ["5 ft-lbf", "10 N-m"],
    "stress": ["1 ksi", "5 MPa"],
    "mass": ["0.1 lb", "1 kg"],
    "duration": ["1 minute", "5 second"],
}
NUMERIC = ("force", "length", "number", "angle")
SELDOM = ("torque", "stress", "mass", "duration")
MADE_OF = {  # products and quotients of two other kinds
    "torque": [("force", "*", "length"), ("length", "*", "force")],
    "force": [("torque", "/", "length")],
    "length": [("torque", "/", "force")],
}


@dataclass
class _Writer:
    """Writes expressions; `left` is how many more parts, `bound` the lists whose singular stands."""

    pick: Pick
    left: int
    bound: list[str] = field(default_factory=list)

    def one(self, options: Any) -> Any:
        return options[self.pick(len(options))]

    def within(self, part: tuple[str, int], least: int) -> str:
        """A part in brackets where it binds less than `least`, and now and then where it need not."""
        text, level = part
        return f"({text})" if level < least or self.pick(16) == 0 else text

    def write(self, kind: str, least: int = 0) -> str:
        return self.within(self.part(kind), least)

    def part(self, kind: str) -> tuple[str, int]:
        """(text, level): 0 if, 1 or, 2 and, 3 not, 4 comparison, 5 sum, 6 product, 7 minus, 8 whole."""
        self.left -= 1
        if self.left <= 0 or self.pick(5) == 0:
            return self.leaf(kind), 8
        if self.pick(8) == 0:
            words = f"if {self.write('yes/no', 1)} then {self.write(kind, 1)} else {self.write(kind)}"
            return words, 0
        if kind == "yes/no":
            return self.truth()
        if kind in NUMERIC or kind in SELDOM:
            way: Callable[[], tuple[str, int]] = self.one(self.ways(kind))
            return way()
        if kind == "date" and self.pick(2):
            return (f"{self.write('date', 5)} + {self.leaf('span')}", 5) if self.pick(3) else ("due", 8)
        return self.leaf(kind), 8

    def leaf(self, kind: str) -> str:
        if kind == "number" and self.pick(2):
            kind = "whole number"
        fields = [p for p, k in kinds_of_fields().items() if k == kind and p.split(".")[0] not in LISTS]
        for name in self.bound:
            singular = vocabulary()["lists"][name]["singular"]
            inside = [p for p, k in kinds_of_fields().items() if k == kind and p.startswith(f"{name}.")]
            fields += [singular + p[len(name) :] for p in inside] * 3
        if fields and self.pick(4):
            return str(self.one(fields))
        text = self.one(VALUES[kind])
        return f'"{text}"' if kind in ("choice", "text") else str(text)

    def truth(self) -> tuple[str, int]:
        way = self.pick(13)
        if way == 12:
            return self.by_bounds()
        if way < 4:
            kind = self.one([*NUMERIC, *SELDOM, "date", "temperature"] if self.pick(2) else NUMERIC)
            if self.pick(4) == 0:
                signs = self.one([["<", "<="], [">", ">="]])
                first, second, third = (self.write(kind, 5) for _ in range(3))
                return f"{first} {self.one(signs)} {second} {self.one(signs)} {third}", 4
            sign = self.one(["<", "<=", ">", ">=", "=", "!="])
            return f"{self.write(kind, 5)} {sign} {self.write(kind, 5)}", 4
        if way < 5:
            kind = self.one(["choice", "text"])
            if kind == "choice" and self.pick(2):
                members = self.one(['"A325"', '"A490"', '"A325", "A490"'])
                return f"{self.write(kind, 5)} is one of {{{members}}}", 4
            return f"{self.write(kind, 5)} {self.one(['=', '!='])} {self.write(kind, 5)}", 4
        if way < 8:
            word, level = self.one([("and", 2), ("or", 1)])
            return f" {word} ".join(self.write("yes/no", level + 1) for _ in range(2 + self.pick(2))), level
        if way == 8:
            return f"not {self.write('yes/no', 4)}", 3
        if way == 9:
            paths = ["items", "load", "bolt.diameter", "force_a", "head_held", "tested", "marking"]
            return f"recorded({self.one(paths)})", 8
        return (
            (f"enough({self.write('force')})", 8)
            if way == 10
            else self.over_list(["every", "some"], "yes/no")
        )

    def by_bounds(self) -> tuple[str, int]:
        """A comparison that an open count, smallest or largest may decide by its bounds."""
        names, kind = self.one([(["count"], "count"), (["smallest", "largest"], "force")])
        first = self.over_list(names, kind)[0]
        kind = "number" if kind == "count" else kind
        second = (
            self.write(kind, 5) if self.pick(3) else self.one(["highest" if kind == "force" else "refused"])
        )
        sign = self.one(["<", "<=", ">", ">=", "=", "!="])
        return (f"{first} {sign} {second}" if self.pick(2) else f"{second} {sign} {first}"), 4

    def over_list(self, names: list[str], kind: str) -> tuple[str, int]:
        free = [name for name in LISTS if name not in self.bound]
        if not free:
            return self.leaf(kind if kind != "count" else "number"), 8
        of, name = free[0 if self.pick(4) else -1], self.one(names)
        self.bound.append(of)
        inside = self.write("yes/no" if kind == "count" else kind)
        self.bound.pop()
        return f"{name}({of}, {inside})", 8

    def ways(self, kind: str) -> list[Callable[[], tuple[str, int]]]:
        """How a numeric kind can be made."""

        def sum_() -> tuple[str, int]:
            return f"{self.write(kind, 5)} {self.one('+-')} {self.write(kind, 6)}", 5

        def product() -> tuple[str, int]:
            if self.pick(2):
                return f"{self.write(kind, 6)} * {self.write('number', 7)}", 6
            return f"{self.write(kind, 6)} / {self.divisor('number')}", 6

        def rounding() -> tuple[str, int]:
            step = self.one(STEPS.get(kind, ["1", "0.1", "5"]))
            x = self.write(kind)
            if self.pick(2):
                return f"nearest({x}, {step}, ties {self.one(['up', 'even'])})", 8
            return f"{self.one(['up', 'down'])}({x}, {step})", 8

        def pair() -> tuple[str, int]:
            return f"{self.one(['smallest', 'largest'])}({self.write(kind)}, {self.write(kind)})", 8

        def listed() -> tuple[str, int]:
            if kind == "number" and self.pick(2):
                return self.over_list(["count"], "count")
            return self.over_list(["smallest", "largest", "sum", "mean"], kind)

        ways: list[Callable[[], tuple[str, int]]] = [sum_, product, rounding, pair, listed, listed]
        ways += [lambda: (f"-{self.write(kind, 8)}", 7), lambda: (f"abs({self.write(kind)})", 8)]

        def made() -> tuple[str, int]:
            first, sign, second = self.one(MADE_OF[kind])
            right = self.write(second, 7) if sign == "*" else self.divisor(second)
            return f"{self.write(first, 6)} {sign} {right}", 6

        if kind in MADE_OF:
            ways.append(made)
        if kind == "stress":
            ways.append(
                lambda: (f"{self.write('force', 6)} / (bolt.diameter * {self.write('length', 7)})", 6)
            )
        if kind == "force":
            ways += [
                lambda: (f"minimum[{self.write('choice')}, {self.write('length')}]", 8),
                lambda: (self.one(["needed", "highest"]), 8),
                lambda: (f"over({self.write('force')}, {self.write('number')})", 8),
                lambda: (f"interpolate(curve, {self.write('force')})", 8),
            ]
        if kind == "angle":
            ways += [lambda: (f"turn_for[{self.write('number')}]", 8)] * 2
        if kind == "number":
            ways += [
                lambda: (f"allowed[{self.write('choice')}, {self.write('force')}]", 8),
                lambda: (self.one(["refused", "slender"]), 8),
                lambda: (f"either({self.write('number')})", 8),
                lambda: (f"{self.write('force', 6)} / {self.divisor('force')}", 6),
                lambda: (f"{self.write('date', 5)} - {self.leaf('date')}", 5),
            ]
        return ways

    def divisor(self, kind: str) -> str:
        """No fraction and no zero stands bare after a division; a field may still be zero."""
        text = self.write(kind, 7)
        return (
            f"({text})"
            if "/" in text.split(" ")[0]
            else "2 kip"
            if text == "0 kip"
            else "2"
            if text == "0"
            else text
        )


def one_case(pick: Pick, size: int = 24) -> Case:
    """One expression and what is given. `size` bounds the parts of the expression.

    One in some cases speaks of one item, as a requirement with `each` does: `given["item"]` is {"item": 2}.
    """
    writer = _Writer(pick, 3 + pick(size))
    kind = writer.one(["yes/no", "yes/no", "force", "number", "length", "angle", "date", "choice"])
    facts = given(pick)
    listed = max(len(facts["record"].get("items", [])), facts["asks"].get("items", 0))
    if listed and pick(6) == 0:
        facts["item"] = {"item": 1 + pick(listed)}
        writer.bound.append("items")
    return writer.write(kind), facts


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """The strategy, which shrinks to short expressions and sparse records."""
    return one_case(lambda n: draw(st.integers(0, n - 1)) if n > 1 else 0)


def seeded(count: int, seed: int) -> Iterator[Case]:
    """The same cases for the same seed, without shrinking."""
    source = random.Random(seed)
    for _ in range(count):
        yield one_case(source.randrange)
