"""Which fields the rules of a procedure read, and for what kind of requirement."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..editions.edition import Procedure, Requirement
from ..editions.enacted import read_by, read_by_term
from ..lang.kernel import Node, Term, parts_of


def fields_read(procedure: Procedure, ruleset: str) -> dict[str, frozenset[str]]:
    """By path of a field, lists without numbers: the kinds of requirement that read it, through terms as well."""
    found: dict[str, set[str]] = {}
    for requirement in procedure.requirements:
        for path in _paths(requirement, procedure):
            found.setdefault(on_record(path, ruleset), set()).add(requirement.kind)
    for figure in procedure.figures:
        for name in _terms([figure.value], procedure):
            for path in read_by_term(name, procedure):
                found.setdefault(on_record(path, ruleset), set())
    return {path: frozenset(kinds) for path, kinds in found.items()}


def on_record(path: Iterable[str], ruleset: str) -> str:
    """Where a field that rules read stands in a record: an authority's own under its name, and of another record
    that this one rests on, where that one is named."""
    first, *rest = path
    if first == "local":
        return ".".join(["local", ruleset, *rest])
    return ".".join([first, *(rest[:1] if first == "evidence" else rest)])


def _paths(requirement: Requirement, procedure: Procedure) -> Iterator[tuple[str, ...]]:
    yield from read_by(requirement)
    rules = [requirement.require, requirement.applies, *(each.when for each in requirement.unless)]
    for name in _terms([rule for rule in rules if rule is not None], procedure):
        yield from read_by_term(name, procedure)


def _terms(nodes: Iterable[Node], procedure: Procedure) -> Iterator[str]:
    """The terms that rules call, and those that these call, each once."""
    done: set[str] = set()
    stack = list(nodes)
    while stack:
        node = stack.pop()
        stack += parts_of(node)
        if isinstance(node, Term) and node.name not in done:
            done.add(node.name)
            yield node.name
            stack.append(procedure.rules.terms[node.name].body)
