"""Named formulas: what each may refer to, in which order they are checked, and how far they may reach."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass, replace

from ..lang.check import Scope, Signature, check
from ..lang.kernel import Definition
from ..lang.kinds import Kind
from ..lang.limits import LIMITS
from ..lang.problem import Problem
from ..lang.source import Span
from ..lang.surface import Call, Cell, Expression, Name, parts_of
from ..lang.work import Size, size


@dataclass(frozen=True, slots=True)
class Formula:
    """A term as written: not yet checked, since only a procedure knows what its names mean."""

    name: str
    parameters: tuple[tuple[str, Kind], ...]
    expression: Expression
    span: Span


@dataclass(frozen=True, slots=True)
class Checked:
    """The terms that could be checked, the sizes of these and of the covered fields, and the names of the others."""

    definitions: Mapping[str, Definition]
    signatures: Mapping[str, Signature]
    sizes: Mapping[str, Size]
    faulty: frozenset[str]


def called(expression: Expression, formulas: Mapping[str, Formula], own: Iterable[str] = ()) -> tuple[str, ...]:
    """The formulas that an expression names, each once; a parameter hides a formula of its name."""
    hidden = set(own)
    found: dict[str, None] = {}
    stack = [expression]
    while stack:
        e = stack.pop()
        match e:
            case Name(path=(name,)) | Call(name=name) if name in formulas and name not in hidden:
                found[name] = None
        stack += reversed(parts_of(e))
    return tuple(found)


def names(expression: Expression, tables: Set[str], terms: Set[str]) -> bool:
    """Whether the expression names one of these tables or terms."""
    stack = [expression]
    while stack:
        e = stack.pop()
        match e:
            case Cell(table=name) if name in tables:
                return True
            case Name(path=(name,)) | Call(name=name) if name in terms:
                return True
        stack += parts_of(e)
    return False


def reached(names: Iterable[str], formulas: Mapping[str, Formula]) -> frozenset[str]:
    """Those formulas and all that they call, and so on."""
    found: set[str] = set()
    stack = list(names)
    while stack:
        name = stack.pop()
        if name not in found:
            found.add(name)
            stack += callees(formulas[name], formulas)
    return frozenset(found)


def callees(formula: Formula, formulas: Mapping[str, Formula]) -> tuple[str, ...]:
    return called(formula.expression, formulas, (name for name, _ in formula.parameters))


def in_order_of_need(formulas: Mapping[str, Formula]) -> tuple[tuple[str, ...], list[Problem]]:
    """Names so that each stands after all that it calls; those in a ring are left out, with one problem a ring."""
    order: list[str] = []
    state: dict[str, str] = {}
    problems: list[Problem] = []
    for start in formulas:
        path: list[str] = []
        stack = [(start, False)]
        while stack:
            name, left = stack.pop()
            if left:
                path.pop()
                if state[name] == "open":
                    state[name] = "done"
                    order.append(name)
            elif state.get(name) == "open" and name in path:
                ring = path[path.index(name) :]
                for each in ring:
                    state[each] = "ring"
                message = f"a formula cannot rest on itself: {' -> '.join([*ring, name])}"
                help = "write one of them without the others"
                problems.append(Problem("term-ring", message, formulas[name].span, help))
            elif name not in state:
                state[name] = "open"
                path.append(name)
                stack.append((name, True))
                stack += [(each, False) for each in reversed(callees(formulas[name], formulas))]
    return tuple(order), problems


def check_terms(formulas: Mapping[str, Formula], order: Iterable[str], scope: Scope) -> tuple[Checked, list[Problem]]:
    """The formulas of ``order`` in ``scope``, whose own terms they may call as well.

    A formula that calls a faulty one is passed over: its fault is the other's.
    """
    definitions: dict[str, Definition] = {}
    signatures = dict(scope.terms)
    # The terms of the scope itself read one field each.
    sizes = dict.fromkeys(scope.terms, Size(depth=4, steps=20))
    problems: list[Problem] = []
    faulty = set(formulas)
    for name in order:
        formula = formulas[name]
        if any(each in faulty for each in callees(formula, formulas)):
            continue
        inside = replace(scope, terms=signatures, parameters=dict(formula.parameters))
        body, found = check(formula.expression, inside)
        problems += found
        if body is None:
            continue
        sizes[name] = size(body, sizes, lambda _: 1)
        far = too_far(name, sizes[name], formula.span)
        if far is not None:
            problems.append(far)
            continue
        faulty.discard(name)
        definitions[name] = Definition(name, formula.parameters, body)
        signatures[name] = Signature(formula.parameters, body.kind)
    return Checked(definitions, signatures, sizes, frozenset(faulty)), problems


def too_far(name: str, of: Size, span: Span) -> Problem | None:
    """What is wrong if a formula, with all that it calls, is too deep or too much work."""
    if of.depth > LIMITS.terms_depth:
        message = f"`{name}` and the formulas that it calls stand more than {LIMITS.terms_depth} deep"
        return Problem("terms-deep", message, span, "write some of them out, or take steps out")
    if of.steps > LIMITS.terms_steps:
        message = f"`{name}` and the formulas that it calls take more than {LIMITS.terms_steps} steps"
        return Problem("terms-steps", message, span, "call a formula once and use its result")
    return None
