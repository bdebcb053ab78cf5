"""The record that is looked for: one unknown for each field that a rule reads, with all that its schema says of it.

Lists hold up to so many items, points of a correction table so many lines. What is the same in every record that is
looked for, such as the bolt, is fixed and stays a value of the language.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

import z3

from ..lang.kinds import (
    CalendarSpanKind,
    ChoiceKind,
    DateKind,
    GroupKind,
    Kind,
    ListKind,
    NumberKind,
    QuantityKind,
    TextKind,
    YesNoKind,
)  # fmt: skip
from ..lang.values import Plain
from ..shape.vocabulary import FieldInfo, Vocabulary, vocabulary
from .paths import field_info, owner_of, unnumbered
from .symbol_dates import real_day
from .symbols import Day, Flag, NotReached, Symbol, Words, Worked, conj, month_and_day, neg, plain, real

FIRST, LAST = datetime.date(1950, 1, 1), datetime.date(2100, 12, 31)
"""Dates that are looked through."""
ITEMS, POINTS = 3, 3
"""Most items of a list where no more are looked for, and most lines of a correction table."""

_VERDICT = re.compile(r"evidence\..*\.verdict( \([12]\))?")


@dataclass(frozen=True, slots=True)
class Unknown:
    """One field of the record. ``known``: whether it is recorded."""

    path: str
    kind: Kind
    info: FieldInfo | None
    known: Any
    value: Any
    """A formula of its kind, or a ``Day``."""


@dataclass(frozen=True, slots=True)
class UnknownList:
    """One list of the record: whether it is written, and how many items it has (none if it is not)."""

    path: str
    written: Any
    length: Any
    most: int


class AnyOther(str):
    """In place of a value that is fixed: none of ``values``, by which tables know the field, or not recorded. As text
    it says so."""

    __slots__ = ("values",)
    values: tuple[Plain, ...]

    @classmethod
    def than(cls, values: Iterable[Plain]) -> AnyOther:
        made = cls("any other")
        made.values = tuple(values)
        return made


@dataclass(slots=True)
class Unknowns:
    """All unknowns of one procedure, made as rules ask for them. ``must`` is what every record fulfils."""

    procedure: str
    words: Words
    fixed: Mapping[str, Plain]
    asked: Mapping[str, int]
    """By list, the most items that either edition asks for."""
    asked_of_others: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    """The same by procedure of the records that the record rests on."""
    fields: dict[str, Unknown] = field(default_factory=dict)
    lists: dict[str, UnknownList] = field(default_factory=dict)
    there: dict[str, Any] = field(default_factory=dict)
    """By path of a group or slot that is not always there: whether it is."""
    open_verdicts: dict[str, tuple[Any, Any]] = field(default_factory=dict)
    """By path of a verdict on another record: whether something that it needs is missing, and whether it is stuck."""
    points: dict[str, tuple[str, str]] = field(default_factory=dict)
    """By path of a list of points, the names of its two figures: where, and how much."""
    must: list[Flag] = field(default_factory=list)
    made: dict[tuple[object, ...], tuple[Any, Any]] = field(default_factory=dict)
    """Numbers of the solver's own by what they stand for, so that both editions have the same one; with what is kept
    so that identities stay its own."""

    not_among: dict[str, tuple[Plain, ...]] = field(init=False)
    """By path, values that a field does not have."""

    def __post_init__(self) -> None:
        self.not_among = {path: each.values for path, each in self.fixed.items() if isinstance(each, AnyOther)}
        self.fixed = {path: each for path, each in self.fixed.items() if not isinstance(each, AnyOther)}

    @property
    def vocabulary(self) -> Vocabulary:
        words = vocabulary(self.procedure)
        assert words is not None
        return words

    def leaf(self, path: str, kind: Kind) -> Worked:
        """What is recorded at a path, as it stands in the record."""
        if path in self.fixed:
            return self.fixed[path]
        unknown = self.fields.get(path) or self._made(path, kind)
        if _VERDICT.fullmatch(path):
            return Symbol(unknown.value, *self._unsettled(unknown))
        return Symbol(unknown.value, missing=neg(unknown.known))

    def items(self, path: str, kind: ListKind, asks: int) -> tuple[UnknownList, list[tuple[Flag, str]]]:
        """A list, and its items where ``asks`` says how many it is filled up to: each with whether it is there."""
        found = self.lists.get(path) or self._made_list(path, kind)
        return found, [
            (True if number <= asks else found.length >= number, f"{path}[{number}]")
            for number in range(1, found.most + 1)
        ]

    def group(self, path: str) -> Flag:
        """Whether a group, or another record, is there at all."""
        if path not in self.there:
            self.there[path] = z3.Bool(f"there {path}")
            self._below(path, self.there[path])
            info = field_info(path, self.vocabulary)
            always = info is not None and info.required and "." not in path
            if always or any(fixed.startswith(f"{path}.") for fixed in self.fixed):
                self.must.append(self.there[path])
            self._needs(path)
        return self.there[path]

    def own(self, what: str, of: Any) -> Any:
        """A number, or a day, of the solver's own: what ``what`` makes of a formula or a day."""
        key = (what, of.month.get_id(), of.day.get_id()) if isinstance(of, Day) else (what, of.get_id())
        if key not in self.made:
            name = f"made {len(self.made)}"
            day = isinstance(of, Day)
            self.made[key] = Day(z3.Int(f"{name} month"), z3.Int(f"{name} day")) if day else z3.Real(name), of
        return self.made[key][0]

    def _unsettled(self, unknown: Unknown) -> tuple[Any, Any]:
        """Why the verdict on another record is not known: something is missing there, or stuck, or both."""
        path = unknown.path
        if path not in self.open_verdicts:
            missing, stuck = z3.Bool(f"missing {path}"), z3.Bool(f"stuck {path}")
            self.open_verdicts[path] = missing, stuck
            self.must += [
                unknown.known == z3.Not(z3.Or(missing, stuck)),
                z3.Implies(stuck, self.group(path.rpartition(".")[0])),
            ]
        return self.open_verdicts[path]

    def flat(self) -> list[Flag]:
        """That every list of points is a straight line at nothing over the whole range: the plainest there is."""
        found: list[Flag] = []
        for path, names in self.points.items():
            found.append(self.lists[path].length == 2)
            for number, end in ((1, 0), (2, 1)):
                where, value = (self.fields[f"{path}[{number}].{name}"] for name in names)
                limits = where.info.range if where.info is not None else None
                if limits is not None:
                    found.append(where.value == real(limits[end].value))
                found.append(value.value == 0)
        return found

    # Making

    def _made(self, path: str, kind: Kind) -> Unknown:
        info = field_info(path, self.vocabulary)
        unknown = Unknown(path, kind, info, z3.Bool(f"known {path}"), _formula(path, kind))
        self.fields[path] = unknown
        self._below(path, unknown.known)
        self.must += [z3.Implies(unknown.known, flag) for flag in self._sense(unknown) if flag is not True]
        self.must += [neg(is_value(unknown, value, self.words)) for value in self.not_among.get(path, ())]
        parent = path.rpartition(".")[0]
        if info is not None and info.required and not parent:
            self.must.append(unknown.known)
        return unknown

    def _made_list(self, path: str, kind: ListKind) -> UnknownList:
        if "]" in path or (kind.points is None and path.startswith("evidence.") and path.count(".") > 3):
            raise NotReached(f"lists within the items of a list: {unnumbered(path)}")
        owner, rest = owner_of(path, self.procedure)
        asked = self.asked if rest == path else self.asked_of_others.get(owner, {})
        most = POINTS if kind.points is not None else max(asked.get(rest, 0) + 1, ITEMS)
        found = UnknownList(path, z3.Bool(f"written {path}"), z3.Int(f"length {path}"), most)
        self.lists[path] = found
        self._below(path, found.written)
        least = 1 if kind.points is not None else 0
        self.must += [
            found.length >= 0, found.length <= most,
            z3.Implies(found.written, found.length >= least), z3.Implies(z3.Not(found.written), found.length == 0),
        ]  # fmt: skip
        if kind.points is not None and isinstance(kind.item, GroupKind):
            self._rising(found, kind.item, kind.points)
        return found

    def _rising(self, found: UnknownList, item: GroupKind, names: tuple[str, str]) -> None:
        """Each line has both its figures, and the lines rise."""
        self.points[found.path] = names
        before: Any = None
        for number in range(1, found.most + 1):
            here = found.length >= number
            for name in names:
                self.leaf(f"{found.path}[{number}].{name}", item.fields[name])
                self.must.append(z3.Implies(here, self.fields[f"{found.path}[{number}].{name}"].known))
            where = self.fields[f"{found.path}[{number}].{names[0]}"].value
            if before is not None:
                self.must.append(z3.Implies(here, before < where))
            before = where

    def _below(self, path: str, known: Any) -> None:
        """What is recorded stands in an item that is there, and in groups that are there."""
        *_, listed = ["", *re.findall(r"^(.*)\[[0-9]+\]", path)]
        if listed and listed in self.lists:
            number = int(path[len(listed) + 1 : path.index("]", len(listed))])
            self.must.append(z3.Implies(known, self.lists[listed].length >= number))
        parent = path.rpartition(".")[0]
        if parent and "." in path and not parent.endswith("]"):
            group = self.group(parent)
            if group is not True:
                self.must.append(z3.Implies(known, group))

    def _needs(self, path: str) -> None:
        """What must be recorded once a group, or another record, is there."""
        slot = re.fullmatch(r"(?:evidence\.[a-z_]+\.)*evidence\.[a-z_]+", path)
        words = self.vocabulary
        if slot is not None:
            info = field_info(path, words)
            other = None if info is None or info.procedure is None else vocabulary(info.procedure)
            if other is None:
                return
            needed = [(f"{path}.{info.path}", info) for info in other.fields.values() if _at_top(info)]
        else:
            here = field_info(path, words)
            if here is None:
                return
            whole = vocabulary(owner_of(path, self.procedure)[0]) or words
            needed = [
                (f"{path}.{info.path.rpartition('.')[2]}", info)
                for info in whole.fields.values()
                if info.required and info.path.rpartition(".")[0] == here.path
            ]
        for below, info in needed:
            if isinstance(info.kind, GroupKind):
                self.must.append(z3.Implies(self.there[path], self.group(below)))
            elif isinstance(info.kind, ListKind):
                if "]" not in below:
                    found, _ = self.items(below, info.kind, 0)
                    self.must.append(z3.Implies(self.there[path], found.written))
            elif below not in self.fixed and info.path not in _OF_EVERY_RECORD:
                self.leaf(below, info.kind)
                self.must.append(z3.Implies(self.there[path], self.fields[below].known))

    def _sense(self, unknown: Unknown) -> list[Flag]:
        """Range, words and days that a field of its kind can hold."""
        value, kind, info = unknown.value, unknown.kind, unknown.info
        match kind:
            case DateKind():
                first, last = month_and_day(FIRST), month_and_day(LAST)
                return [real_day(value), value.month >= first.month, value.month <= last.month]
            case ChoiceKind(options=tuple() as options):
                return [z3.Or([value == self.words.number(word) for word in options])]
            case ChoiceKind() | TextKind():
                return [value >= 0]
            case NumberKind() | QuantityKind() if info is not None and info.range is not None:
                low, high = info.range
                flags = [value >= real(low.value), value <= real(high.value)]
                return [*flags, z3.IsInt(value)] if isinstance(kind, NumberKind) and kind.whole else flags
            case _:
                return []


