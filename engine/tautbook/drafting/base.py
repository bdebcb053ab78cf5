"""The edition that is to be amended: read, and whole as a tree."""

from __future__ import annotations

from ..editions.amend import whole
from ..editions.edition import Edition
from ..editions.read import read_edition
from ..editions.shelf import Shelf
from ..lang.problem import Problem
from ..lang.reading import form_of, read_tree
from ..lang.tree import Mapping

Base = tuple[Edition, Mapping]


def base_of(
    name: str, new: str, shelf: Shelf
) -> tuple[Base | None, tuple[Problem, ...], tuple[Problem, ...]]:
    """The edition called ``name``, or in the file of that name, which ``new`` is to amend; what its author should know
    of it; and why it cannot be amended."""
    edition, problems = shelf.find(name)
    if edition is None:
        return None, (), problems
    if edition.name == new:
        help = "give the new edition another name than the one that it amends"
        return None, (), (Problem("edition-there", f"{new} exists already", file=edition.file, help=help),)
    near = shelf.around(name)
    # The new edition will stand where it is put, and not beside the file: only the shelf has it there.
    data, shown, problems = shelf.bytes_of(edition.name)
    known = None if data is None else read_edition(data, shown, near.bytes_of)[0]
    if known is not None and known.digest != edition.digest:
        message = f"{edition.name} is something else in {shown}, and an edition is amended by its name"
        help = "give one of them another name, or leave its folder of rulesets out"
        return None, (), (Problem("edition-twice", message, file=edition.file, help=help),)
    source = edition.span.source
    tree, _ = read_tree(source, form_of(edition.file, source.text))
    assert tree is not None, "an edition that was read"
    found, _ = whole(tree, edition.file, near.bytes_of)
    assert found is not None and isinstance(found.tree, Mapping)
    return (edition, found.tree), () if data is not None else (_elsewhere(edition),), ()


def _elsewhere(edition: Edition) -> Problem:
    message = f"{edition.name} is in no folder of rulesets, where an amendment of it is looked for"
    place = f"put it into a folder `{edition.ruleset}`, as `{edition.edition}.yaml`"
    help = f"{place}, and name the folder above with --rulesets"
    return Problem("amends-elsewhere", message, file=edition.file, help=help)
