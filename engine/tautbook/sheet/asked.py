"""What is asked of single readings, and where the work is held until one of them is reached."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from ..editions.edition import Requirement
from ..explaining.comparisons import Comparison, conditions_of
from ..explaining.labels import label
from ..explaining.limits import Limit, Limits
from ..explaining.sentences import value_of
from ..lang.evaluate import evaluate
from ..lang.kernel import Both, Node
from ..lang.kinds import DateKind
from ..lang.quantity import show
from ..lang.values import Data, Group
from ..shape.vocabulary import Vocabulary
from .form import Asked, Box, Listed, Stop
from .reads import on_record

AT_LEAST = frozenset({">=", ">"})
AT_MOST = frozenset({"<=", "<"})


Place = tuple[str, str, str]
"""Of one limit: its requirement, the relation, and the reading."""
_NO_LETTERS: Mapping[Place, str] = {}


def asked_of(limits: Limits, letters: Mapping[Place, str]) -> Mapping[str, tuple[Asked, ...]]:
    """What is asked of each reading, by its path without numbers: what holds whatever else is read.

    Of alternatives nothing is told here, since a reading that fails one may meet another; their sentence tells. Nor is
    it told that something must be what it is known to be: that may be the one alternative that is left.
    """
    found: dict[str, list[Asked]] = {}
    for limit in limits.limits:
        path = path_of(limit)
        if path is None or limit.applies is not None or _is_so(limit):
            continue
        if limit.comparison in _alone(limit.requirement, limits):
            asked = asked_by(limit, limits.words, letters)
            at = on_record(path.split("."), limits.edition.ruleset)
            if asked is not None and asked not in found.setdefault(at, []):
                found[at].append(asked)
    return {path: tuple(each) for path, each in found.items()}


def _is_so(limit: Limit) -> bool:
    return limit.state == "holds" and limit.comparison is not None and limit.comparison.relation == "="


def path_of(limit: Limit) -> str | None:
    """The reading that a limit is of; None where it is of none, or of another record."""
    comparison = limit.comparison
    path = None if comparison is None else comparison.observed.path or comparison.unknown
    return None if path is None or path.startswith("evidence.") else path


def place_of(limit: Limit) -> Place:
    relation = "" if limit.comparison is None else limit.comparison.relation
    return limit.requirement.id, relation, path_of(limit) or ""


def _alone(requirement: Requirement, limits: Limits) -> list[Comparison]:
    """The comparisons that each have to hold."""
    node = requirement.require
    if node is None or requirement.covers:
        return []
    parts: list[Comparison] = []
    bound: Mapping[str, Data] = {}
    if requirement.each is not None and requirement.singular is not None:
        bound = {requirement.singular: Group(requirement.each, {})}
    for part in _parts(node):
        found = conditions_of(evaluate(part, limits.procedure.rules, limits.known, bound))
        parts += found if len(found) == 1 else ()
    return parts


def _parts(node: Node) -> Iterator[Node]:
    if isinstance(node, Both):
        for part in node.parts:
            yield from _parts(part)
    else:
        yield node


def asked_by(limit: Limit, words: Vocabulary, letters: Mapping[Place, str] = _NO_LETTERS) -> Asked | None:
    """The limit as it is printed beside its reading; None for what needs no words."""
    comparison, requirement = limit.comparison, limit.requirement
    if comparison is None:
        return None
    figure = of = None
    lent = False
    if comparison.limit is not None:
        side = comparison.limit
        of = None if side.path is None else label(side.path, words)
        lent = of is not None and requirement.watch is None
        if side.value is not None:
            figure = side.written if isinstance(side.value, str) else value_of(side)
            figure = ("yes" if side.value else "no") if isinstance(side.value, bool) else figure
            of = None
    dial = None if limit.dial is None else show(limit.dial)
    info = words.fields.get(path_of(limit) or "")
    return Asked(
        requirement.id, comparison.relation, figure, of, requirement.watch, requirement.origin.clause,
        None if dial == figure else dial, comparison.observed.term is not None, letters.get(place_of(limit)),
        limit.state == "broken", info is not None and isinstance(info.kind, DateKind), requirement.title, lent,
    )  # fmt: skip


def stop_in(boxes: Iterable[Box | Listed], limits: Limits, asked: Mapping[str, tuple[Asked, ...]]) -> Stop | None:
    """Where the work is held before the boxes of a group are filled in: at the least of a reading that
    set-up asks for, if others of the group are taken there as well."""
    setup = {each.id for each in limits.procedure.requirements if each.kind == "setup" and each.each is not None}
    own = [box for box in boxes if isinstance(box, Box)]
    for box in own:
        others = [other for other in own if other is not box]
        for each in asked.get(box.plain, ()):
            if each.requirement in setup and each.relation in AT_LEAST and others:
                past = next((other for other in asked[box.plain] if _is_past(other, setup)), None)
                return Stop(box.plain, each, None if box.units else box.title, _then(others), past)
    return None


def _is_past(asked: Asked, setup: set[str]) -> bool:
    return asked.requirement in setup and asked.relation in AT_MOST and asked.watch is not None


def _then(others: Iterable[Box]) -> tuple[str, ...]:
    """What is done with the other readings of a group, by their kinds."""
    return tuple(dict.fromkeys(_DONE.get(box.kind, "look") for box in others if box.kind != "text"))


_DONE = {"whole": "count", "quantity": "read", "number": "read"}


def watched(limits: Limits, letters: Mapping[Place, str]) -> Iterator[tuple[str, Asked]]:
    """The figures that the edition gives a name to, each with what is read."""
    for limit in limits.limits:
        path = path_of(limit)
        if limit.requirement.watch is not None and limit.comparison is not None and limit.comparison.limit is not None:
            asked = asked_by(limit, limits.words, letters)
            if asked is not None:
                yield "" if path is None else label(path, limits.words), asked


