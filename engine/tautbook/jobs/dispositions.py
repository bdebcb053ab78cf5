"""What people decided about lots, held to what is to be installed: all that one test represents is treated alike."""

from __future__ import annotations

from collections.abc import Iterator

from .fault import Fault
from .job import Disposition, Job, Lot

_IN_USE = "accepted"
"""The one decision after which a lot may be installed."""


def against_dispositions(job: Job) -> Iterator[Fault]:
    """Lots that are to be installed against what was decided of them, or decided of in part; and more than came."""
    wanted: dict[Lot, int] = {}
    for assembly in job.assemblies:
        for lot in assembly.lots:
            wanted[lot] = wanted.get(lot, 0) + assembly.count
    decided: dict[Lot, list[Disposition]] = {}
    for disposition in job.dispositions:
        decided.setdefault(disposition.lot, []).append(disposition)
    for lot in job.lots:
        if lot in decided:
            yield from _decided(lot, sorted(decided[lot], key=lambda each: each.on), lot in wanted)
        if lot.quantity is not None and wanted.get(lot, 0) > lot.quantity:
            text = f"{wanted[lot]} of {lot.name} are to be installed, and {lot.quantity} came"
            yield Fault("more-than-came", text)


def _decided(lot: Lot, by_day: list[Disposition], installed: bool) -> Iterator[Fault]:
    in_force = decisions_in_force(lot, by_day)
    parts = [each for each in in_force if _is_part(each, lot)]
    covered = sum(each.quantity or 0 for each in parts)
    if lot.quantity is not None and covered > lot.quantity:
        yield Fault("more-than-came", f"{covered} of {lot.name} were decided of, and {lot.quantity} came")
    all_of_it = len(parts) < len(in_force) or covered == lot.quantity
    if len({each.decision for each in in_force}) > 1 or not all_of_it:
        said = [f"{each.decision} {'all' if each.quantity is None else each.quantity}, {each.on}" for each in in_force]
        if not all_of_it:
            said.append("nothing decided of the others")
        text = f"{lot.name} is treated in parts ({'; '.join(said)}), and a test represents all of it"
        yield Fault("split", text, "Decide alike of all that one test represents.")
    elif installed and in_force[-1].decision != _IN_USE:
        last = in_force[-1]
        text = f"{lot.name} is to be installed, and {last.by} ({last.role}) has it {last.decision} since {last.on}"
        yield Fault("held", text, "Take it off the list of what is installed, or have it decided again.")


def decisions_in_force(lot: Lot, by_day: list[Disposition]) -> list[Disposition]:
    """The last decision about the whole lot, and those about parts of it that came after."""
    whole = [n for n, each in enumerate(by_day) if not _is_part(each, lot)]
    return by_day[whole[-1] :] if whole else by_day


def _is_part(disposition: Disposition, lot: Lot) -> bool:
    return disposition.quantity is not None and (lot.quantity is None or disposition.quantity < lot.quantity)
