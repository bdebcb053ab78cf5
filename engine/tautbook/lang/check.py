"""Surface tree -> kernel tree: names resolved, kinds and dimensions checked, sugar taken out.

An expression that passes here cannot meet a wrong kind when it is evaluated.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import assert_never, cast

from .check_amounts import amount, arithmetic, rounding
from .check_functions import function
from .kernel import (
    Band,
    Both,
    Compare,
    Constant,
    Either,
    Field,
    If,
    Lookup,
    Negate,
    Node,
    Not,
    Parameter,
    Relation,
    Table,
    Term,
)  # fmt: skip
from .kinds import (
    ChoiceKind,
    DateKind,
    GroupKind,
    Kind,
    ListKind,
    NumberKind,
    TextKind,
    YesNoKind,
    common,
    dimension_of,
    kind_of_value,
    named,
)  # fmt: skip
from .problem import Problem, did_you_mean, nearest
from .source import Span
from .surface import (
    Arithmetic,
    Call,
    Cell,
    Comparison,
    Conditional,
    Expression,
    Function,
    Given,
    Junction,
    Name,
    Negation,
    Negative,
    OneOf,
    Rounding,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Signature:
    """Of a term: its parameters, and the kind of its value."""

    parameters: tuple[tuple[str, Kind], ...]
    kind: Kind


@dataclass(frozen=True, slots=True)
class Scope:
    """What names mean. Looked up in this order: parameters, bound items, fields of the record, terms."""

    record: GroupKind
    terms: Mapping[str, Signature] = field(default_factory=dict, hash=False)
    tables: Mapping[str, Table] = field(default_factory=dict, hash=False)
    bound: Mapping[str, Kind] = field(default_factory=dict, hash=False)
    parameters: Mapping[str, Kind] = field(default_factory=dict, hash=False)
    instead: Mapping[str, str] = field(default_factory=dict, hash=False)
    """Fields that are read through a term (dotted path to the name of that term), say with aliases resolved."""


def check(expression: Expression, scope: Scope, wanted: str | None = None) -> tuple[Node | None, tuple[Problem, ...]]:
    """The kernel tree, or every problem. ``wanted`` "yes/no" asks for a condition."""
    checker = Checker(scope)
    node = checker.node(expression)
    if node is not None and wanted == "yes/no" and not isinstance(node.kind, YesNoKind):
        checker.add("kind", f"a condition is expected, this is {named(node.kind)}", expression.span)
    return (None, tuple(checker.problems)) if checker.problems else (node, ())


class Checker:
    """One check: the scope, and the problems found so far. A method gives None where it found a problem."""

    def __init__(self, scope: Scope) -> None:
        self.scope = scope
        self.problems: list[Problem] = []

    def within(self, scope: Scope) -> Checker:
        """A check in another scope, with its own problems."""
        return Checker(scope)

    def add(self, code: str, message: str, span: Span, help: str | None = None) -> None:
        self.problems.append(Problem(code, message, span, help))

    def node(self, e: Expression) -> Node | None:
        match e:
            case Given(value=value):
                return Constant(value, kind=kind_of_value(value), span=e.span)
            case Name():
                return self.value(e)
            case Call(name=name, arguments=arguments):
                return self.term(name, arguments, e.span)
            case Cell():
                return self.cell(e)
            case Negative(of=of):
                inner = amount(self, of, "-")
                return None if inner is None else Negate(inner, kind=inner.kind, span=e.span)
            case Arithmetic():
                return arithmetic(self, e)
            case Comparison():
                return self.comparison(e)
            case OneOf(of=of, options=options):
                parts = [self.compare(of, "=", option, option.span) for option in options]
                return self.junction("or", parts, e.span)
            case Negation(of=of):
                inner = self.condition(of, "not")
                return None if inner is None else Not(inner, kind=YesNoKind(), span=e.span)
            case Junction(word=word, parts=parts_):
                return self.junction(word, [self.condition(part, word) for part in parts_], e.span)
            case Conditional():
                return self.conditional(e)
            case Rounding():
                return rounding(self, e)
            case Function():
                return function(self, e)
            case _:
                assert_never(e)

    # names

    def value(self, name: Name) -> Node | None:
        node = self.name(name)
        if node is not None and isinstance(node.kind, GroupKind | ListKind):
            self.add("kind", f"`{'.'.join(name.path)}` is {named(node.kind)}, not a value", name.span)
            return None
        return node

    def name(self, name: Name) -> Node | None:
        first, rest = name.path[0], name.path[1:]
        dotted = ".".join(name.path)
        if not rest and first in self.scope.parameters:
            return Parameter(first, kind=self.scope.parameters[first], span=name.span)
        if first in self.scope.bound:
            return self.field(first, self.scope.bound[first], rest, name)
        if dotted in self.scope.instead:
            term = self.scope.instead[dotted]
            return Term(term, (), kind=self.scope.terms[term].kind, span=name.span)
        if first in self.scope.record.fields:
            return self.field(None, self.scope.record, name.path, name)
        if not rest and first in self.scope.terms:
            return self.term(first, (), name.span)
        if not rest and first in self.scope.tables:
            self.add("kind", f"`{first}` is a table", name.span, f"give its keys in square brackets, `{first}[...]`")
            return None
        known = [*self.scope.parameters, *self.scope.bound, *self.scope.record.fields, *self.scope.terms]
        for field_name, kind in self.scope.record.fields.items():
            if isinstance(kind, ListKind) and kind.singular == first:
                help = f"put `each: {field_name}` beside the rule, or ask of the list, as in `every({field_name}, ...)`"
                self.add("unknown-name", f"there is no `{first}` here, of the list `{field_name}`", name.span, help)
                return None
        self.unknown("name", first, known, name.span)
        return None

    def field(self, root: str | None, kind: Kind, path: tuple[str, ...], name: Name) -> Node | None:
        so_far = [] if root is None else [root]
        for part in path:
            if isinstance(kind, ListKind):
                self.add(
                    "kind", f"`{'.'.join(so_far)}` is a list", name.span,
                    f"say which of its items, as in `every({'.'.join(so_far)}, {kind.singular}.{part} ...)`",
                )  # fmt: skip
                return None
            if not isinstance(kind, GroupKind):
                self.add("unknown-name", f"`{'.'.join(so_far)}` has no parts", name.span)
                return None
            if part not in kind.fields:
                self.unknown(f"part of `{'.'.join(so_far)}`" if so_far else "name", part, kind.fields, name.span)
                return None
            kind = kind.fields[part]
            so_far.append(part)
        return Field(root, path, kind=kind, span=name.span)

    def unknown(self, what: str, word: str, known: Mapping[str, object] | list[str], span: Span) -> None:
        message = f"there is no {what} `{word}`" if what == "name" else f"no {what} is called `{word}`"
        help = "yes and no are written `yes` and `no`" if word in ("true", "false") else did_you_mean(word, known)
        self.add("unknown-name", message, span, help)

    def term(self, name: str, arguments: tuple[Expression, ...], span: Span) -> Node | None:
        signature = self.scope.terms.get(name)
        if signature is None:
            self.unknown("name", name, list(self.scope.terms), span)
            return None
        wanted = signature.parameters
        if len(arguments) != len(wanted):
            takes = f"{len(wanted)} argument{'s' if len(wanted) != 1 else ''}"
            self.add("arguments", f"`{name}` takes {takes}, {len(arguments)} given", span)
            return None
        nodes = [self.node(argument) for argument in arguments]
        for (parameter, kind), node, argument in zip(wanted, nodes, arguments, strict=True):
            if node is not None and not self.fits(node.kind, kind):
                self.mismatch(f"`{parameter}` of `{name}`", kind, node.kind, argument.span)
        if any(node is None for node in nodes):
            return None
        return Term(name, tuple(cast(Node, node) for node in nodes), kind=signature.kind, span=span)

    def fits(self, kind: Kind, wanted: Kind) -> bool:
        if isinstance(kind, NumberKind) and isinstance(wanted, NumberKind):
            return kind.whole or not wanted.whole
        return common(kind, wanted) is not None

    def mismatch(self, what: str, wanted: Kind, found: Kind, span: Span) -> None:
        both = dimension_of(wanted) is not None and dimension_of(found) is not None
        self.add("dimension" if both else "kind", f"{what} is {named(wanted)}, this is {named(found)}", span)

    def cell(self, e: Cell) -> Node | None:
        table = self.scope.tables.get(e.table)
        if table is None:
            help = did_you_mean(e.table, self.scope.tables)
            self.add("unknown-name", f"there is no table `{e.table}`", e.span, help)
            return None
        if len(e.keys) != len(table.axes):
            wanted = ", ".join(axis.name for axis in table.axes)
            self.add("arguments", f"table `{e.table}` is looked up by {wanted}; {len(e.keys)} given", e.span)
            return None
        keys: list[Node] = []
        for i, (key, axis) in enumerate(zip(e.keys, table.axes, strict=True)):
            node = self.node(key)
            if node is None:
                continue
            if not self.fits(node.kind, axis.kind) and not (
                isinstance(axis.kind, NumberKind) and isinstance(node.kind, NumberKind)
            ):
                self.mismatch(f"key `{axis.name}` of table `{e.table}`", axis.kind, node.kind, key.span)
                continue
            keys.append(node if axis.bands is None else Band(e.table, i, node, kind=TextKind(), span=key.span))
        if len(keys) < len(table.axes):
            return None
        return Lookup(e.table, tuple(keys), kind=table.kind, span=e.span)

    # conditions

    def condition(self, e: Expression, word: str) -> Node | None:
        node = self.node(e)
        if node is not None and not isinstance(node.kind, YesNoKind):
            self.add("kind", f"`{word}` takes conditions, this is {named(node.kind)}", e.span)
            return None
        return node

    def junction(self, word: str, parts: list[Node | None], span: Span) -> Node | None:
        if any(part is None for part in parts):
            return None
        nodes = tuple(cast(Node, part) for part in parts)
        if len(nodes) == 1:
            return nodes[0]
        make = Both if word == "and" else Either
        # A part of the same word is one level with it: `(a and b) and c` is `a and b and c`.
        flat = tuple(inner for node in nodes for inner in (node.parts if isinstance(node, make) else (node,)))
        return make(flat, kind=YesNoKind(), span=span)

    def comparison(self, e: Comparison) -> Node | None:
        relations = [relation for relation, _ in e.rest]
        if len(relations) > 1 and not any(set(relations) <= set(way) for way in (("<", "<="), (">", ">="))):
            self.add(
                "chain", f"a chain of comparisons runs in one direction, not `{' '.join(relations)}`", e.span,
                "split it with `and`",
            )  # fmt: skip
            return None
        operands = [e.first, *(operand for _, operand in e.rest)]
        parts = [
            self.compare(left, relation, right, left.span.to(right.span))
            for left, relation, right in zip(operands, relations, operands[1:], strict=False)
        ]
        return self.junction("and", parts, e.span)

    def compare(self, left: Expression, relation: Relation, right: Expression, span: Span) -> Node | None:
        a, b = self.node(left), self.node(right)
        if a is None or b is None:
            return None
        dimensions = dimension_of(a.kind), dimension_of(b.kind)
        if None not in dimensions:
            if dimensions[0] != dimensions[1]:
                self.add("dimension", f"{named(a.kind)} and {named(b.kind)} cannot be compared", span)
                return None
        elif common(a.kind, b.kind) is None:
            self.add("kind", f"{named(a.kind)} and {named(b.kind)} cannot be compared", span, _quoted(a, b))
            return None
        elif relation not in ("=", "!=") and not isinstance(a.kind, DateKind):
            self.add("kind", f"{named(a.kind)} has no order; only `=` and `!=` apply", span)
            return None
        if not self.possible(a, b, right.span) or not self.possible(b, a, left.span):
            return None
        return Compare(a, relation, b, kind=YesNoKind(), span=span)

    def possible(self, a: Node, b: Node, span: Span) -> bool:
        """A word compared with a choice must be one of its words."""
        if isinstance(a, Constant) or not isinstance(b, Constant) or not isinstance(b.value, str):
            return True
        options = a.kind.options if isinstance(a.kind, ChoiceKind) else None
        if options is None or b.value in options:
            return True
        close = nearest(b.value, options)
        help = f'did you mean "{close}"?' if close else "one of: " + ", ".join(options)
        self.add("unknown-choice", f'"{b.value}" is none of the choices here', span, help)
        return False

    def conditional(self, e: Conditional) -> Node | None:
        condition = self.condition(e.condition, "if")
        then, otherwise = self.node(e.then), self.node(e.otherwise)
        if condition is None or then is None or otherwise is None:
            return None
        kind = common(then.kind, otherwise.kind)
        if kind is None:
            both = dimension_of(then.kind) is not None and dimension_of(otherwise.kind) is not None
            self.add(
                "dimension" if both else "kind",
                f"the branches of `if` must be of one kind, not {named(then.kind)} and {named(otherwise.kind)}", e.span,
            )  # fmt: skip
            return None
        return If(condition, then, otherwise, kind=kind, span=e.span)


__all__ = ["Scope", "Signature", "check", "common", "dimension_of", "kind_of_value", "named"]


def _quoted(a: Node, b: Node) -> str | None:
    """What to write where a word was given as a number, or a yes or no as a word."""
    for word, other in ((a, b), (b, a)):
        wordy = isinstance(word.kind, ChoiceKind | TextKind)
        figure = isinstance(other, Constant) and isinstance(other.kind, NumberKind)
        if wordy and figure and other.span is not None and not isinstance(word, Constant):
            return f'write the word in double quotes, `"{other.span.text}"`'
        if isinstance(word.kind, ChoiceKind) and isinstance(other.kind, YesNoKind):
            return "what is yes or no is a rule by itself; `not` before it asks for no"
    return None
