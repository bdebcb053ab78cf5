"""Requirements, terms and figures of an edition in sentences, made from their kernel trees."""

from __future__ import annotations

from dataclasses import dataclass

from ..editions.edition import Edition, Figure, NamedException, Procedure, Requirement
from ..lang.kernel import Both, Node, Term, parts_of
from ..lang.problem import visible
from .prose_kernel import amount, condition
from .prose_names import Names, names_of
from .prose_tree import Prose, flat


@dataclass(frozen=True, slots=True)
class TakenOff:
    """An exception, and when it holds."""

    by: NamedException
    when: Prose


@dataclass(frozen=True, slots=True)
class Spoken:
    """One requirement in sentences. ``must`` is None where the edition holds no rule."""

    must: Prose | None
    each: str | None
    """What it is asked of, one by one: ``specimen``. None: of the whole record."""
    applies: Prose | None
    unless: tuple[TakenOff, ...]


def spoken(requirement: Requirement, procedure: Procedure, edition: Edition) -> Spoken:
    """What the requirement asks, of what, when, and what takes it off."""
    names = names_of(edition, procedure.id)
    bound: dict[str, str] = {}
    each = None
    if requirement.each is not None and requirement.singular is not None:
        bound[requirement.singular] = requirement.each
        each, _ = names.items(requirement.each, requirement.singular)
    must = None
    if requirement.require is not None:
        of_covers = requirement.covers
        must = _covered(requirement.require, names) if of_covers else condition(requirement.require, names, bound)
    applies = None if requirement.applies is None else condition(requirement.applies, names, bound)
    unless = tuple(TakenOff(named, condition(named.when, names, bound)) for named in requirement.unless)
    return Spoken(must, each, applies, unless)


def sentence(requirement: Requirement, procedure: Procedure, edition: Edition) -> str:
    """The requirement in one line: of what, what must hold, when it applies, and what takes it off."""
    said = spoken(requirement, procedure, edition)
    lead = "" if said.each is None else f"for each {said.each}: "
    what = f"no rule: {visible(requirement.absent or '')}" if said.must is None else flat(said.must)
    text = f"{lead}{what}."
    if said.applies is not None:
        text += f" It applies only if {flat(said.applies)}."
    for each in said.unless:
        text += f" It does not apply if {flat(each.when)}."
    return text[:1].upper() + text[1:]


def term_sentence(body: Node, procedure: str, edition: Edition) -> Prose:
    """What a term is, in a procedure's words."""
    return amount(body, names_of(edition, procedure))


def figure_sentence(figure: Figure, procedure: Procedure, edition: Edition) -> Prose:
    """What a figure that is shown before a test is."""
    return amount(figure.value, names_of(edition, procedure.id))


def _covered(require: Node, names: Names) -> Prose:
    """The rule of the engine: each covered field has a value that its term knows, since it knows no other."""
    parts = require.parts if isinstance(require, Both) else (require,)
    terms = [parts_of(part)[0] for part in parts]
    fields = [names.at(term.name.rpartition(" ")[2]) for term in terms if isinstance(term, Term)]
    if len(fields) == 1:
        return Prose(f"{fields[0]} is one that this edition covers")
    return Prose("each of these is one that this edition covers", tuple(Prose(field) for field in fields))
