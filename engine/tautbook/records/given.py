"""What is known before a test: fields given one by one, and those of a record before its readings."""

from __future__ import annotations

from collections.abc import Iterable

from ..lang.evaluate import evaluate
from ..lang.kernel import Rules
from ..lang.kinds import GroupKind, ListKind
from ..lang.operations import words as written_as
from ..lang.problem import Problem, did_you_mean
from ..lang.source import Source, Span
from ..lang.tree import Scalar
from ..lang.values import Group, Leaf, Open, data_at, with_leaf
from ..shape.scalars import convert
from ..shape.schemas import Schema, record_schema
from ..shape.vocabulary import Vocabulary
from .data import Observed
from .derived import sense


def given_fields(given: Iterable[str], words: Vocabulary, start: Group | None = None) -> tuple[Group, list[Problem]]:
    """``PATH=VALUE`` texts as data, put into ``start``; a field that both give must have one value."""
    group = Group("", {}) if start is None else start
    problems: list[Problem] = []
    for text in given:
        path, equals, value = text.partition("=")
        path, value = path.strip(), value.strip()
        source = Source("--given", text)
        whole = Span(source, 0, len(text))
        if not equals or not value:
            message = f"`{text}` is not written as PATH=VALUE"
            problems.append(Problem("given-form", message, whole, "write the path of a field, `=`, and its value"))
            continue
        schema = _schema(path, words)
        if schema is None:
            paths = [info.path for info in words.fields.values() if not isinstance(info.kind, GroupKind | ListKind)]
            help = did_you_mean(path, [each for each in paths if _schema(each, words)], None)
            problems.append(Problem("unknown-name", f"no field that can be given is called `{path}`", whole, help))
            continue
        start_of_value = text.index(value, len(text.partition("=")[0]) + 1)
        offsets = tuple(range(start_of_value, start_of_value + len(value) + 1))
        found = convert(Scalar(value, "plain", whole, offsets), schema, path)
        wrong = found if isinstance(found, Problem) else _not_allowed(value, schema, path, whole)
        if isinstance(wrong, Problem):
            problems.append(wrong)
            continue
        assert not isinstance(found, Problem)
        there = data_at(group, path)
        if isinstance(there, Leaf) and there.value != found:
            message = f"`{path}` is given as {value} and as {there.written}"
            problems.append(Problem("given-twice", message, whole, "give it once"))
            continue
        group = with_leaf(group, path, Leaf(path, found, value))
    return _with_derived(group, words.procedure), problems


def _with_derived(group: Group, procedure: str) -> Group:
    """What is known besides, since other fields give it."""
    for rule in sense(procedure).derived:
        path = ".".join(rule.path)
        if rule.each is None and rule.when is None and data_at(group, path) is None:
            value = evaluate(rule.value, Rules({}, {}), group).value
            if not isinstance(value, Open):
                group = with_leaf(group, path, Leaf(path, value, written_as(value)))
    return group


def before_readings(seen: Observed) -> Group:
    """A record without its lists: what stood before the first reading, the records that it rests on among it.

    What was worked out from what is not there is left out, since it may still come.
    """
    fields = seen.group.fields.items()
    kept = {name: data for name, data in fields if name in seen.spans or name == "evidence"}
    return Group("", {name: data for name, data in kept.items() if isinstance(data, Leaf | Group)})


def _schema(path: str, words: Vocabulary) -> Schema | None:
    """The schema of a single field that stands in no list."""
    schema: Schema | None = record_schema(words.procedure)
    for name in path.split("."):
        schema = None if schema is None else schema.get("properties", {}).get(name)
    return None if schema is None or schema["x-kind"] in {"group", "list", "raw", "evidence"} else schema


def _not_allowed(value: str, schema: Schema, path: str, span: Span) -> Problem | None:
    options = schema.get("enum", [schema["const"]] if "const" in schema else None)
    if options is None or value in options:
        return None
    help = did_you_mean(value, options, f"one of: {', '.join(options)}")
    return Problem("unknown-choice", f"`{value}` is none of the choices of `{path}`", span, help)
