"""The form for a procedure of an edition: what is written down in which order, and what is asked of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from ..editions.edition import Edition, Procedure, Requirement
from ..explaining.explain import DEMONSTRATION, DRAFT
from ..explaining.limits import Limits, limits_of
from ..explaining.prose import sentence
from ..explaining.provisions import provisions
from ..explaining.provisions_stated import CoverStated, Provisions
from ..judging.findings import findings_of
from ..judging.outcomes import Outcome
from ..lang.quantity import Quantity
from ..lang.units import dimension_named, units_of
from ..lang.values import Group
from ..shape.schemas import Schema, record_schema
from ..shape.vocabulary import SIMPLE_KINDS, Vocabulary
from .asked import asked_of, watched
from .boxes import Making, usual_units
from .dials import dials_of, letters_of
from .form import Box, Check, Form, Listed, Part
from .grids import grids_of
from .reads import fields_read

_UNASKED = 4
"""Items of a list of readings for which the edition sets no number."""
_FEW = 1
"""Items of any other list."""
_POINTS = 8
"""Lines of a table inside a group."""
_MOST = 200
"""Items that a form prints."""
_PERSON = frozenset({"name", "organisation", "role"})


def form_of(edition: Edition, procedure: Procedure, words: Vocabulary, known: Group, items: int | None = None) -> Form:
    """The form, with what is ``known`` of the test filled in, and ``items`` of its main list printed."""
    schema = record_schema(procedure.id)
    assert schema is not None, "an edition has no rules for a procedure without records"
    limits = limits_of(edition, procedure, words, known)
    reads = fields_read(procedure, edition.ruleset)
    letters = letters_of(limits)
    asked = asked_of(limits, letters)
    stated = provisions(edition)
    covers = {each.path: tuple(_names(each)) for each in stated.covers}
    making = Making(limits, reads, asked, _items(schema, limits, items), covers, usual_units(procedure.rules))
    parts = list(_parts(making, schema, stated))
    main = _main(procedure)
    tail = next((i for i, part in enumerate(parts) if isinstance(part, Listed) and part.path in main), len(parts))
    order = _Order(making.reads)
    before: list[Part] = []
    after: list[Part] = []
    besides: list[Part] = []
    for i, part in enumerate(parts):
        if isinstance(part, Part) and not _is_person(part):
            for at, some in zip((before, after, besides), order.split(part, i < tail, i == 0), strict=True):
                at += [some] if some is not None else []
    lists = [part for part in parts if isinstance(part, Listed)]
    outcomes = {each.id: each.outcome for each in findings_of(procedure, known) if each.item is None}
    return Form(
        edition, procedure, words, known, _headline(limits), limits.demonstration,
        tuple(watched(limits, letters)), limits.figures, grids_of(limits), dials_of(limits, letters, stated),
        tuple(before), tuple(each for each in lists if each.path in main), tuple(after),
        tuple(_run_together(besides)), tuple(each for each in lists if each.path not in main),
        tuple(part for part in parts if isinstance(part, Part) and _is_person(part)),
        tuple(_check(each, procedure, edition, outcomes) for each in procedure.requirements),
    )  # fmt: skip


def _run_together(parts: list[Part]) -> Iterator[Part]:
    """Single fields from all over the record together, and the groups after them."""
    alone = tuple(box for part in parts if not part.path for box in part.boxes)
    if alone:
        yield Part("", "", None, alone)
    yield from (part for part in parts if part.path)


def _names(cover: CoverStated) -> Iterator[str]:
    for each in cover.values:
        yield from (each.value, *each.also)


def _parts(making: Making, schema: Schema, stated: Provisions) -> Iterator[Part | Listed]:
    """Groups, lists, and the single fields between them, in the order of the schema; an authority's own last."""
    for part in making.parts("", "", schema, False):
        lists = [each for each in part.boxes if isinstance(each, Listed)]
        if part.path or not lists:
            yield part
            continue
        run: list[Box | Listed] = []
        for each in part.boxes:
            if isinstance(each, Listed):
                if run:
                    yield Part("", "", None, tuple(run))
                run = []
                yield each
            else:
                run.append(each)
        if run:
            yield Part("", "", None, tuple(run))
    own = _own(stated)
    if own is not None:
        at = f"local.{stated.edition.ruleset}"
        yield making.part(at, at, own, False)


