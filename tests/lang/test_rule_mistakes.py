"""What is wrong with a rule, said to the person who wrote it: what is underlined, the message, the way out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from conformance.engine import fixed
from tautbook.lang.check import Scope, check
from tautbook.lang.kernel import Node
from tautbook.lang.kinds import ChoiceKind, GroupKind, ListKind
from tautbook.lang.limits import Limits
from tautbook.lang.parse import parse, parse_text
from tautbook.lang.problem import Problem, in_order, show
from tautbook.lang.reading import read_tree
from tautbook.lang.source import Source
from tautbook.lang.tree import Mapping, Scalar

SCOPE = fixed()[0]


def read(text: str, scope: Scope = SCOPE, wanted: str | None = None) -> tuple[Node | None, tuple[Problem, ...]]:
    expression, problems = parse_text(text)
    return (None, problems) if expression is None else check(expression, scope, wanted)


def told(problems: tuple[Problem, ...]) -> list[tuple[str, str, str, str | None]]:
    """Of each problem: its code, what is underlined, what is wrong, what to do."""
    return [(p.code, p.span.text, p.message, p.help) for p in problems if p.span is not None]


# The rule, what is underlined, the code, the message, the help.
NAMES = [
    ("forse_a > 3 kip", "forse_a", "unknown-name", "there is no name `forse_a`", "did you mean `force_a`?"),
    ("bolt.grad = \"A325\"", "bolt.grad", "unknown-name", "no part of `bolt` is called `grad`",
     "did you mean `grade`?"),
    ("bolt.maker = \"x\"", "bolt.maker", "unknown-name", "no part of `bolt` is called `maker`", None),
    ("head_held = true", "true", "unknown-name", "there is no name `true`", "yes and no are written `yes` and `no`"),
    ("bolt.not = 3", "bolt.not", "unknown-name", "no part of `bolt` is called `not`", None),
    ("bolt.grade.maker = \"x\"", "bolt.grade.maker", "unknown-name", "`bolt.grade` has no parts", None),
    ("bolt = 3", "bolt", "kind", "`bolt` is a group of fields, not a value", None),
    ("items = 3", "items", "kind", "`items` is a list, not a value", None),
    ("items.force >= 3 kip", "items.force", "kind", "`items` is a list",
     "say which of its items, as in `every(items, item.force ...)`"),
    ("minimum = 3 kip", "minimum", "kind", "`minimum` is a table",
     "give its keys in square brackets, `minimum[...]`"),
    ("minimun[bolt.grade, bolt.diameter] = 3 kip", "minimun[bolt.grade, bolt.diameter]", "unknown-name",
     "there is no table `minimun`", "did you mean `minimum`?"),
    ("hardness[bolt.grade] = 3", "hardness[bolt.grade]", "unknown-name", "there is no table `hardness`", None),
    ("neded(3) = 3 kip", "neded(3)", "unknown-name", "there is no name `neded`", "did you mean `needed`?"),
    ("over(forse_a, 3)", "forse_a", "unknown-name", "there is no name `forse_a`", "did you mean `force_a`?"),
]  # fmt: skip

FIT = [
    ("over(force_a)", "over(force_a)", "arguments", "`over` takes 2 arguments, 1 given", None),
    ("enough()", ")", "syntax", "`)` is not expected here", "expected here: a name or a figure"),
    ("either(1, 2)", "either(1, 2)", "arguments", "`either` takes 1 argument, 2 given", None),
    ("over(3 kip, 3 kip)", "3 kip", "dimension", "`share` of `over` is a number, this is a force", None),
    ("over(yes, 3)", "yes", "kind", "`load` of `over` is a force, this is yes or no", None),
    ("minimum[bolt.grade]", "minimum[bolt.grade]", "arguments",
     "table `minimum` is looked up by bolt.grade, bolt.diameter; 1 given", None),
    ("minimum[bolt.grade, force_a]", "force_a", "dimension",
     "key `bolt.diameter` of table `minimum` is a length, this is a force", None),
    ("minimum[bolt.grad, bolt.diameter]", "bolt.grad", "unknown-name", "no part of `bolt` is called `grad`",
     "did you mean `grade`?"),
    ("abs(3, 4)", "abs(3, 4)", "arguments", "`abs` takes 1 argument, 2 given", None),
    ("largest(force_a)", "largest(force_a)", "arguments", "`largest` takes 2 arguments, 1 given", None),
]  # fmt: skip

CONDITIONS = [
    ("head_held and force_a", "force_a", "kind", "`and` takes conditions, this is a force", None),
    ("not force_a", "force_a", "kind", "`not` takes conditions, this is a force", None),
    ("every(items, item.force)", "item.force", "kind", "`every` takes conditions, this is a force", None),
    ("force_a > 3 in", "force_a > 3 in", "dimension", "a force and a length cannot be compared", None),
    ("3 = \"a\"", "3 = \"a\"", "kind", "a whole number and a choice cannot be compared", None),
    ("bolt.grade = 8.8", "bolt.grade = 8.8", "kind", "a choice and a number cannot be compared",
     "write the word in double quotes, `\"8.8\"`"),
    ("head_held = \"yes\"", "head_held = \"yes\"", "kind", "yes or no and a choice cannot be compared",
     "what is yes or no is a rule by itself; `not` before it asks for no"),
    ("head_held < yes", "head_held < yes", "kind", "yes or no has no order; only `=` and `!=` apply", None),
    ("valid_for > 3 months", "valid_for > 3 months", "kind",
     "a calendar span has no order; only `=` and `!=` apply", None),
    ("3 < force_a > 2", "3 < force_a > 2", "chain", "a chain of comparisons runs in one direction, not `< >`",
     "split it with `and`"),
    ("bolt.grade = \"A326\"", "\"A326\"", "unknown-choice", "\"A326\" is none of the choices here",
     "did you mean \"A325\"?"),
    ("\"8.8\" = bolt.grade", "\"8.8\"", "unknown-choice", "\"8.8\" is none of the choices here",
     "one of: A325, A490"),
    ("if head_held then 3 kip else marking", "if head_held then 3 kip else marking", "kind",
     "the branches of `if` must be of one kind, not a force and a text", None),
    ("if head_held then 3 kip else 3 in", "if head_held then 3 kip else 3 in", "dimension",
     "the branches of `if` must be of one kind, not a force and a length", None),
    ("if 3 then 3 kip else 4 kip", "3", "kind", "`if` takes conditions, this is a whole number", None),
]  # fmt: skip

AMOUNTS = [
    ("-bolt.grade", "bolt.grade", "kind", "`-` takes numbers and quantities, this is a choice", None),
    ("force_a + 3", "force_a + 3", "dimension", "a whole number cannot be added to a force",
     "write the unit after the number, as in `1 kip`"),
    ("force_a - 3 in", "force_a - 3 in", "dimension", "a length cannot be taken from a force", None),
    ("ambient * 2", "ambient", "kind", "`*` does not take temperatures; they can only be compared", None),
    ("tested - 3", "tested - 3", "kind", "`-` does not take a date and a whole number",
     "a date takes `date + span` and `date - date`"),
    ("tested + (force_a + 3)", "force_a + 3", "dimension", "a whole number cannot be added to a force",
     "write the unit after the number, as in `1 kip`"),
    ("force_a + ratio", "force_a + ratio", "dimension", "a number cannot be added to a force", None),
    ("nearest(force_a, 1 kip)", "nearest(force_a, 1 kip)", "tie-rule", "`nearest` must say what happens halfway",
     "write `nearest(..., ties up)` or `nearest(..., ties even)`"),
    ("up(force_a, 1 kip, ties up)", "up(force_a, 1 kip, ties up)", "tie-rule", "`up` never meets a tie",
     "leave the tie rule out"),
    ("up(forse_a, 1 kip)", "forse_a", "unknown-name", "there is no name `forse_a`", "did you mean `force_a`?"),
    ("down(force_a, force_b)", "force_b", "arguments", "`down` rounds to a figure greater than 0 written here", None),
    ("up(force_a, 0 kip)", "0 kip", "arguments", "`up` rounds to a figure greater than 0 written here", None),
    ("up(force_a, 1 in)", "up(force_a, 1 in)", "dimension", "a force cannot be rounded to a length", None),
]  # fmt: skip

LISTS = [
    ("every(force_a, yes)", "force_a", "kind", "`every` takes a list first", None),
    ("item.force > 3 kip", "item.force", "unknown-name", "there is no `item` here, of the list `items`",
     "put `each: items` beside the rule, or ask of the list, as in `every(items, ...)`"),
    ("every(itms, yes)", "itms", "unknown-name", "there is no name `itms`", "did you mean `items`?"),
    ("sum(items, item.grade)", "item.grade", "kind", "`sum` takes numbers and quantities, this is a choice", None),
    ("largest(items, item.grade)", "item.grade", "kind", "`largest` takes numbers and quantities, this is a choice",
     None),
    ("largest(items, item.forse)", "item.forse", "unknown-name", "no part of `item` is called `forse`",
     "did you mean `force`?"),
    ("largest(forse_a, 3 kip)", "forse_a", "unknown-name", "there is no name `forse_a`", "did you mean `force_a`?"),
    ("largest(bolt.grade, 3 kip)", "bolt.grade", "kind",
     "`largest` takes a list first, or two numbers or quantities; this is a choice", None),
    ("smallest(force_a, 3 in)", "smallest(force_a, 3 in)", "dimension", "a force and a length cannot be compared",
     None),
    ("recorded(force_a + 1 kip)", "force_a + 1 kip", "kind", "`recorded` takes a field of the record", None),
    ("recorded(needed)", "needed", "kind", "`recorded` takes a field of the record", None),
    ("recorded(forse_a)", "forse_a", "unknown-name", "there is no name `forse_a`", "did you mean `force_a`?"),
    ("interpolate(items, 3 kip)", "items", "kind", "`interpolate` takes a list of points first", None),
    ("interpolate(3 kip, 3 kip)", "3 kip", "kind", "`interpolate` takes a list of points first", None),
    ("interpolate(curv, 3 kip)", "curv", "unknown-name", "there is no name `curv`", "did you mean `curve`?"),
    ("interpolate(curve, 3 in)", "3 in", "dimension", "the points stand at a force, this is a length", None),
    ("interpolate(curve, yes)", "yes", "kind", "`interpolate` takes numbers and quantities, this is yes or no", None),
]  # fmt: skip

SPELLING = [
    ("", "", "syntax", "an expression is expected here", None),
    ("3 $ 4", "$", "syntax", "`$` is not part of the language", None),
    ("bolt. grade = \"A325\"", ".", "syntax", "`.` is not part of the language", None),
    ("(force_a) + (force_b", "(", "syntax", "`(` is never closed", None),
    ("force_a) + (force_b", ")", "syntax", "`)` is not expected here", None),
    ("0,5 * force_a > 3 kip", ",", "syntax", "`,` is not expected here",
     "decimals are written with a point; thousands are not set off"),
    ("force_a + )", ")", "syntax", "`)` is not expected here", "expected here: a name or a figure"),
    ("up 3 kip", "3 kip", "syntax", "`3 kip` is not expected here", "expected here: `(`"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("rule", "at", "code", "message", "help"), [*NAMES, *FIT, *CONDITIONS, *AMOUNTS, *LISTS, *SPELLING],
)  # fmt: skip
def test_what_people_are_told(rule: str, at: str, code: str, message: str, help: str | None) -> None:
    node, problems = read(rule)
    assert node is None
    assert told(problems) == [(code, at, message, help)]


def test_all_mistakes_of_a_rule_come_at_once() -> None:
    _, problems = read("every(items, item.forse > 3 kip) and bolt.grade = \"A326\" and not force_a")
    assert [problem.code for problem in problems] == ["unknown-name", "unknown-choice", "kind"]


def test_where_a_condition_is_asked_for_nothing_else_will_do() -> None:
    node, problems = read("force_a + 3 kip", wanted="yes/no")
    assert node is None
    assert told(problems) == [("kind", "force_a + 3 kip", "a condition is expected, this is a force", None)]
    assert read("force_a > 3 kip", wanted="yes/no")[1] == ()


def test_a_choice_that_is_left_to_the_editions_takes_any_word() -> None:
    scope = replace(SCOPE, record=GroupKind({**SCOPE.record.fields, "finish": ChoiceKind(None)}))
    assert read('finish = "galvanised"', scope)[1] == ()
    assert read('(if head_held then finish else "plain") = "galvanised"', scope)[1] == ()
    assert read('(if head_held then bolt.grade else "A354") = "A490"', scope)[1] == ()
    _, problems = read('(if head_held then bolt.grade else "A354") = "8.8"', scope)
    assert [problem.help for problem in problems] == ["one of: A325, A354, A490"]


def test_words_of_a_list_are_compared_like_any_other() -> None:
    spaces = ListKind("space", ChoiceKind(("through", "refused")))
    scope = replace(SCOPE, record=GroupKind({"spaces": spaces}))
    assert read('count(spaces, space = "refused") <= 2', scope)[1] == ()
    _, problems = read('count(spaces, space = "refuse") <= 2', scope)
    assert told(problems) == [
        ("unknown-choice", '"refuse"', '"refuse" is none of the choices here', 'did you mean "refused"?')
    ]


LONG = " + ".join(["force_a"] * 40)


@pytest.mark.parametrize(
    ("rule", "code", "message"),
    [
        (LONG, "expression-long", "an expression may have at most 100 characters"),
        ("sum(1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1)", "expression-large", "an expression may have at most 20 parts"),
        ("((((((1))))))", "expression-deep", "an expression may be nested at most 5 deep"),
        ("not not not not not not yes", "expression-deep", "an expression may be nested at most 5 deep"),
    ],
)
def test_a_rule_beyond_the_limits_is_refused_whole(rule: str, code: str, message: str) -> None:
    tree, _ = read_tree(Source("limits", f'require: "{rule}"'), "yaml")
    assert isinstance(tree, Mapping)
    scalar = tree.get("require")
    assert isinstance(scalar, Scalar)
    limits = Limits(expression=100, expression_depth=5, expression_nodes=20)
    expression, problems = parse(scalar, limits)
    assert expression is None
    assert told(problems) == [(code, rule, message, "give parts of it a name under `terms`")]


def test_a_place_that_cannot_be_told_is_the_whole_text() -> None:
    r"""In a text with escapes, say, a position inside of it is none in the file: `\x20` is one blank."""
    tree, _ = read_tree(Source("escapes", r'require: "force_a >\x203 kips"'), "yaml")
    assert isinstance(tree, Mapping)
    scalar = tree.get("require")
    assert isinstance(scalar, Scalar) and scalar.text == "force_a > 3 kips"
    _, problems = parse(scalar)
    assert [problem.span for problem in problems] == [scalar.span]


def test_a_file_without_text_to_point_at_comes_first_and_is_named() -> None:
    general = Problem("nothing-given", "no file is named", help="name one")
    gone = Problem("file-missing", "this file cannot be found", file="a.yaml")
    (found,) = read("3", wanted="yes/no")[1]
    assert in_order([found, gone, general, gone]) == (general, gone, found)
    assert show(general) == "nothing-given: no file is named\n  help: name one"
    assert show(gone) == "a.yaml: file-missing: this file cannot be found"
    assert show(found) == (
        "expression:1:1: kind: a condition is expected, this is a whole number\n  1 | 3\n    | ^"
    )
