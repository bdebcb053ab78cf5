"""Where figures and rules come from, and who compared them with the printed page."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from ..editions.edition import Edition, Origin, Standing
from ..shape.shaped import ShapedMap
from .galley import Galley
from .report import Finding, error, remark

_STANDINGS: tuple[Standing, ...] = ("published", "common practice", "from memory", "invented")
_WITHOUT_CLAUSE = ("common practice", "from memory")
"""What stands in no document has no clause."""


def provenance(copy: Galley) -> Iterator[Finding]:
    for path, what, origin in _origins(copy.edition):
        at = copy.place(*path)
        if origin.standing is None:
            sources = ", ".join(copy.edition.sources)
            help = f"say its `source`, one of {sources}, or its `standing`"
            yield error("provenance", "standing-missing", f"{what} says nothing of where it comes from", at, help)
        if origin.clause is None and origin.standing not in _WITHOUT_CLAUSE:
            help = "give the `clause`, as the source numbers itself"
            yield remark("provenance", "clause-missing", f"{what} names no clause", at, help)
    for name in unchecked(copy):
        help = "once someone did: checked: {by: NAME, on: DATE, against: PAGE} beside its source"
        message = f"nobody has compared table `{name}` with the printed page"
        yield remark("provenance", "unchecked", message, copy.place("tables", name), help)


def unchecked(copy: Galley) -> tuple[str, ...]:
    found = []
    for name in copy.edition.tables:
        source = copy.part("tables", name, "source")
        if isinstance(source, ShapedMap) and "checked" not in source.entries:
            found.append(name)
    return tuple(found)


def standings(edition: Edition) -> Mapping[str, int]:
    """How many tables, terms and requirements there are of each."""
    found = Counter(origin.standing for _, _, origin in _origins(edition))
    return {standing: found[standing] for standing in _STANDINGS if found[standing]}


def _origins(edition: Edition) -> Iterator[tuple[tuple[str, ...], str, Origin]]:
    """The path to it, what it is called, where it comes from."""
    for name, table in edition.tables.items():
        yield ("tables", name), f"table `{name}`", table.origin
    for name, term in edition.terms.items():
        yield ("terms", name), f"term `{name}`", term.origin
    for id, procedure in edition.procedures.items():
        for each in procedure.requirements:
            if not each.covers:
                yield ("procedures", id, "requirements", each.id), f"requirement `{each.id}`", each.origin
