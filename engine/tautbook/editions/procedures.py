"""One procedure of an edition: its requirements and figures, checked against the vocabulary of its records."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import cast

from ..lang.calendar import MonthPolicy
from ..lang.check import Scope, Signature, check
from ..lang.kernel import Both, Compare, Definition, Field, Node, Over, Rules, Table, Term, parts_of
from ..lang.kinds import GroupKind, Kind, ListKind, YesNoKind
from ..lang.limits import LIMITS
from ..lang.printing import print_expression
from ..lang.problem import Problem, did_you_mean
from ..lang.quantity import Quantity
from ..lang.values import Plain
from ..lang.work import size
from ..shape.shaped import ShapedMap, ShapedValue, as_map, items_at, map_at, scalar_at, text_at
from ..shape.vocabulary import Vocabulary, record_kind
from .covers import Cover, field_kind, read_covers
from .edition import Figure, NamedException, Procedure, Requirement, RequirementKind, Voids
from .terms import Checked, Formula, called, check_terms, reached, too_far
from .written import Written

COVERED = "covered"
"""Name of the requirement that the engine makes: that the edition speaks of what was tested at all."""


@dataclass(frozen=True, slots=True)
class Ground:
    """What the rules of one procedure stand on: names with their kinds, and the covered fields."""

    scope: Scope
    covers: tuple[Cover, ...]
    formulas: Mapping[str, Formula]
    order: tuple[str, ...]

    def terms(self, names: Iterable[str]) -> tuple[Checked, list[Problem]]:
        """Those formulas and all that they call, checked in the order of need."""
        mine = reached(names, self.formulas)
        formulas = {name: formula for name, formula in self.formulas.items() if name in mine}
        return check_terms(formulas, [name for name in self.order if name in mine], self.scope)

    def rules(self, terms: Checked, months: MonthPolicy) -> Rules:
        """What expressions refer to by name: these terms and the covered fields, and all tables."""
        covers = {cover.name: Definition(cover.name, (), cover.body) for cover in self.covers}
        tables = {**self.scope.tables, **{cover.name: cover.table for cover in self.covers}}
        return Rules({**covers, **terms.definitions}, tables, months)


def ground(
    written: Written, words: Vocabulary, own: GroupKind | None, tables: Mapping[str, Table],
    formulas: Mapping[str, Formula], order: tuple[str, ...],
) -> Ground:  # fmt: skip
    """The ground of the procedure of ``words``, with the authority's ``own`` observations under ``local``."""
    judged = frozenset(map_at(written.shaped, "procedures"))
    record = record_kind(words.procedure, judged)
    if own is not None:
        record = GroupKind({**record.fields, "local": own})
    bare = Scope(record, tables=tables)
    found, problems = read_covers(as_map(written.shaped.entries["covers"]), bare, written.expressions)
    written.problems += problems
    signatures = {cover.name: Signature((), cover.kind) for cover in found}
    instead = {cover.path: cover.name for cover in found}
    return Ground(replace(bare, terms=signatures, instead=instead), found, formulas, order)


def read_procedure(
    id: str, node: ShapedMap, written: Written, words: Vocabulary, on: Ground, months: MonthPolicy
) -> Procedure:
    """The procedure. What is wrong with it comes to stand among the problems of ``written``."""
    terms, problems = on.terms(name for rule in written.rules_in(node) for name in called(rule, on.formulas))
    written.problems += problems
    rules = on.rules(terms, months)
    reading = _Reading(written, replace(on.scope, terms=terms.signatures), terms, rules, on)
    requirements = reading.requirements(node)
    figures = tuple(
        figure for key, below in map_at(node, "figures").items() if (figure := reading.figure(key, as_map(below)))
    )
    title = text_at(node, "title") or words.title
    return Procedure(id, title, reading.asks(node), requirements, figures, rules, on.scope.record)


