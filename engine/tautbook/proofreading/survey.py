"""Every requirement and figure of an edition, tried on every combination of the covered values that it reads."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from itertools import product
from math import prod

from ..editions.edition import Edition, Figure, Procedure, Requirement
from ..lang.evaluate import Step, evaluate
from ..lang.kernel import Field, Node, Recorded
from ..lang.kinds import ChoiceKind, ListKind, YesNoKind
from ..lang.operations import words
from ..lang.values import Data, Group, Leaf, Missing, Open, Pending, Plain, Stuck, data_at, with_leaf
from ..shape.vocabulary import vocabulary
from .combinations import Combination, Tries, nodes_of, reads, share, tries


@dataclass(frozen=True, slots=True)
class Tried:
    """What the rules of a requirement come to on one combination. A part that is not there is None."""

    combination: Combination
    require: Step | None
    applies: Step | None
    unless: tuple[Step, ...]

    @property
    def live(self) -> bool:
        """Whether the requirement may apply."""
        return self.applies is None or self.applies.value is not False

    @property
    def stuck(self) -> tuple[tuple[Step, Stuck], ...]:
        """Why the finding has, or may have, no rule: as the finding itself is made."""
        if self.require is None or self.require.value is True or not self.live:
            return ()
        if any(step.value is True for step in self.unless):
            return ()
        steps = (self.require, *(() if self.applies is None else (self.applies,)), *self.unless)
        return tuple((step, reason) for step in steps if isinstance(step.value, Open) for reason in step.value.stuck)


@dataclass(frozen=True, slots=True)
class Surveyed:
    """One requirement on all of its combinations."""

    procedure: Procedure
    requirement: Requirement
    tried: tuple[Tried, ...]
    tries: Tries

    @property
    def live(self) -> tuple[Tried, ...]:
        return tuple(each for each in self.tried if each.live)


@dataclass(frozen=True, slots=True)
class FigureSurveyed:
    procedure: Procedure
    figure: Figure
    tried: tuple[tuple[Combination, Step], ...]
    tries: Tries


@dataclass(frozen=True, slots=True)
class Survey:
    most: int
    """Combinations that one rule was tried on, at most."""
    requirements: tuple[Surveyed, ...] = field(repr=False)
    figures: tuple[FigureSurveyed, ...] = field(repr=False)

    @property
    def combinations(self) -> int:
        return sum(len(each.tries.combinations) for each in self._all)

    @property
    def left_out(self) -> int:
        return sum(each.tries.all - len(each.tries.combinations) for each in self._all)

    @property
    def _all(self) -> tuple[Surveyed | FigureSurveyed, ...]:
        return (*self.requirements, *self.figures)


def survey(edition: Edition) -> Survey:
    """All requirements that the edition states; the one that the engine makes of its covers is left aside."""
    procedures = edition.procedures.values()
    most = share(sum(len(each.requirements) + len(each.figures) for each in procedures))
    return Survey(
        most,
        tuple(each for procedure in procedures for each in _requirements(procedure, most)),
        tuple(_figure(figure, procedure, most) for procedure in procedures for figure in procedure.figures),
    )


def _requirements(procedure: Procedure, most: int) -> Iterator[Surveyed]:
    for requirement in procedure.requirements:
        if requirement.covers:
            continue
        found = tries(reads(_rules(requirement), procedure.rules), procedure, most)
        tried = tuple(try_on(each, requirement, procedure) for each in found.combinations)
        yield Surveyed(procedure, requirement, tried, found)


def _rules(requirement: Requirement) -> list[Node]:
    nodes = [requirement.require, requirement.applies, *(each.when for each in requirement.unless)]
    return [node for node in nodes if node is not None]


def try_on(
    combination: Combination, requirement: Requirement, procedure: Procedure, chosen: Iterable[_Chosen] = ()
) -> Tried:
    """The rules where a combination is known, and choices besides. Of a figure that is still to be read it is known
    how small and how large a record can hold it."""
    known, bound, rules = combination.known, _item(requirement, procedure), procedure.rules
    for root, leaf in chosen:
        if root is None:
            known = with_leaf(known, leaf.path, leaf)
        else:
            assert requirement.each is not None
            bound = {root: with_leaf(bound[root], leaf.path.removeprefix(f"{requirement.each}."), leaf)}
    known = _within_range(known, procedure.id)
    require, applies = requirement.require, requirement.applies
    return Tried(
        combination,
        None if require is None else evaluate(require, rules, known, bound),
        None if applies is None else evaluate(applies, rules, known, bound),
        tuple(evaluate(each.when, rules, known, bound) for each in requirement.unless),
    )


def _item(requirement: Requirement, procedure: Procedure) -> Mapping[str, Group]:
    """An item of which nothing is known; its path has no number, since it stands for every item."""
    if requirement.each is None or requirement.singular is None:
        return {}
    item = Group(requirement.each, {})
    for path, pending in _ranges(procedure.id):
        if path.startswith(f"{requirement.each}."):
            item = _with(item, path.removeprefix(f"{requirement.each}."), pending)
    return {requirement.singular: item}


def _within_range(known: Group, procedure: str) -> Group:
    words_of = vocabulary(procedure)
    lists = () if words_of is None else tuple(
        path for path, info in words_of.fields.items() if isinstance(info.kind, ListKind)
    )  # fmt: skip
    for path, pending in _ranges(procedure):
        if not any(path.startswith(f"{listed}.") for listed in lists) and data_at(known, path) is None:
            known = _with(known, path, pending)
    return known


@cache
def _ranges(procedure: str) -> tuple[tuple[str, Pending], ...]:
    """Fields with a least and a greatest value that a record can hold."""
    words_of = vocabulary(procedure)
    return tuple(
        (path, Pending(path, Open(frozenset({Missing(path)}), *info.range)))
        for path, info in (words_of.fields.items() if words_of is not None else ())
        if info.range is not None
    )


def _with(group: Group, path: str, data: Data) -> Group:
    name, _, rest = path.partition(".")
    if rest:
        inner = group.fields.get(name, Group(group.below(name), {}))
        assert isinstance(inner, Group)
        data = _with(inner, rest, data)
    return Group(group.path, {**group.fields, name: data})


# Choices

_Chosen = tuple[str | None, Leaf]
"""One word, or yes or no: of the record (None), or of the item that a name stands for."""


def settled(
    of: Surveyed, part: Callable[[Tried], Step | None], most: int, applying: bool = True
) -> bool | None:
    """What a part of a requirement comes to on every combination (on which that may apply), whatever is recorded
    besides; None where it is not always the same. Choices are tried as well, where they are few."""
    found: set[bool] = set()
    for tried in _possibilities(of, most):
        if applying and not tried.live:
            continue
        step = part(tried)
        if step is None or not isinstance(step.value, bool):
            return None
        found.add(step.value)
        if len(found) > 1:
            return None
    return found.pop() if found else None


def _possibilities(of: Surveyed, most: int) -> Iterator[Tried]:
    choices = _choices(of)
    if not choices or prod(map(len, choices)) * len(of.tried) > most:
        yield from of.tried
        return
    for tried in of.tried:
        for chosen in product(*choices):
            yield try_on(tried.combination, of.requirement, of.procedure, chosen)


def _choices(of: Surveyed) -> list[list[_Chosen]]:
    """What may be recorded in each field that holds one of a few words, or yes or no; not of lists or other records,
    and not where it matters whether something is recorded at all."""
    found: dict[tuple[str | None, tuple[str, ...]], list[Plain]] = {}
    hidden: set[tuple[str | None, tuple[str, ...]]] = set()
    known = {tuple(path.split(".")) for path, _ in of.tried[0].combination.values} if of.tried else set()
    own = vocabulary(of.procedure.id)
    for node in nodes_of(_rules(of.requirement), of.procedure.rules):
        match node:
            case Recorded(of=field):
                hidden.add((field.root, field.path))
            case Field(root=root, path=path, kind=ChoiceKind() | YesNoKind() as kind):
                where = path if root is None else (of.requirement.each or "", *path)
                there = own is not None and ".".join(where) in own.fields
                options = [True, False] if isinstance(kind, YesNoKind) else list(kind.options or ())
                if there and options and root in (None, of.requirement.singular) and path not in known:
                    found[root, path] = list(options)
    return [
        [(root, _leaf(root, path, value, of.requirement)) for value in options]
        for (root, path), options in found.items() if (root, path) not in hidden
    ]  # fmt: skip


def _leaf(root: str | None, path: tuple[str, ...], value: Plain, requirement: Requirement) -> Leaf:
    above = () if root is None else (requirement.each or "",)
    return Leaf(".".join((*above, *path)), value, words(value))


def _figure(figure: Figure, procedure: Procedure, most: int) -> FigureSurveyed:
    found = tries(reads([figure.value], procedure.rules), procedure, most)
    tried = tuple((each, evaluate(figure.value, procedure.rules, each.known)) for each in found.combinations)
    return FigureSurveyed(procedure, figure, tried, found)
