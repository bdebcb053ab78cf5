"""The records that editions of one ruleset lack, made together: one made for an edition may show something of another.

Each has the verdict that every one of the editions gives now. That is no check of the edition: someone has to confirm
it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from ..editions.edition import Edition
from ..judging.verdict import Verdict, judge_record
from ..records.record import Record
from .boundaries import Boundary, Coverage, shown, with_more
from .boundary_examples import Example, Unmade, made_for, needed
from .boundary_places import Key
from .worked import NO_RULES, TO_CONFIRM

_ROUNDS = 3
"""A record made may come to what none came to before, and what could not be shown now can."""


@dataclass(frozen=True, slots=True)
class ToConfirm:
    """A record with what editions say of it now."""

    example: Example
    verdicts: Mapping[str, str]
    """By edition; ``no rules`` where it has none for such a test."""
    shows: Mapping[str, tuple[Boundary, ...]]
    """By edition, of what no record showed."""


@dataclass(frozen=True, slots=True)
class Lacking:
    records: tuple[ToConfirm, ...]
    unmade: tuple[tuple[Edition, Unmade], ...]


def lacking(editions: Sequence[tuple[Edition, Coverage]], taken: Iterable[str]) -> Lacking:
    """What the ``editions`` lack, as few records as come out of trying. No record made has a number that is
    ``taken``."""
    numbers, examples = set(taken), list[Example]()
    for _ in range(_ROUNDS):
        unmade: list[tuple[Edition, Unmade]] = []
        before = len(examples)
        for edition, coverage in editions:
            made = made_for(edition, _with(examples, edition, coverage), numbers)
            examples += made.examples
            numbers |= {each.verdict.record.id for each in made.examples}
            unmade += ((edition, each) for each in made.unmade)
        if len(examples) == before:
            break
    found = [_to_confirm(each, editions) for each in examples]
    kept = needed([{(name, each.key) for name, those in one.shows.items() for each in those} for one in found])
    # By the records made something may be shown, or be known to be out of reach, for which none could be made.
    left = {
        (edition.edition, each.key)
        for edition, coverage in editions
        for each in _with([examples[n] for n in kept], edition, coverage).uncovered
    }
    return Lacking(
        tuple(found[n] for n in kept),
        tuple((edition, each) for edition, each in unmade if (edition.edition, each.boundary.key) in left),
    )


def _with(examples: Iterable[Example], edition: Edition, coverage: Coverage) -> Coverage:
    verdicts = (_judged(each.verdict.record, edition) for each in examples)
    return with_more(edition, coverage, [each for each in verdicts if each is not None])


def _judged(record: Record, edition: Edition) -> Verdict | None:
    return judge_record(record, edition)[0] if record.procedure in edition.procedures else None


def _to_confirm(example: Example, editions: Sequence[tuple[Edition, Coverage]]) -> ToConfirm:
    verdicts: dict[str, str] = {}
    shows: dict[str, tuple[Boundary, ...]] = {}
    for edition, coverage in editions:
        verdict = _judged(example.verdict.record, edition)
        verdicts[edition.edition] = NO_RULES if verdict is None else verdict.verdict
        keys: frozenset[Key] = frozenset() if verdict is None else shown(verdict, coverage.study).keys
        open = (each for each in coverage.boundaries if each.covered_by is None)
        shows[edition.edition] = tuple(each for each in open if each.key in keys)
    return ToConfirm(example, verdicts, shows)


def verdicts_text(records: Iterable[ToConfirm]) -> str:
    """The verdicts, in the form of ``verdicts.yaml``."""
    lines = [
        "# What editions give of these records now. Nobody has confirmed it: read each record, and mend what is wrong,",
        "# the verdict here or the edition.",
    ]
    for record in records:
        lines.append(f"{record.example.file}:")
        for verdict in dict.fromkeys(record.verdicts.values()):
            under = [edition for edition, given in record.verdicts.items() if given == verdict]
            showing = dict.fromkeys(each for edition in under for each in record.shows[edition])
            told = f", to show {boundaries_told(showing)}" if showing else ""
            why = json.dumps(f"{TO_CONFIRM}{told}", ensure_ascii=False)
            lines.append(f"  - {{under: {json.dumps(under)}, verdict: {verdict}, why: {why}}}")
    return "".join(f"{line}\n" for line in lines)


def boundaries_told(boundaries: Iterable[Boundary]) -> str:
    """What is shown of each requirement: where from its limit."""
    found = []
    for requirement, those in groupby(boundaries, key=lambda each: each.requirement):
        whats = dict.fromkeys(f"{each.what}{f' {each.cell}' if each.cell else ''}" for each in those)
        found.append(f"{requirement} {', '.join(whats)}")
    return "; ".join(found)