@dataclass(frozen=True, slots=True)
class _Reading:
    """One procedure being read: where problems go, and what names mean."""

    written: Written
    scope: Scope
    terms: Checked
    rules: Rules
    on: Ground

    def requirements(self, node: ShapedMap) -> tuple[Requirement, ...]:
        nodes = map_at(node, "requirements")
        if len(nodes) > LIMITS.requirements:
            message = f"a procedure has at most {LIMITS.requirements} requirements, this has {len(nodes)}"
            self.written.add("requirements-many", message, node.keys["requirements"])
            return ()
        found = [self.covered()] if self.on.covers else []
        for id, below in nodes.items():
            requirement = self.requirement(id, as_map(below))
            if id == COVERED:
                help = "give it another name"
                message = f"`{COVERED}` is the requirement that every edition has by its `covers`"
                owner = node.entries["requirements"]
                self.written.add("name-taken", message, as_map(owner).keys[id], help)
            elif requirement is not None:
                found.append(requirement)
        return tuple(found)

    def rule(self, node: ShapedMap, key: str, scope: Scope, wanted: str | None = "yes/no") -> Node | None:
        """The checked rule under ``key``; None if none stands there or something is wrong, which is then noted."""
        value = scalar_at(node, key)
        expression = self.written.rule(node, key)
        if value is None or expression is None:
            return None
        if any(name in self.terms.faulty for name in called(expression, self.on.formulas)):
            return None
        found, problems = check(expression, scope, wanted)
        self.written.problems += problems
        far = None if found is None else too_far(key, size(found, self.terms.sizes, lambda _: 1), value.span)
        if far is not None:
            self.written.problems.append(far)
        return found

    def covered(self) -> Requirement:
        """Yes where every covered field is one of its values; *no rule* where one is not; else missing.

        It voids passes: a test that the edition does not speak of never passes.
        """
        parts: list[Node] = []
        for cover in self.on.covers:
            term = Term(cover.name, (), kind=cover.kind, span=cover.span)
            parts.append(Compare(term, "=", term, kind=YesNoKind(), span=cover.span))
        require = parts[0] if len(parts) == 1 else Both(tuple(parts), kind=YesNoKind())
        paths = ", ".join(cover.path for cover in self.on.covers)
        covers = self.written.shaped.entries["covers"]
        return Requirement(
            COVERED, "what was tested is something that this edition covers", self.written.origin(as_map(covers)),
            "setup", require, f"covered values of {paths}", voids="passes", covers=True,
            otherwise="These rules do not speak of this. Hold the lot and ask the Engineer.",
        )  # fmt: skip

    def requirement(self, id: str, node: ShapedMap) -> Requirement | None:
        kind = cast("RequirementKind", text_at(node, "kind"))
        scope, each, singular = self.scope, text_at(node, "each"), None
        if each is not None:
            listed = self.listed(each, node)
            if listed is None:
                return None
            singular = listed.singular
            scope = replace(scope, bound={singular: listed.item})
        require = self.rule(node, "require", scope)
        applies = self.rule(node, "applies", scope)
        unless = tuple(
            NamedException(key, text_at(as_map(below), "title") or "", when, text_at(as_map(below), "clause"))
            for key, below in map_at(node, "unless").items()
            if (when := self.rule(as_map(below), "when", scope)) is not None
        )
        absent = text_at(node, "absent")
        if require is None and absent is None:
            return None
        expression = self.written.rule(node, "require")
        voids = cast("Voids", text_at(node, "voids") or "both") if kind == "setup" else None
        return Requirement(
            id=id, title=text_at(node, "title") or "", origin=self.written.origin(node), kind=kind, require=require,
            says="" if expression is None else print_expression(expression), absent=absent, voids=voids, each=each,
            singular=singular, applies=applies, unless=unless, otherwise=text_at(node, "otherwise"),
            note=text_at(node, "note"), reading=_reading_note(node), watch=text_at(node, "watch"),
            over=_lists(require, self.rules) if each is None and require is not None else frozenset(),
            waivable_by=tuple(role.written for role in items_at(node, "waivable_by") if isinstance(role, ShapedValue)),
        )  # fmt: skip

    def listed(self, path: str, node: ShapedMap) -> ListKind | None:
        kind = self.list_kind(path)
        if kind is None:
            help = self.lists_like(path)
            value = scalar_at(node, "each")
            assert value is not None
            self.written.add("unknown-list", f"`{path}` is not a list of this record", value, help)
        return kind

    def lists_like(self, path: str) -> str | None:
        lists = [name for name, kind in self.scope.record.fields.items() if isinstance(kind, ListKind)]
        return did_you_mean(path, lists, f"the lists are: {', '.join(lists)}")

    def list_kind(self, path: str) -> ListKind | None:
        kind: Kind | None = field_kind(self.scope.record, path)
        return kind if isinstance(kind, ListKind) else None

    def figure(self, id: str, node: ShapedMap) -> Figure | None:
        value = self.rule(node, "is", self.scope, None)
        if value is None:
            return None
        return Figure(id, text_at(node, "title") or "", value, self.written.origin(node), text_at(node, "note"))

    def asks(self, node: ShapedMap) -> dict[str, int]:
        found = {}
        for path, below in map_at(node, "asks").items():
            assert isinstance(below, ShapedValue)
            if self.list_kind(path) is None or "." in path:
                key = as_map(node.entries["asks"]).keys[path]
                help = self.lists_like(path)
                self.written.add("unknown-list", f"`{path}` is not a list of this record", key, help)
            found[path] = _count(below.value)
        return found


def _lists(require: Node, rules: Rules) -> frozenset[str]:
    """The lists of the record that a rule speaks of, through its terms as well."""
    found: set[str] = set()
    # Each node once: the branches of `largest(a, b)` are the nodes that its condition compares.
    seen: set[int] = set()
    stack: list[Node] = [require]
    while stack:
        node = stack.pop()
        if id(node) in seen:
            continue
        seen.add(id(node))
        match node:
            case Over(of=Field(root=None, path=path, kind=ListKind())):
                found.add(".".join(path))
            case Term(name=name):
                stack.append(rules.terms[name].body)
        stack += parts_of(node)
    return frozenset(found)


def _count(value: Plain) -> int:
    assert isinstance(value, Quantity)
    return value.value.numerator


def _reading_note(node: ShapedMap) -> dict[str, str]:
    return {key: below.written for key, below in map_at(node, "reading").items() if isinstance(below, ShapedValue)}
