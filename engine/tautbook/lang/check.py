"""Surface tree -> kernel tree: names resolved, kinds and dimensions checked, sugar taken out.

An expression that passes here cannot meet a wrong kind when it is evaluated.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal, assert_never, cast

from .calendar import CalendarSpan
from .kernel import (
    Absolute,
    Add,
    Band,
    Both,
    Compare,
    Constant,
    DaysBetween,
    Divide,
    Either,
    Field,
    If,
    Interpolate,
    Lookup,
    Multiply,
    Negate,
    Node,
    Not,
    Over,
    Parameter,
    Recorded,
    Relation,
    Round,
    Shift,
    Table,
    Term,
)  # fmt: skip
from .kinds import (
    CalendarSpanKind,
    ChoiceKind,
    DateKind,
    GroupKind,
    Kind,
    ListKind,
    NumberKind,
    QuantityKind,
    TextKind,
    YesNoKind,
)  # fmt: skip
from .problem import Problem, did_you_mean, nearest
from .quantity import DIMENSIONLESS, TEMPERATURE, Dimension, Quantity
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
from .values import Plain

_Over = Literal["count", "every", "some", "smallest", "largest", "sum", "mean"]


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
    checker = _Check(scope)
    node = checker.node(expression)
    if node is not None and wanted == "yes/no" and not isinstance(node.kind, YesNoKind):
        checker.add("kind", f"a condition is expected, this is {named(node.kind)}", expression.span)
    return (None, tuple(checker.problems)) if checker.problems else (node, ())


def kind_of_value(value: Plain) -> Kind:
    match value:
        case bool():
            return YesNoKind()
        case Quantity():
            if value.dimension == DIMENSIONLESS:
                return NumberKind(whole=value.value.denominator == 1)
            return QuantityKind(value.dimension)
        case CalendarSpan():
            return CalendarSpanKind()
        case datetime.date():
            return DateKind()
        case str():
            return ChoiceKind((value,))
        case _:
            assert_never(value)


def named(kind: Kind) -> str:
    """The kind in plain words."""
    match kind:
        case NumberKind(whole=whole):
            return "a whole number" if whole else "a number"
        case QuantityKind(dimension=dimension):
            return f"{'an' if dimension.name[0] in 'aeiou' else 'a'} {dimension.name}"
        case ChoiceKind():
            return "a choice"
        case TextKind():
            return "a text"
        case YesNoKind():
            return "yes or no"
        case DateKind():
            return "a date"
        case CalendarSpanKind():
            return "a calendar span"
        case GroupKind():
            return "a group of fields"
        case ListKind():
            return "a list"
        case _:
            assert_never(kind)


def dimension_of(kind: Kind) -> Dimension | None:
    """The dimension of a number or quantity; None for any other kind."""
    match kind:
        case NumberKind():
            return DIMENSIONLESS
        case QuantityKind(dimension=dimension):
            return dimension
        case _:
            return None


def common(a: Kind, b: Kind) -> Kind | None:
    """The kind that both are of, if there is one."""
    match a, b:
        case NumberKind(), NumberKind():
            return NumberKind(a.whole and b.whole)
        case ChoiceKind(), ChoiceKind():
            if a.options is None or b.options is None:
                return ChoiceKind(None)
            return ChoiceKind(tuple(sorted({*a.options, *b.options})))
        case (ChoiceKind(), TextKind()) | (TextKind(), ChoiceKind()):
            return TextKind()
        case _:
            return a if a == b else None


def _of_dimension(dimension: Dimension, whole: bool = False) -> Kind:
    return NumberKind(whole) if dimension == DIMENSIONLESS else QuantityKind(dimension)


class _Check:
    """One check: the scope, and the problems found so far. A method gives None where it found a problem."""

    def __init__(self, scope: Scope) -> None:
        self.scope = scope
        self.problems: list[Problem] = []

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
                inner = self.amount(of, "-")
                return None if inner is None else Negate(inner, kind=inner.kind, span=e.span)
            case Arithmetic():
                return self.arithmetic(e)
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
                return self.rounding(e)
            case Function():
                return self.function(e)
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
        self.add("unknown-name", message, span, did_you_mean(word, known))

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
            self.add("kind", f"{named(a.kind)} and {named(b.kind)} cannot be compared", span)
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

    # numbers

    def amount(self, e: Expression, word: str) -> Node | None:
        """A number or quantity that can be reckoned with."""
        return self.reckonable(self.node(e), e.span, word)

    def reckonable(self, node: Node | None, span: Span, word: str) -> Node | None:
        """The node if it can be reckoned with: not a temperature, which has no natural zero here."""
        if node is None:
            return None
        dimension = dimension_of(node.kind)
        if dimension is None:
            self.add("kind", f"`{word}` takes numbers and quantities, this is {named(node.kind)}", span)
            return None
        if dimension == TEMPERATURE:
            self.add("kind", f"`{word}` does not take temperatures; they can only be compared", span)
            return None
        return node

    def arithmetic(self, e: Arithmetic) -> Node | None:
        # Each side is checked once, whatever comes of it: twice at every level would double the work at every level.
        first, second = self.node(e.left), self.node(e.right)
        dated = DateKind | CalendarSpanKind
        if e.sign in "+-" and any(side is not None and isinstance(side.kind, dated) for side in (first, second)):
            return self.dates(e, first, second)
        left = self.reckonable(first, e.left.span, e.sign)
        right = self.reckonable(second, e.right.span, e.sign)
        if left is None or right is None:
            return None
        a, b = dimension_of(left.kind), dimension_of(right.kind)
        assert a is not None and b is not None
        whole = all(isinstance(side.kind, NumberKind) and side.kind.whole for side in (left, right))
        if e.sign in "+-":
            if a != b:
                verb = "added to" if e.sign == "+" else "taken from"
                self.add("dimension", f"{named(right.kind)} cannot be {verb} {named(left.kind)}", e.span)
                return None
            addend = right if e.sign == "+" else Negate(right, kind=right.kind, span=e.right.span)
            return Add(left, addend, kind=_of_dimension(a, whole), span=e.span)
        if e.sign == "*":
            return Multiply(left, right, kind=_of_dimension(a * b, whole), span=e.span)
        return Divide(left, right, kind=_of_dimension(a / b), span=e.span)

    def dates(self, e: Arithmetic, a: Node | None, b: Node | None) -> Node | None:
        """Arithmetic in which a side is a date or a calendar span."""
        if a is None or b is None:
            return None
        match a.kind, e.sign, b.kind:
            case DateKind(), "+", CalendarSpanKind():
                return Shift(a, b, kind=DateKind(), span=e.span)
            case DateKind(), "-", DateKind():
                return DaysBetween(a, b, kind=NumberKind(whole=True), span=e.span)
        message = f"`{e.sign}` does not take {named(a.kind)} and {named(b.kind)}"
        self.add("kind", message, e.span, "a date takes `date + span` and `date - date`")
        return None

    def rounding(self, e: Rounding) -> Node | None:
        of, step = self.amount(e.of, e.way), self.amount(e.step, e.way)
        if e.way == "nearest" and e.ties is None:
            self.add(
                "tie-rule", "`nearest` must say what happens halfway", e.span,
                "write `nearest(..., ties up)` or `nearest(..., ties even)`",
            )  # fmt: skip
            return None
        if e.way != "nearest" and e.ties is not None:
            self.add("tie-rule", f"`{e.way}` never meets a tie", e.span, "leave the tie rule out")
            return None
        if of is None or step is None:
            return None
        if not isinstance(step, Constant) or not isinstance(step.value, Quantity) or step.value.value <= 0:
            self.add("arguments", f"`{e.way}` rounds to a figure greater than 0 written here", e.step.span)
            return None
        if dimension_of(of.kind) != dimension_of(step.kind):
            self.add("dimension", f"{named(of.kind)} cannot be rounded to {named(step.kind)}", e.span)
            return None
        whole = isinstance(of.kind, NumberKind) and step.value.value.denominator == 1
        kind = NumberKind(whole) if isinstance(of.kind, NumberKind) else of.kind
        return Round(e.way, of, step.value, e.ties, kind=kind, span=e.span)

    # functions

    def function(self, e: Function) -> Node | None:
        count = 1 if e.name in {"abs", "recorded"} else 2
        if len(e.arguments) != count:
            self.add(
                "arguments", f"`{e.name}` takes {count} argument{'s' * (count > 1)}, {len(e.arguments)} given", e.span
            )
            return None
        if e.name == "abs":
            of = self.amount(e.arguments[0], "abs")
            return None if of is None else Absolute(of, kind=of.kind, span=e.span)
        if e.name == "recorded":
            return self.recorded(e)
        listed = self.listed(e.arguments[0])
        if e.name == "interpolate":
            return self.interpolate(e, listed)
        if listed is not None:
            return self.over(e, listed)
        if e.name in {"smallest", "largest"}:
            return self.pick(e)
        if self.node(e.arguments[0]) is not None:
            self.add("kind", f"`{e.name}` takes a list first", e.arguments[0].span)
        return None

    def listed(self, e: Expression) -> Field | None:
        """The list that a name stands for; None (and no problem) for anything else."""
        if not isinstance(e, Name):
            return None
        node = _Check(self.scope).name(e)
        return node if isinstance(node, Field) and isinstance(node.kind, ListKind) else None

    def recorded(self, e: Function) -> Node | None:
        of = e.arguments[0]
        node = _Check(replace(self.scope, instead={})).name(of) if isinstance(of, Name) else None
        if not isinstance(node, Field):
            if isinstance(of, Name) and self.name(of) is None:
                return None
            self.add("kind", "`recorded` takes a field of the record", of.span)
            return None
        return Recorded(node, kind=YesNoKind(), span=e.span)

    def interpolate(self, e: Function, listed: Field | None) -> Node | None:
        kind = listed.kind if listed is not None else None
        if (
            listed is None
            or not isinstance(kind, ListKind)
            or kind.points is None
            or not isinstance(kind.item, GroupKind)
        ):
            if not isinstance(e.arguments[0], Name) or self.name(e.arguments[0]) is not None:
                self.add("kind", "`interpolate` takes a list of points first", e.arguments[0].span)
            return None
        at = self.amount(e.arguments[1], "interpolate")
        if at is None:
            return None
        where, value = kind.points
        if dimension_of(at.kind) != dimension_of(kind.item.fields[where]):
            self.add("dimension", f"the points stand at {named(kind.item.fields[where])}, this is {named(at.kind)}",
                     e.arguments[1].span)  # fmt: skip
            return None
        return Interpolate(listed, where, value, at, kind=kind.item.fields[value], span=e.span)

    def over(self, e: Function, listed: Field) -> Node | None:
        kind = listed.kind
        assert isinstance(kind, ListKind)
        inner = _Check(replace(self.scope, bound={**self.scope.bound, kind.singular: kind.item}))
        if e.name in {"count", "every", "some"}:
            body = inner.condition(e.arguments[1], e.name)
            result: Kind = NumberKind(whole=True) if e.name == "count" else YesNoKind()
        else:
            plain = e.name in {"smallest", "largest"}
            body = inner.node(e.arguments[1]) if plain else inner.amount(e.arguments[1], e.name)
            if body is not None and dimension_of(body.kind) is None:
                inner.add(
                    "kind", f"`{e.name}` takes numbers and quantities, this is {named(body.kind)}", e.arguments[1].span
                )
                body = None
            result = NumberKind() if body is None else body.kind
            if e.name == "mean" and isinstance(result, NumberKind):
                result = NumberKind()
        self.problems += inner.problems
        if body is None:
            return None
        return Over(cast(_Over, e.name), listed, kind.singular, body, kind=result, span=e.span)

    def pick(self, e: Function) -> Node | None:
        """``largest(a, b)`` is ``if a >= b then a else b``."""
        a, b = self.node(e.arguments[0]), self.node(e.arguments[1])
        if a is None or b is None:
            return None
        dimensions = dimension_of(a.kind), dimension_of(b.kind)
        if None in dimensions:
            wrong, at = (a, e.arguments[0]) if dimensions[0] is None else (b, e.arguments[1])
            self.add(
                "kind",
                f"`{e.name}` takes a list first, or two numbers or quantities; this is {named(wrong.kind)}",
                at.span,
            )
            return None
        kind = common(a.kind, b.kind)
        if kind is None:
            self.add("dimension", f"{named(a.kind)} and {named(b.kind)} cannot be compared", e.span)
            return None
        relation: Relation = ">=" if e.name == "largest" else "<="
        return If(Compare(a, relation, b, kind=YesNoKind(), span=e.span), a, b, kind=kind, span=e.span)


__all__ = ["Scope", "Signature", "check", "common", "dimension_of", "kind_of_value", "named"]
