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
from ..lang.values import Data, Group, Leaf, Missing, Open, Pending, Plain, Stuck, with_leaf
from ..lang.work import Size, size
from ..shape.vocabulary import vocabulary
from .combinations import EACH, MOST, STEPS, Combination, Tries, nodes_of, reads, tries
from .conditions import settled_by


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
    most: int
    """Combinations that it may be tried on."""

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
    budget = STEPS // max(1, sum(len(each.requirements) + len(each.figures) for each in procedures))
    return Survey(
        tuple(each for procedure in procedures for each in _requirements(procedure, budget)),
        tuple(each for procedure in procedures for each in _figures(procedure, budget)),
    )


def _requirements(procedure: Procedure, budget: int) -> Iterator[Surveyed]:
    sizes = _sizes(procedure)
    for requirement in procedure.requirements:
        if requirement.covers:
            continue
        rules = rules_of(requirement)
        most = _affordable(rules, sizes, budget)
        found = tries(reads(rules, procedure.rules), procedure, most)
        tried = tuple(try_on(each, requirement, procedure) for each in found.combinations)
        yield Surveyed(procedure, requirement, tried, found, most)


def _sizes(procedure: Procedure) -> dict[str, Size]:
    """Of the terms; each stands after all that it calls."""
    sizes: dict[str, Size] = {}
    for name, definition in procedure.rules.terms.items():
        sizes[name] = size(definition.body, sizes, lambda _: 1)
    return sizes


def _affordable(rules: Iterable[Node], sizes: Mapping[str, Size], budget: int) -> int:
    """How many combinations may be tried in so many steps."""
    return min(MOST, budget // (EACH + sum(size(rule, sizes, lambda _: 1).steps for rule in rules)))


def rules_of(requirement: Requirement) -> list[Node]:
    """Its conditions: what must hold, where it applies, its exceptions."""
    nodes = [requirement.require, requirement.applies, *(each.when for each in requirement.unless)]
    return [node for node in nodes if node is not None]


def try_on(
    combination: Combination, requirement: Requirement, procedure: Procedure, chosen: Iterable[_Chosen] = ()
) -> Tried:
    """The rules where a combination is known, and choices besides. Of a figure that is still to be read it is known
    how small and how large a record can hold it."""
    known, bound = known_on(combination, requirement, procedure)
    rules = procedure.rules
    for root, leaf in chosen:
        if root is None:
            known = with_leaf(known, leaf.path, leaf)
        else:
            assert requirement.each is not None
            bound = {root: with_leaf(bound[root], leaf.path.removeprefix(f"{requirement.each}."), leaf)}
    require, applies = requirement.require, requirement.applies
    return Tried(
        combination,
        None if require is None else evaluate(require, rules, known, bound),
        None if applies is None else evaluate(applies, rules, known, bound),
        tuple(evaluate(each.when, rules, known, bound) for each in requirement.unless),
    )


def known_on(
    combination: Combination, requirement: Requirement, procedure: Procedure
) -> tuple[Group, dict[str, Group]]:
    """What is known of the record, and of the item that a requirement speaks of."""
    return combination.put_into(_ranges(procedure.id, None)), _item(requirement, procedure)


def _item(requirement: Requirement, procedure: Procedure) -> dict[str, Group]:
    """An item of which nothing is known; its path has no number, since it stands for every item."""
    if requirement.each is None or requirement.singular is None:
        return {}
    return {requirement.singular: _ranges(procedure.id, requirement.each)}


@cache
def _ranges(procedure: str, each: str | None) -> Group:
    """A record, or an item of the list ``each``, of which only is known how small and how large its figures can be."""
    known = vocabulary(procedure)
    fields = {} if known is None else known.fields
    lists = [path for path, info in fields.items() if isinstance(info.kind, ListKind)]
    group = Group(each or "", {})
    for path, info in fields.items():
        inside = next((listed for listed in reversed(lists) if path.startswith(f"{listed}.")), None)
        if info.range is not None and inside == each:
            pending = Pending(path, Open(frozenset({Missing(path)}), *info.range))
            group = _with(group, path.removeprefix(f"{each}."), pending)
    return group


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
    of: Surveyed, part: Callable[[Tried], Step | None], applying: bool = True
) -> bool | None:
    """What a part of a requirement comes to on every combination (on which that may apply), whatever is recorded
    besides; None where it is not always the same. Choices are tried as well, where they are few."""
    found: set[bool] = set()
    for tried in _possibilities(of):
        if applying and not tried.live:
            continue
        step = part(tried)
        value = None if step is None else settled_by(step)
        if value is None:
            return None
        found.add(value)
        if len(found) > 1:
            return None
    return found.pop() if found else None


def exception_of(number: int, tried: Tried) -> Step:
    """What an exception came to."""
    return tried.unless[number]


def _possibilities(of: Surveyed) -> Iterator[Tried]:
    choices = _choices(of)
    if not choices or prod(map(len, choices)) * len(of.tried) > of.most:
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
    for node in nodes_of(rules_of(of.requirement), of.procedure.rules):
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


def _figures(procedure: Procedure, budget: int) -> Iterator[FigureSurveyed]:
    sizes = _sizes(procedure)
    for figure in procedure.figures:
        found = tries(reads([figure.value], procedure.rules), procedure, _affordable([figure.value], sizes, budget))
        rules, nothing = procedure.rules, Group("", {})
        tried = tuple((each, evaluate(figure.value, rules, each.put_into(nothing))) for each in found.combinations)
        yield FigureSurveyed(procedure, figure, tried, found)