_OF_EVERY_RECORD = frozenset({"procedure", "id"})
"""Fields that say which record it is; whoever writes it down gives them."""


def _at_top(info: FieldInfo) -> bool:
    return info.required and "." not in info.path


def _formula(path: str, kind: Kind) -> Any:
    match kind:
        case YesNoKind():
            return z3.Bool(path)
        case DateKind():
            return Day(z3.Int(f"{path} month"), z3.Int(f"{path} day"))
        case NumberKind() | QuantityKind():
            return z3.Real(path)
        case ChoiceKind() | TextKind():
            return z3.Int(path)
        case CalendarSpanKind():
            raise NotReached(f"a calendar span that is recorded: {path}")
        case _:
            raise NotReached(f"a whole group or list as one value: {path}")


def is_value(unknown: Unknown, value: Plain, words: Words) -> Flag:
    """That the field is recorded and is this."""
    formula = plain(value, words)
    if isinstance(formula, Day):
        return conj(unknown.known, unknown.value.month == formula.month, unknown.value.day == formula.day)
    return conj(unknown.known, unknown.value == formula)


def on_grid(unknown: Unknown, step: Fraction, offset: Fraction = Fraction(0)) -> Flag:
    """That the reading, where it is recorded, is a whole number of steps. All in base units."""
    return z3.Implies(unknown.known, z3.IsInt((unknown.value - real(offset)) / real(step)))