def _own(stated: Provisions) -> Schema | None:
    """What the authority observes besides, as a schema."""
    properties = {}
    for each in stated.fields:
        dimension = None if each.kind in SIMPLE_KINDS else dimension_named(each.kind)
        kind = each.kind if dimension is None else "quantity"
        below: dict[str, Any] = {"title": each.title, "description": each.description, "x-kind": kind}
        if dimension is not None:
            units = [each.unit] if each.unit is not None else list(units_of(dimension))
            below |= {"x-unit": units, "x-dimension": each.kind}
        below |= {"enum": list(each.options)} if each.options else {}
        properties[each.path] = below
    if not properties:
        return None
    edition = stated.edition
    return {"title": f"observations of {edition.ruleset}", "description": edition.title, "properties": properties}


def _items(schema: Schema, limits: Limits, items: int | None) -> Mapping[str, int]:
    """How many items of each list are printed: as many as were asked for here, as the edition asks for, or a few."""
    found = {"": _POINTS}
    for name, inner in schema["properties"].items():
        if inner["x-kind"] == "list":
            number = _FEW
            if name in _main(limits.procedure):
                number = items or limits.procedure.asks.get(name) or _counted(name, limits) or _UNASKED
            found[name] = min(number, _MOST)
    return found


def _counted(name: str, limits: Limits) -> int | None:
    """The number of items that a requirement asks for, where what is known tells it."""
    for limit in limits.limits:
        comparison = limit.comparison
        if comparison is None or comparison.limit is None or comparison.observed.over is None:
            continue
        value = comparison.limit.value
        if comparison.observed.over == ("count", name) and comparison.relation == ">=" and isinstance(value, Quantity):
            return value.value.__ceil__()
    return None


def _main(procedure: Procedure) -> frozenset[str]:
    """The lists that rules speak of item by item, or ask a number of."""
    of = {each.each for each in procedure.requirements if each.each is not None}
    over = {path.partition(".")[0] for each in procedure.requirements for path in each.over}
    return frozenset(of | {path for path in over if path != "evidence"} | set(procedure.asks))


def _is_person(part: Part) -> bool:
    names = {box.path.rpartition(".")[2] for box in part.boxes if isinstance(box, Box)}
    return part.path != "" and names >= _PERSON


@dataclass(frozen=True, slots=True)
class _Order:
    """What is filled in before the first item, what after the last one, and what can stand apart.

    What is only advice can wait, and so can what stands behind the items and no other rule reads. What no rule reads
    at all stands apart, but for what tells one record from another.
    """

    reads: Mapping[str, frozenset[str]]

    def split(self, part: Part, stands_before: bool, first: bool) -> tuple[Part | None, Part | None, Part | None]:
        """The boxes of each place. A group is never divided."""
        places: tuple[list[Box | Listed], ...] = ([], [], [])
        whole = None if not part.path else min(self.place(box, stands_before, False) for box in part.boxes)
        for box in part.boxes:
            places[self.place(box, stands_before, first) if whole is None else whole].append(box)
        made = [Part(part.path, part.title, part.description, tuple(boxes)) if boxes else None for boxes in places]
        return made[0], made[1], made[2]

    def place(self, box: Box | Listed, stands_before: bool, first: bool) -> int:
        if isinstance(box, Listed):
            return 2
        kinds = self.reads.get(box.plain, frozenset())
        if kinds - {"advice"} or box.required or (first and stands_before):
            return 0
        return 1 if box.read or not stands_before else 2


def _headline(limits: Limits) -> str:
    """What the form is for, and whether its figures are for use."""
    text = f"{limits.procedure.id} under {limits.edition.name}"
    text += f"; {DRAFT}" if limits.edition.enacted is None else ""
    text += "; figures from memory, not for acceptance" if limits.advisory else ""
    return f"{text}; {DEMONSTRATION}" if limits.demonstration else text


def _check(
    requirement: Requirement, procedure: Procedure, edition: Edition, outcomes: Mapping[str, Outcome]
) -> Check:
    last = requirement.kind != "setup" or bool(requirement.over & _main(procedure))
    said = sentence(requirement, procedure, edition)
    return Check(requirement, said, last, outcomes.get(requirement.id, "open"))
