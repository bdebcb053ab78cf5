"""Changes of one reading of a record: left out, answered otherwise, moved past another reading or into another band.

A change is the path of a reading and what to write there; None: nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ..judging.findings import Finding
from ..judging.verdict import Verdict
from ..lang.evaluate import steps_below
from ..lang.kernel import Lookup
from ..lang.kinds import ChoiceKind
from ..lang.operations import words as written_as
from ..lang.quantity import Quantity
from ..lang.values import Leaf
from .boundary_rules import CellKey
from .boundary_steps import field_info, step_of

Change = tuple[str, str | None]


def answers(finding: Finding, verdict: Verdict, leave_out: bool) -> Iterator[Change]:
    """Every reading that a rule rests on, left out or answered otherwise."""
    if finding.require is None:
        return
    seen: set[str] = set()
    for step in steps_below(finding.require):
        leaf = step.reading
        if leaf is None or leaf.path in seen:
            continue
        seen.add(leaf.path)
        if leave_out:
            yield from left_out(leaf.path)
        else:
            yield from ((leaf.path, value) for value in _others(leaf, verdict))


def into_bands(finding: Finding, verdict: Verdict, cell: CellKey) -> Iterator[tuple[str, str]]:
    """Each reading that the band of a look-up is worked out from, in proportion to where the band of ``cell`` ends."""
    for step in steps_below(finding.require) if finding.require is not None else ():
        if not isinstance(step.node, Lookup) or step.node.table != cell.table:
            continue
        axes = verdict.procedure.rules.tables[cell.table].axes
        for axis, label, part in zip(axes, cell.keys, step.parts, strict=True):
            end = next((each.up_to or each.over for each in axis.bands or () if each.label == label), None)
            now = part.parts[0].value if part.parts else None
            if end is None or not isinstance(now, Quantity) or not now.value:
                continue
            for at in steps_below(part):
                reading = at.reading
                size = None if reading is None else step_of(reading, verdict)
                if reading is not None and size is not None and isinstance(reading.value, Quantity):
                    marks = reading.value.value * end.value / now.value / size
                    for number in (marks.__floor__(), marks.__floor__() + 1):
                        yield reading.path, written_as(Quantity(number * size, reading.value.unit))


def overtaking(finding: Finding, verdict: Verdict) -> Iterator[tuple[str, str]]:
    """Each reading that a rule rests on, a step beyond another one of its kind."""
    steps = () if finding.require is None else steps_below(finding.require)
    leaves = dict.fromkeys(step.reading for step in steps if step.reading is not None)
    found = [(leaf, leaf.value) for leaf in leaves if isinstance(leaf.value, Quantity)]
    for leaf, value in found:
        step = step_of(leaf, verdict)
        for _, other in found if step is not None else ():
            if other != value and other.dimension == value.dimension:
                for by in (-1, 1):
                    yield leaf.path, written_as(Quantity(other.value + by * (step or 0), value.unit))


def left_out(path: str) -> Iterator[tuple[str, None]]:
    """A reading, or the group that cannot be without it."""
    while path:
        yield path, None
        path = path.rpartition(".")[0]
        if path.endswith("]"):
            return


def _others(leaf: Leaf, verdict: Verdict) -> Iterator[str]:
    """Other things that could be recorded there."""
    info, _ = field_info(leaf.path, verdict.record.words)
    match leaf.value:
        case bool() as answer:
            yield "false" if answer else "true"
        case str() as word:
            options = info.kind.options if info is not None and isinstance(info.kind, ChoiceKind) else None
            covered = verdict.procedure.rules.tables.get(f"covers {leaf.path}")
            if options is None and covered is not None:
                options = tuple(cell.keys[0] for cell in covered.cells.values())
            # A word of no list, a number of a lot say: another one.
            yield from (each for each in options or (f"{word}-2",) if each != word)
        case Quantity() as quantity:
            step = step_of(leaf, verdict)
            for by in (-1, 1) if step is not None else ():
                yield written_as(Quantity(quantity.value + by * (step or Fraction(0)), quantity.unit))
