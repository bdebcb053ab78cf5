"""What changed in a rule: the smallest parts of its two parse trees that differ, said in words.

Any two trees have an answer. Parts that have nothing in common are told as a whole, one beside the other.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from ..lang.surface import (
    Arithmetic,
    Call,
    Cell,
    Comparison,
    Conditional,
    Expression,
    Function,
    Given,
    Junction,
    Negation,
    Negative,
    OneOf,
    Rounding,
)  # fmt: skip
from ..lang.surface_json import surface_json
from .changes_figures import difference
from .changes_words import MIRRORED, RELATION, became, limit, operand, quoted, rounding, text_of, ties_of


def rule_changes(old: Expression, new: Expression) -> tuple[str, ...]:
    """One phrase for each part that changed; none if the trees mean the same, or have nothing in common."""
    found = _Trees().compare(old, new)
    if not found.shared:
        apart = difference(old.value, new.value) if isinstance(old, Given) and isinstance(new, Given) else ""
        return (apart,) if apart else ()
    return tuple(dict.fromkeys(found.phrases))


@dataclass(frozen=True, slots=True)
class _Found:
    phrases: tuple[str, ...]
    shared: bool
    """Whether the two have a part in common, so that they are two states of one thing."""


_SAME = _Found((), True)


def _named(old: str, new: str, found: _Found) -> _Found:
    """What was found inside, and the change of the name or sign of what it stands in."""
    return found if old == new else _Found((became(old, new), *found.phrases), found.shared)


@dataclass(slots=True)
class _Trees:
    """One comparison. What was found of a pair is kept, so that nesting never multiplies the work."""

    known: dict[tuple[int, int], _Found] = field(default_factory=dict)
    meanings: dict[int, str] = field(default_factory=dict)

    def meaning(self, e: Expression) -> str:
        if id(e) not in self.meanings:
            self.meanings[id(e)] = json.dumps(surface_json(e))
        return self.meanings[id(e)]

    def same(self, a: Expression, b: Expression) -> bool:
        return self.meaning(a) == self.meaning(b)

    def compare(self, a: Expression, b: Expression) -> _Found:
        pair = (id(a), id(b))
        if pair not in self.known:
            found = _SAME if self.same(a, b) else self.inside(a, b)
            if found is None or not found.shared:
                found = _Found((self.replaced(a, b),), False)
            self.known[pair] = found
        return self.known[pair]

    def replaced(self, a: Expression, b: Expression) -> str:
        told = became(quoted(a), quoted(b))
        apart = difference(a.value, b.value) if isinstance(a, Given) and isinstance(b, Given) else ""
        return f"{told}, {apart}" if apart else told

    def inside(self, a: Expression, b: Expression) -> _Found | None:
        """What changed inside two trees that differ; None if they are not alike."""
        match a, b:
            case Comparison(), Comparison() if len(a.rest) == len(b.rest):
                return self.comparisons(a, b)
            case Rounding(), Rounding():
                return self.roundings(a, b)
            case Arithmetic(), Arithmetic() if a.sign == b.sign:
                return self.each(((a.left, b.left), (a.right, b.right)))
            case Arithmetic(), Arithmetic() if self.same(a.left, b.left) or self.same(a.right, b.right):
                found = self.each(((a.left, b.left), (a.right, b.right)))
                return _named(f"`{a.sign}`", f"`{b.sign}`", found)
            case OneOf(), OneOf():
                return self.choices(a, b)
            case Conditional(), Conditional():
                return self.each(((a.condition, b.condition), (a.then, b.then), (a.otherwise, b.otherwise)))
            case Negation(of=was), Negation(of=now):
                return _Found(self.compare(was, now).phrases, True)
            case Negative(of=was), Negative(of=now):
                return _Found(self.compare(was, now).phrases, True)
            case Cell(table=one, keys=left), Cell(table=other, keys=right) if len(left) == len(right):
                return _named(f"table `{one}`", f"table `{other}`", self.each(zip(left, right, strict=True)))
            case Call(name=one, arguments=left), Call(name=other, arguments=right) if len(left) == len(right):
                return self.calls(one, other, left, right)
            case Function(name=one, arguments=left), Function(name=other, arguments=right) if len(left) == len(right):
                return self.calls(one, other, left, right)
            case _:
                return self.around(a, b)

    def around(self, a: Expression, b: Expression) -> _Found | None:
        """What came to stand around a tree, or stands there no longer."""
        if isinstance(a, Junction) or isinstance(b, Junction):
            return self.junctions(a, b)
        for longer, other, came in ((b, a, True), (a, b, False)):
            match longer:
                case Rounding():
                    found = self.rounded(longer, other, came)
                case Negation(of=of) if self.same(of, other):
                    way = "put before" if came else "taken away before"
                    found = _Found((f"`not` was {way} {quoted(other)}",), True)
                case Arithmetic():
                    found = self.extended(longer, other, came)
                case Conditional():
                    found = self.conditional(longer, other, came)
                case Call(name=name, arguments=(of,)) | Function(name=name, arguments=(of,)) if self.same(of, other):
                    way = "put around" if came else "taken away around"
                    found = _Found((f"`{name}` was {way} {quoted(other)}",), True)
                case _:
                    found = None
            if found is not None:
                return found
        return None

    def calls(
        self, one: str, other: str, left: Sequence[Expression], right: Sequence[Expression]
    ) -> _Found:  # fmt: skip
        found = self.each(zip(left, right, strict=True))
        if one == other and len(left) == 1:
            return _Found(found.phrases, True)
        return _named(f"`{one}`", f"`{other}`", found)

    def each(self, pairs: Iterable[tuple[Expression, Expression]]) -> _Found:
        found = [self.compare(a, b) for a, b in pairs]
        return _Found(tuple(phrase for each in found for phrase in each.phrases), any(each.shared for each in found))

    def comparisons(self, a: Comparison, b: Comparison) -> _Found:
        phrases: list[str] = []
        first = self.compare(a.first, b.first)
        if isinstance(a.first, Given) and isinstance(b.first, Given) and first.phrases:
            ways = (MIRRORED[a.rest[0][0]], MIRRORED[b.rest[0][0]])
            phrases += [limit(ways[0], a.first, ways[1], b.first)]
        else:
            phrases += first.phrases
        shared = first.shared
        for (before, was), (after, now) in zip(a.rest, b.rest, strict=True):
            found = self.compare(was, now)
            shared = shared or found.shared
            if isinstance(was, Given) and isinstance(now, Given) and (before != after or found.phrases):
                phrases.append(limit(before, was, after, now))
                continue
            if before != after:
                phrases.append(f"{became(f'`{RELATION[before]}`', f'`{RELATION[after]}`')}, before {quoted(now)}")
            phrases += found.phrases
        return _Found(tuple(phrases), shared)

    def roundings(self, a: Rounding, b: Rounding) -> _Found:
        inner = self.compare(a.of, b.of).phrases
        if a.way == b.way and self.same(a.step, b.step):
            ties = became(f"`{ties_of(a)}`", f"`{ties_of(b)}`")
            way = "" if a.ties == b.ties else f"{rounding(a, ties=False)}: {ties}"
        else:
            way = became(f"`{rounding(a)}`", f"`{rounding(b)}`")
        return _Found((*((way,) if way else ()), *inner), True)

    def rounded(self, rounded: Rounding, other: Expression, came: bool) -> _Found | None:
        found = self.compare(other, rounded.of) if came else self.compare(rounded.of, other)
        way = f"now {rounding(rounded)}" if came else f"no longer {rounding(rounded)}"
        return _Found((way, *found.phrases), True) if found.shared else None

    def junctions(self, a: Expression, b: Expression) -> _Found | None:
        word = next(each.word for each in (a, b) if isinstance(each, Junction))
        was = a.parts if isinstance(a, Junction) else (a,)
        now = b.parts if isinstance(b, Junction) else (b,)
        if isinstance(a, Junction) and isinstance(b, Junction) and a.word != b.word:
            alike = sorted(map(self.meaning, was)) == sorted(map(self.meaning, now))
            return _Found((became(f"`{a.word}`", f"`{b.word}`"),), True) if alike else None
        gone, came = self.unmatched(was, now)
        if not gone and not came:
            return _Found((f"the order of what `{word}` joins changed",), True)
        shared = len(gone) < len(was)
        phrases: list[str] = []
        for part in list(gone):
            other = next((each for each in came if self.compare(part, each).shared), None)
            if other is not None:
                phrases += self.compare(part, other).phrases
                gone.remove(part)
                came.remove(other)
                shared = True
        phrases += [f"`{word} {text_of(part)}` was taken out" for part in gone]
        phrases += [f"`{word} {text_of(part)}` was added" for part in came]
        return _Found(tuple(phrases), shared)

    def unmatched(
        self, was: Sequence[Expression], now: Sequence[Expression]
    ) -> tuple[list[Expression], list[Expression]]:  # fmt: skip
        """What of each has no equal in the other; each counts once."""
        gone, came = [], list(now)
        for part in was:
            equal = next((each for each in came if self.same(part, each)), None)
            if equal is None:
                gone.append(part)
            else:
                came = [each for each in came if each is not equal]
        return gone, came

    def extended(self, longer: Arithmetic, other: Expression, came: bool) -> _Found | None:
        """Something added, subtracted, multiplied or divided that was not there before, or is no longer."""
        way = "was added" if came else "was taken away"
        if self.same(longer.left, other):
            return _Found((f"`{longer.sign} {operand(longer.right)}` {way} after {quoted(other)}",), True)
        if self.same(longer.right, other):
            return _Found((f"`{operand(longer.left)} {longer.sign}` {way} before {quoted(other)}",), True)
        return None

    def choices(self, a: OneOf, b: OneOf) -> _Found:
        of = self.compare(a.of, b.of)
        gone, came = self.unmatched(a.options, b.options)
        phrases = [*of.phrases]
        phrases += [f"{quoted(option)} is none of the choices any more" for option in gone]
        phrases += [f"{quoted(option)} was added to the choices" for option in came]
        if not phrases:
            phrases.append("the order of the choices changed")
        return _Found(tuple(phrases), of.shared or len(gone) < len(a.options))

    def conditional(self, longer: Conditional, other: Expression, came: bool) -> _Found | None:
        """A case that was not told apart before, or is no longer."""
        cases = (("where", longer.then, longer.otherwise), ("except where", longer.otherwise, longer.then))
        for way, own, rest in cases:
            if self.same(rest, other):
                was, now = (rest, own) if came else (own, rest)
                told = f"{way} {quoted(longer.condition)}, {became(quoted(was), quoted(now))}"
                return _Found((told,), True)
        return None
