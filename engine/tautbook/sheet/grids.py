"""Figures for everything that an edition covers, where it is not known yet which of it is tested."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import prod

from ..editions.edition import Procedure
from ..explaining.labels import label
from ..explaining.limits import Limit, Limits, limits_of
from ..lang.kernel import Field, Lookup
from ..lang.kinds import ChoiceKind, YesNoKind
from ..lang.operations import words as words_of
from ..proofreading.combinations import covered, nodes_of
from ..records.given import given_fields
from ..shape.vocabulary import Vocabulary
from .asked import asked_by, path_of
from .form import Asked, Grid

_MOST = 400
"""Combinations that are tried for one figure."""
_ROWS = 24
_COLUMNS = 12
"""Rows and columns that a printed table has at most."""
_ANY = "any"

_Keyed = tuple[tuple[str, ...], tuple[str, ...]]
"""Values of the keys of a row, and its figures."""


def grids_of(limits: Limits) -> tuple[Grid, ...]:
    """A table for each figure with a name that still depends on fields whose values can be counted up."""
    found = _domains(limits.procedure, limits.words)
    grids = []
    for limit in _open(limits):
        paths = tuple(path for path in found if path in limit.needs)
        if paths and prod(len(found[path]) for path in paths) <= _MOST:
            grids.append(_Trying(limit, found, limits).grid(paths))
    return tuple(dict.fromkeys(grid for grid in grids if grid is not None))


def _open(limits: Limits) -> Iterator[Limit]:
    """The limits with a name that are not known yet."""
    for limit in limits.limits:
        if limit.requirement.watch is not None and limit.state == "open" and limit.comparison is not None:
            yield limit


def _domains(procedure: Procedure, words: Vocabulary) -> Mapping[str, tuple[str, ...]]:
    """The values of each field that can be counted up: those that are covered, those that a schema allows, and those
    that a table has rows for."""
    found: dict[str, tuple[str, ...]] = {}
    for path, cells in covered(procedure.rules).items():
        found[path] = tuple(dict.fromkeys(words_of(cell.value) for cell in cells))
    for info in words.fields.values():
        if isinstance(info.kind, ChoiceKind) and info.kind.options is not None:
            found.setdefault(info.path, info.kind.options)
        elif isinstance(info.kind, YesNoKind):
            found.setdefault(info.path, ("yes", "no"))
    rules = [each.require for each in procedure.requirements if each.require is not None]
    for node in nodes_of(rules, procedure.rules):
        if isinstance(node, Lookup):
            cells = tuple(procedure.rules.tables[node.table].cells.values())
            for i, key in enumerate(node.keys):
                if isinstance(key, Field) and key.root is None:
                    found.setdefault(".".join(key.path), tuple(dict.fromkeys(cell.keys[i] for cell in cells)))
    return found


@dataclass(frozen=True, slots=True)
class _Trying:
    """One figure, worked out for every combination of values."""

    limit: Limit
    values: Mapping[str, tuple[str, ...]]
    limits: Limits

    def grid(self, paths: tuple[str, ...]) -> Grid | None:
        *down, across = paths
        heads = self.values[across]
        rows = [(keys, asked) for keys, asked in self.rows(down, across, ())]
        known = [each for _, row in rows for each in row if each is not None]
        if not known or len(heads) > _COLUMNS:
            return None
        units = {unit for each in known for _, _, unit in [_figure(each).partition(" ")]}
        unit = units.pop() if len(units) == 1 else ""
        printed = tuple(
            _together([(keys, tuple(_short(each, unit) for each in row)) for keys, row in rows], len(down))
        )
        if len(printed) > _ROWS:
            return None
        words = self.limits.words
        titled = f"{known[0].watch}{_LEAD.get(known[0].relation, '')}{f' ({unit})' if unit else ''}"
        titled += ", once corrected" if any(each.corrected and each.dial is None for each in known) else ""
        keys = tuple(label(path, words) for path in down)
        return Grid(titled, known[0].clause, keys, label(across, words), heads, printed)

    def rows(
        self, down: Sequence[str], across: str, chosen: tuple[str, ...]
    ) -> Iterator[tuple[tuple[str, ...], tuple[Asked | None, ...]]]:
        """Every combination of the keys of rows, with what is asked for each value of the last key."""
        if not down:
            yield (), tuple(self.asked((*chosen, f"{across}={value}")) for value in self.values[across])
            return
        first, *rest = down
        for value in self.values[first]:
            for keys, row in self.rows(rest, across, (*chosen, f"{first}={value}")):
                yield (value, *keys), row

    def asked(self, given: tuple[str, ...]) -> Asked | None:
        """What is asked where this is known besides; None where no figure comes of it."""
        limits, wanted = self.limits, self.limit.requirement
        known, problems = given_fields(given, limits.words, limits.known)
        if problems:
            return None
        alone = replace(limits.procedure, requirements=(wanted,), figures=())
        for limit in limits_of(limits.edition, alone, limits.words, known).limits:
            if limit.state == "limit" and path_of(limit) == path_of(self.limit):
                asked = asked_by(limit, limits.words)
                if asked is not None and asked.figure is not None:
                    return asked
        return None


_LEAD = {">=": ", at least", ">": ", more than", "<=": ", at most", "<": ", less than"}


def _figure(asked: Asked) -> str:
    return asked.dial or asked.figure or ""


def _short(asked: Asked | None, unit: str) -> str:
    return "" if asked is None else _figure(asked).removesuffix(f" {unit}")


def _together(rows: Sequence[_Keyed], depth: int) -> Iterator[_Keyed]:
    """Rows without a figure left out; values of a key that come to the same told together."""
    if depth == 0:
        yield from (row for row in rows if any(row[1]))
        return
    by: dict[str, list[_Keyed]] = {}
    for (first, *rest), figures in rows:
        by.setdefault(first, []).append((tuple(rest), figures))
    alike: list[tuple[list[str], list[_Keyed]]] = []
    for value, below in by.items():
        same = next((names for names, other in alike if other == below), None)
        if same is None:
            alike.append(([value], below))
        else:
            same.append(value)
    for names, below in alike:
        said = _ANY if len(names) == len(by) > 1 else ", ".join(names)
        for keys, figures in _together(below, depth - 1):
            yield (said, *keys), figures
