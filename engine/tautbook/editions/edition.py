"""One edition as frozen data: figures, terms and requirements, checked and ready to judge by."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from ..lang.calendar import CalendarSpan
from ..lang.kernel import Node, Rules
from ..lang.kinds import GroupKind
from ..lang.source import Span
from ..lang.surface import Expression
from ..shape.shaped import ShapedMap
from .reasons import Reasons

Standing = Literal["published", "common practice", "from memory", "invented"]
RequirementKind = Literal["setup", "acceptance", "advice"]
Voids = Literal["both", "passes", "failures"]


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a figure or a rule comes from."""

    source: str | None
    clause: str | None
    standing: Standing | None
    layer: str | None = None
    """The edition that it was written in, if that is one that this edition amends."""


@dataclass(frozen=True, slots=True)
class Layer:
    """An edition that another one amends, as it was put in."""

    name: str
    digest: str
    file: str


def layer_of(span: Span, layers: Iterable[Layer]) -> str | None:
    """The name of the layer whose file a place is in."""
    return next((layer.name for layer in layers if layer.file == span.source.name), None)


@dataclass(frozen=True, slots=True)
class Titled:
    """A table or a term: its title in words, and where it comes from."""

    name: str
    title: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class NamedException:
    """What takes a requirement off when it holds; shown by its title."""

    id: str
    title: str
    when: Node
    clause: str | None


@dataclass(frozen=True, slots=True)
class Requirement:
    """What must hold. INVARIANT: exactly one of ``require`` and ``absent`` is given."""

    id: str
    title: str
    origin: Origin
    kind: RequirementKind
    require: Node | None
    says: str
    """What must hold, as the edition writes it; canonical text."""
    absent: str | None = None
    voids: Voids | None = None
    each: str | None = None
    singular: str | None = None
    applies: Node | None = None
    unless: tuple[NamedException, ...] = ()
    otherwise: str | None = None
    note: str | None = None
    reading: Mapping[str, str] = field(default_factory=dict, hash=False)
    over: frozenset[str] = frozenset()
    """Of a requirement of the whole record: the lists whose items it speaks of, all at once."""
    waivable_by: tuple[str, ...] = ()
    watch: str | None = None
    covers: bool = False
    """Whether this is the requirement, made by the engine, that the edition speaks of what was tested."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure to be shown before the test that is no requirement."""

    id: str
    title: str
    value: Node
    origin: Origin
    note: str | None


@dataclass(frozen=True, slots=True)
class Procedure:
    """The rules for one kind of test. ``rules`` holds the terms as they read its records."""

    id: str
    title: str
    asks: Mapping[str, int] = field(hash=False)
    requirements: tuple[Requirement, ...]
    figures: tuple[Figure, ...]
    rules: Rules
    record: GroupKind
    """The kinds of what its records hold, with the observations of the authority's own under ``local``."""

    @property
    def own(self) -> GroupKind | None:
        """The observations of the authority's own, if there are any."""
        found = self.record.fields.get("local")
        return found if isinstance(found, GroupKind) else None


@dataclass(frozen=True, slots=True)
class SourceDocument:
    id: str
    title: str
    standing: Standing
    year: str | None


@dataclass(frozen=True, slots=True)
class LeftToPeople:
    clause: str | None
    what: str
    procedures: tuple[str, ...] = ()
    """The kinds of test that it belongs to; none: all."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One line of the programme: a test of ``procedure`` for each combination of the fields ``for_each``."""

    procedure: str
    for_each: tuple[str, ...]
    clause: str | None = None
    note: str | None = None
    when: Node | None = None
    """Only where this holds. A field that it reads and that nobody stated leaves open whether the test is asked for."""
    when_says: str | None = None
    rules: Rules | None = None
    """What ``when`` refers to by name."""
    lasts: CalendarSpan | None = None
    """How long a test counts, from its day; None: the edition sets no end."""
    waivable_by: tuple[str, ...] = ()
    """Roles that may give leave not to make the test."""


@dataclass(frozen=True, slots=True)
class Enacted:
    """An edition as it was enacted: its digest, by whom, when, and the kind of each field that it reads."""

    digest: str
    by: str
    on: datetime.date
    fields: Mapping[str, str] = field(hash=False)
    ruleset: str | None = None
    """Of which ruleset it is; not said in older lists, which are all of the one that their folder holds."""


@dataclass(frozen=True, slots=True)
class AsWritten:
    """The whole edition as it is written, with all that it amends put in, before it was checked and reduced."""

    shaped: ShapedMap
    rules: Mapping[int, Expression] = field(hash=False)
    """The parsed tree of each rule, by the identity of its scalar."""


@dataclass(frozen=True, slots=True)
class Edition:
    ruleset: str
    edition: str
    title: str
    effective: tuple[datetime.date, datetime.date | None]
    sources: Mapping[str, SourceDocument] = field(hash=False)
    tables: Mapping[str, Titled] = field(hash=False)
    terms: Mapping[str, Titled] = field(hash=False)
    procedures: Mapping[str, Procedure] = field(hash=False)
    left_to_people: tuple[LeftToPeople, ...]
    digest: str
    file: str
    span: Span
    written: AsWritten = field(compare=False, repr=False)
    layers: tuple[Layer, ...] = ()
    """The editions that this one amends, the first one first."""
    enacted: Enacted | None = None
    """None: a draft."""
    programme: tuple[Asked, ...] = ()
    reasons: Reasons = field(default_factory=dict, hash=False)
    """Why items were amended, as far as that is said."""

    @property
    def name(self) -> str:
        return f"{self.ruleset}@{self.edition}"

    def layer_of(self, span: Span) -> str | None:
        """The edition below this one that something was written in; None if it is this one."""
        return layer_of(span, self.layers)

    def left_in(self, procedure: str) -> tuple[LeftToPeople, ...]:
        """What is left to people in one kind of test."""
        return tuple(each for each in self.left_to_people if procedure in (each.procedures or (procedure,)))
