"""The parts of a form: boxes with the paths that they fill, in the order of the work. No layout."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from ..editions.edition import Edition, Procedure, Requirement
from ..explaining.limits import FigureShown
from ..judging.outcomes import Outcome
from ..lang.values import Group
from ..shape.vocabulary import Vocabulary

Entry = Literal["decimal", "numeric", "text"]
"""The keys that an entry takes: digits and a point, digits alone, or all."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What one requirement asks of one reading."""

    requirement: str
    relation: str
    figure: str | None
    """The limit as people write it; None: to be looked up, since ``of`` or other fields are not known yet."""
    of: str | None
    """The field that the limit is, where it is one: *spaces of the indicator*."""
    watch: str | None
    """What the edition calls the figure: *most refusals in the test*."""
    clause: str | None
    dial: str | None = None
    """The mark of the dial that meets it, where that is another figure."""
    corrected: bool = False
    """Whether it speaks of the reading once corrected."""
    letter: str | None = None
    """Under which its mark of the dial is worked out, once for the whole form."""
    broken: bool = False
    """Whether what is given already breaks it."""
    dates: bool = False
    title: str = ""
    """Of the requirement."""
    lent: bool = False
    """Whether the limit has no name and is another field: more likely one of the equipment than of what is tested."""


@dataclass(frozen=True, slots=True)
class Stop:
    """Where the work is held: a set-up requirement of one reading, taken before the others of its group."""

    reading: str
    """Path of the reading, without numbers."""
    at: Asked
    what: str | None
    """What is counted up to the figure; None: the figure has a unit that says it."""
    then: tuple[str, ...]
    """What is done next: *count*, *read*, *look*."""
    not_past: Asked | None = None


@dataclass(frozen=True, slots=True)
class Box:
    """One field to be filled in. INVARIANT: ``path`` is a field of the record, lists with their numbers from 1."""

    path: str
    plain: str
    """The same without numbers."""
    title: str
    within: str | None
    """Title of the group of an item that it stands in: *at the verification tension*."""
    description: str
    definition: str | None
    kind: str
    """The kind of the schema in one word: ``quantity``, ``whole``, ``yes-no``, ``evidence``."""
    entry: Entry
    units: tuple[str, ...]
    unit: str | None
    """The unit that the test is read in, as far as that is known."""
    resolution: Mapping[str, str] = field(hash=False)
    """By unit ("" for a plain number), the step in which it is usually read."""
    words: tuple[str, ...]
    """The words that are allowed; empty: any text."""
    offered: tuple[str, ...]
    """Of a field that takes any text, the likely ones: those that the edition covers, else examples."""
    covered: bool
    """Whether ``offered`` is what the edition covers."""
    read: bool
    """Whether a rule of the edition reads it."""
    required: bool
    asked: tuple[Asked, ...] = ()
    value: str = ""
    """What is known of it already; of a quantity without its unit."""


@dataclass(frozen=True, slots=True)
class Part:
    """Boxes that belong together, with what holds the work before them."""

    path: str
    """Of the group; empty: single fields of the record."""
    title: str
    description: str | None
    boxes: tuple[Box | Listed, ...]
    stop: Stop | None = None


@dataclass(frozen=True, slots=True)
class Item:
    path: str
    title: str
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Listed:
    """A list with as many items as the form prints."""

    path: str
    title: str
    singular: str
    description: str
    asks: int | None
    """How many the edition asks for; None: it sets no number."""
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Dials:
    """Limits of readings that a rule corrects first: the mark of the dial for each is worked out once."""

    points: str
    """Path of the list with the lines of the correction."""
    corrected: tuple[tuple[str, str | None], ...]
    """How a reading is corrected, and the clause that says so: one, unless terms differ."""
    lines: tuple[Asked, ...]
    """Each with its letter."""


@dataclass(frozen=True, slots=True)
class Check:
    """One requirement in words."""

    requirement: Requirement
    sentence: str
    last: bool
    """Whether it is looked at after the readings: it speaks of them all, or is advice."""
    outcome: Outcome = "open"
    """What it comes to by what is known already."""


@dataclass(frozen=True, slots=True)
class Grid:
    """One figure for everything that the edition covers, where it is not known yet which of it is tested."""

    title: str
    clause: str | None
    keys: tuple[str, ...]
    """What the keys of the rows are called."""
    across: str
    """What the key of the columns is called."""
    heads: tuple[str, ...]
    rows: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]
    """Keys, and the figures for them; one that is not known is empty."""


@dataclass(frozen=True, slots=True)
class Form:
    """The whole form."""

    edition: Edition
    procedure: Procedure
    words: Vocabulary
    known: Group
    headline: str
    demonstration: bool
    """Whether a figure of it is invented."""
    watched: tuple[tuple[str, Asked], ...]
    """Figures to watch in the test, each with the title of what is read."""
    figures: tuple[FigureShown, ...]
    grids: tuple[Grid, ...]
    dials: Dials | None
    before: tuple[Part, ...]
    """What is written down, and checked, before the first item."""
    lists: tuple[Listed, ...]
    after: tuple[Part, ...]
    besides: tuple[Part, ...]
    """What is written down and no rule reads."""
    waivers: tuple[Listed, ...]
    persons: tuple[Part, ...]
    checks: tuple[Check, ...]

    def boxes(self) -> Iterator[Box]:
        """Every box, in order."""
        yield from _boxes((*self.before, *self.lists, *self.after, *self.besides, *self.waivers, *self.persons))


def in_order(part: Part) -> Iterator[Box | Listed]:
    """What a part asks for as it is printed: first what rules read, then what is written down besides, lists last."""
    boxes = [box for box in part.boxes if isinstance(box, Box)]
    yield from (box for box in boxes if box.read or box.required)
    yield from (box for box in boxes if not (box.read or box.required))
    yield from (each for each in part.boxes if isinstance(each, Listed))


def _boxes(parts: tuple[Part | Listed | Box, ...]) -> Iterator[Box]:
    for part in parts:
        match part:
            case Box():
                yield part
            case Part(boxes=boxes):
                yield from _boxes(boxes)
            case Listed(items=items):
                for item in items:
                    yield from _boxes(item.parts)
