"""The parts of an edition as provisions: what each says in words, where it stands in the source, and its layer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..editions.edition import Edition, Figure, Origin, Procedure, Requirement
from ..lang.kernel import Table
from ..shape.vocabulary import Vocabulary
from .prose import Spoken
from .prose_tree import Prose


@dataclass(frozen=True, slots=True)
class Checked:
    """Who compared something with the printed page."""

    by: str
    on: str
    against: str


@dataclass(frozen=True, slots=True)
class Stated:
    """A text of the edition itself: ``title``, ``in force``, ``months``, ``note``."""

    name: str
    text: str
    layer: str


@dataclass(frozen=True, slots=True)
class SourceStated:
    id: str
    title: str
    year: str | None
    publisher: str | None
    standing: str
    note: str | None
    layer: str


@dataclass(frozen=True, slots=True)
class CoveredValue:
    value: str
    also: tuple[str, ...] = ()
    when: Prose | None = None
    """When the other names stand for the value; None: always."""
    says: str | None = None
    clause: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class CoverStated:
    path: str
    title: str
    values: tuple[CoveredValue, ...]
    layer: str


@dataclass(frozen=True, slots=True)
class Crosscheck:
    formula: Prose
    says: str
    within: str
    exceptions: tuple[tuple[str, str], ...]
    """The keys of a cell that is further off as printed, and why."""


@dataclass(frozen=True, slots=True)
class TableStated:
    name: str
    title: str
    origin: Origin
    axes: tuple[str, ...]
    """What each key is, in words."""
    table: Table
    note: str | None
    source_note: str | None
    checked: Checked | None
    crosscheck: Crosscheck | None
    layer: str
    cell_layers: Mapping[tuple[str, ...], str]
    """By keys as written: of the cells that are not from the layer of the table."""


@dataclass(frozen=True, slots=True)
class TermStated:
    name: str
    title: str
    origin: Origin
    parameters: tuple[tuple[str, str], ...]
    says: str
    sentences: tuple[tuple[tuple[str, ...], Prose], ...]
    """What it is, and in which procedures: one sentence where all say the same."""
    used: bool
    """Whether a rule or a figure reaches it; if not, it serves for checking only."""
    note: str | None
    checked: Checked | None
    layer: str


@dataclass(frozen=True, slots=True)
class RequirementStated:
    requirement: Requirement
    spoken: Spoken
    checked: Checked | None
    layer: str


@dataclass(frozen=True, slots=True)
class FigureStated:
    figure: Figure
    sentence: Prose
    says: str
    layer: str


@dataclass(frozen=True, slots=True)
class AskStated:
    path: str
    count: int
    layer: str


@dataclass(frozen=True, slots=True)
class ProcedureStated:
    procedure: Procedure
    words: Vocabulary
    note: str | None
    asks: tuple[AskStated, ...]
    requirements: tuple[RequirementStated, ...]
    figures: tuple[FigureStated, ...]
    layer: str


@dataclass(frozen=True, slots=True)
class TestsAsked:
    """One line of the programme."""

    procedure: str
    for_each: tuple[tuple[str, str], ...]
    """Path and title."""
    when: str | None
    """The condition, as the edition writes it; canonical text."""
    lasts: str | None
    waivable_by: tuple[str, ...]
    clause: str | None
    note: str | None
    layer: str


@dataclass(frozen=True, slots=True)
class LeftStated:
    what: str
    clause: str | None
    source: str | None
    procedures: tuple[str, ...]
    layer: str


@dataclass(frozen=True, slots=True)
class FieldStated:
    """An observation of the authority's own."""

    path: str
    title: str
    description: str
    kind: str
    unit: str | None
    options: tuple[str, ...]
    layer: str


@dataclass(frozen=True, slots=True)
class Provisions:
    edition: Edition
    stated: tuple[Stated, ...]
    sources: tuple[SourceStated, ...]
    covers: tuple[CoverStated, ...]
    tables: tuple[TableStated, ...]
    terms: tuple[TermStated, ...]
    procedures: tuple[ProcedureStated, ...]
    programme: tuple[TestsAsked, ...]
    left_to_people: tuple[LeftStated, ...]
    fields: tuple[FieldStated, ...]
