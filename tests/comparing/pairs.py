"""Pairs of small editions at random: each rule of one stands in the other too, changed in one place or altogether."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from reference.both import write

FIELDS = {
    "force": ("device.capacity",),
    "number": ("threads_in_grip", "washers_between", "indicator.spaces"),
    "length": ("bolt.length", "bolt.diameter"),
    "date": ("tested", "device.calibrated"),
    "truth": ("head_held", "insert_holds_head"),
    "choice": ("wrench", "bolt.grade"),
}
OF_SPECIMENS = {
    "force": ("specimen.at_verification.tension",),
    "number": ("specimen.at_verification.refusals",),
    "truth": ("specimen.at_full_refusal.visible_gap",),
    "choice": ("specimen.ended",),
}
CONSTANTS = {
    "force": ("40 kip", "41 kip", "180 kN", "10.5 kip"),
    "number": ("1", "2", "3", "0", "1.05", "50 %"),
    "length": ("1 in", "4 in", "100 mm", "7/8 in"),
    "date": ("2026-04-14", "2024-02-29", "2025-08-31"),
    "truth": ("yes", "no"),
}
WORDS = {
    "wrench": ('"hand"', '"impact"'),
    "bolt.grade": ('"A325"', '"A490"'),
    "specimen.ended": ('"fracture"', '"nothing"'),
}
STEPS = {"force": ("1 kip", "5 kN"), "number": ("1", "0.5"), "length": ("1/16 in", "1 mm")}
SPANS = ("6 months", "1 month", "1 year", "30 days")
MONTHS = ("clamp", "roll over", "refuse")
LISTED = ("count", "every", "some", "smallest", "largest", "sum", "mean")
RULES = 10
"""So many in an edition."""


@dataclass
class Choices:
    """Whole numbers at random, kept, so that the same can be made again but for one of them."""

    source: random.Random
    before: list[int] = field(default_factory=list)
    made: list[int] = field(default_factory=list)

    def __call__(self, n: int) -> int:
        at = len(self.made)
        self.made.append(self.before[at] if at < len(self.before) else self.source.randrange(2520))
        return self.made[-1] % n

    def again(self, other: bool) -> Choices:
        """Another one that makes the same choices; but for one where ``other``."""
        before = list(self.made)
        if other:
            before[self.source.randrange(len(before))] = self.source.randrange(2520)
        return Choices(self.source, before)


@dataclass
class _Writer:
    """Writes one rule of few fields, of at most so many parts."""

    pick: Choices
    left: int
    bound: bool = False

    def one(self, options: Any) -> Any:
        return options[self.pick(len(options))]

    def leaf(self, kind: str) -> str:
        fields = FIELDS[kind] + (OF_SPECIMENS.get(kind, ()) * 3 if self.bound else ())
        return str(self.one(fields if self.pick(3) else CONSTANTS[kind]))

    def write(self, kind: str) -> str:
        self.left -= 1
        if self.left <= 0 or self.pick(5) == 0:
            return self.leaf(kind)
        if self.pick(9) == 0:
            return f"(if {self.write('truth')} then {self.write(kind)} else {self.write(kind)})"
        ways: dict[str, Callable[[], str]] = {
            "truth": self.truth, "force": self.force, "number": self.number, "length": self.length, "date": self.date,
        }  # fmt: skip
        return ways[kind]()

    def truth(self) -> str:
        way = self.pick(12)
        if way < 6:
            kind = self.one(("force", "number", "number", "length", "date"))
            return f"({self.write(kind)} {self.one(('<', '<=', '>', '>=', '=', '!='))} {self.write(kind)})"
        if way == 6:
            name = self.one(FIELDS["choice"] + (OF_SPECIMENS["choice"] if self.bound else ()))
            return f"({name} {self.one(('=', '!='))} {self.one(WORDS[name])})"
        if way < 9:
            return f"({self.write('truth')} {self.one(('and', 'or'))} {self.write('truth')})"
        if way == 9:
            return f"(not {self.write('truth')})"
        if way == 10:
            own = ("specimen.at_verification.refusals",) if self.bound else ("specimens",)
            return f"recorded({self.one(('head_held', 'device', 'bolt.length', 'wrench', *own))})"
        return self.over(("every", "some"), "truth")

    def over(self, names: tuple[str, ...], kind: str) -> str:
        if self.bound:
            return self.leaf(kind)
        name = self.one(names)
        self.bound = True
        inside = self.write("truth" if name in ("count", "every", "some") else kind)
        self.bound = False
        return f"{name}(specimens, {inside})"

    def numeric(self, kind: str, more: tuple[Callable[[], str], ...]) -> str:
        def rounded() -> str:
            x, step = self.write(kind), self.one(STEPS[kind])
            return self.one((f"nearest({x}, {step}, ties up)", f"nearest({x}, {step}, ties even)",
                             f"up({x}, {step})", f"down({x}, {step})"))  # fmt: skip

        return str(self.one((
            lambda: f"({self.write(kind)} {self.one('+-')} {self.write(kind)})",
            lambda: f"({self.write(kind)} * {self.one(CONSTANTS['number'])})",
            lambda: f"({self.write(kind)} / ({self.leaf('number')}))",
            lambda: f"abs({self.write(kind)})",
            lambda: f"(-{self.leaf(kind)})" if self.pick(2) else self.leaf(kind),
            lambda: f"{self.one(('smallest', 'largest'))}({self.write(kind)}, {self.write(kind)})",
            lambda: self.over(("smallest", "largest", "sum", "mean"), kind),
            rounded, rounded, *more,
        ))())  # fmt: skip

    def force(self) -> str:
        return self.numeric("force", (
            lambda: "loads[bolt.grade]", lambda: "limit", lambda: f"corrected({self.leaf('force')})",
            lambda: f"corrected({self.leaf('force')})",
        ))  # fmt: skip

    def number(self) -> str:
        return self.numeric("number", (
            lambda: "turns[bolt.length / bolt.diameter]", lambda: f"turns[{self.write('number')}]",
            lambda: f"allowed[{self.one(('', 'if head_held then 5 else '))}indicator.spaces]",
            lambda: self.over(("count",), "number"),
            lambda: self.over(("count",), "number"), lambda: f"({self.write('force')} / ({self.leaf('force')}))",
            lambda: f"({self.write('date')} - {self.leaf('date')})",
        ))  # fmt: skip

    def length(self) -> str:
        return self.numeric("length", ())

    def date(self) -> str:
        return str(self.one(("due", f"({self.leaf('date')} + {self.one(SPANS)})", f"({self.write('date')} + 1 month)")))


def rule(pick: Choices) -> dict[str, Any]:
    """One requirement."""
    each = pick(2) == 0

    def text() -> str:
        found = _Writer(pick, 4 + pick(10), each)
        return found.truth()

    made: dict[str, Any] = {"title": "a rule", "kind": "setup", "require": text()}
    if each:
        made["each"] = "specimens"
    if pick(6) == 0:
        made["applies"] = text()
    if pick(6) == 0:
        made["unless"] = {"case": {"title": "a case", "when": text()}}
    if pick(25) == 0:
        made["absent"] = "asked in words only"
        del made["require"]
    return made


def edition(pick: Choices, rules: list[Choices]) -> str:
    """The text of an edition; ``pick`` makes what rules share."""
    one = lambda *of: of[pick(len(of))]  # noqa: E731
    asks = pick(3)
    return write({
        "ruleset": "small", "edition": "one", "language": "1", "title": "A small edition",
        "effective": {"from": "2020-01-01"}, "months": MONTHS[pick(3)],
        "sources": {"s": {"title": "Invented", "standing": "invented"}},
        "covers": {"bolt.grade": {"A325": {"also": ["Group 120"], "when": one("head_held", 'wrench = "hand"')},
                                  "A490": {}}},
        "tables": {
            "loads": {"title": "loads", "by": [{"key": "bolt.grade"}], "source": {"of": "s", "clause": "T"},
                      "rows": {"A325": one("41 kip", "40 kip"), "A490": "51 kip"}},
            "turns": {"title": "turns", "by": [{"key": "ratio", "kind": "number", "bands": "true"}],
                      "source": {"of": "s", "clause": "U"},
                      "rows": {"up to 4": "1", f"over 4 up to {one('8', '9')}": "2"}},
            "allowed": {"title": "allowed", "by": [{"key": "indicator.spaces"}],
                        "source": {"of": "s", "clause": "V"}, "rows": {"4": "1", "5": one("2", "3")}},
        },
        "terms": {
            "limit": {"title": "limit",
                      "is": f"if insert_holds_head then loads[bolt.grade] else {one('41 kip', '40 kip')}"},
            "due": {"title": "due", "is": f"device.calibrated + {one(*SPANS)}"},
            "corrected": {"title": "corrected", "of": {"tension": "force"},
                          "is": f"tension {one('+', '-')} interpolate(device.corrections.points, tension)"},
        },
        "procedures": {"dti-lot": {
            **({"asks": {"specimens": str(asks)}} if asks else {}),
            "requirements": {f"rule-{n}": rule(each) for n, each in enumerate(rules, 1)},
        }},
    })  # fmt: skip


def pair(source: random.Random) -> tuple[str, str]:
    """Two editions with as many rules. Either what rules share differs, or each rule."""
    shared = Choices(source)
    rules = [Choices(source) for _ in range(RULES)]
    first = edition(shared, rules)
    differs = source.randrange(4) == 0
    others = [
        Choices(source) if source.randrange(6) == 0 else each.again(other=not differs or source.randrange(4) == 0)
        for each in rules
    ]
    return first, edition(shared.again(other=differs), others)
