"""What must stand, what may, how many, which words: checked by jsonschema, said in our own words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from ..lang.problem import Problem, nearest
from ..lang.source import Span
from ..lang.tree import Mapping, Scalar, Sequence, Tree
from .forms import form_problem
from .scalars import short
from .schemas import Schema
from .titles import called, places_called

if TYPE_CHECKING:
    from jsonschema import ValidationError

Path = tuple[str | int, ...]
"""Where in the plain instance: keys of mappings, and items of lists counted from 0."""

_SHOWN = 12


def structure_problems(
    tree: Tree, instance: Any, schema: Schema, misshapen: frozenset[Path]
) -> Iterator[Problem]:
    """What is wrong with the structure of ``instance``, the plain form of ``tree``, placed in the file.

    Nothing is said of what is at or below ``misshapen``: those problems are already told. So `minimum` and
    `maximum`, which editors read, never speak here: a value beyond them is beyond its `x-range` too.
    """
    from jsonschema import Draft202012Validator
    from referencing import Registry

    # References are written out in the schema, and an empty registry fetches nothing.
    validator = Draft202012Validator(schema, registry=Registry())
    for error in _leaves(validator.iter_errors(instance)):
        path: Path = tuple(error.absolute_path)
        if any(path[: len(bad)] == bad for bad in misshapen):
            continue
        yield from _said(error, path, tree, schema)


def _leaves(errors: Any) -> Iterator[ValidationError]:
    """The errors themselves; of a choice between list and mapping, those of the form that was written."""
    for error in errors:
        if error.validator == "oneOf" and "x-says" not in error.schema:
            # The ways differ in form: only one of them can have passed its own type.
            inner = [part for part in error.context if part.validator != "type" or part.relative_path]
            yield from _leaves(inner)
        else:
            yield error


def _said(error: ValidationError, path: Path, tree: Tree, schema: Schema) -> Iterator[Problem]:
    node, key = _at(tree, path)
    name = _name(path)
    word: Any = error.validator
    value: Any = error.validator_value
    instance: Any = error.instance
    at = error.schema if isinstance(error.schema, dict) else {}
    says = _our_words(error, schema)
    match word:
        case "required":
            missing = [field for field in value if field not in instance]
            for field in missing:
                known = at.get("properties", {}).get(field, {})
                message = says or f"{name} has no `{field}`"
                yield Problem("missing-key", message, key, _describe(field, known))
        case "dependentRequired":
            for field, others in value.items():
                for other in others:
                    if field in instance and other not in instance:
                        message = f"`{field}` needs `{other}` beside it"
                        yield Problem("missing-key", message, _key_span(node, field, key), f"add `{other}`")
        case "additionalProperties":
            known = at.get("properties", {})
            for field in instance:
                if field not in known:
                    message = f"{name} has no field `{short(field)}`"
                    help = _titled(field, at, schema) or _meant(field, known)
                    yield Problem("unknown-key", message, _key_span(node, field, key), help)
        case "propertyNames" | "pattern":
            in_key = "propertyNames" in error.absolute_schema_path
            span = _key_span(node, instance, key) if in_key else node.span
            message = f"`{short(instance)}` cannot be used as a name here"
            yield Problem("name-form", message, span, at["patternErrorMessage"])
        case "enum":
            options = {str(option): None for option in value}
            message = f"`{short(instance)}` is not one of the words for {name}"
            yield Problem("unknown-word", message, node.span, _meant(instance, options, "words"))
        case "minItems" | "minProperties":
            yield Problem("nothing-listed", f"{name} is empty", key, "write at least one")
        case "maxItems":
            message = f"{name} can have at most {value} items"
            yield Problem("too-many", message, key, "leave some out")
        case "oneOf":
            yield Problem("either-or", says or "", key, "write the one that is meant, and only that")
        case "const":
            message = f"{name} is `{value}` in this kind of file, not `{short(str(instance))}`"
            yield Problem("fixed-word", message, node.span, f"write `{value}` there")
        case "not":
            yield Problem("does-not-belong", says or "", key, f"leave {name} out")
        case _:
            problem = form_problem(node, {"x-kind": "raw", **at}, name.strip("`"), key)
            assert problem is not None, f"a schema uses `{word}`, which has no words here"
            yield problem


def _our_words(error: ValidationError, schema: Schema) -> str | None:
    """The deepest `x-says` on the way to what failed: a schema's own words for a condition."""
    says: str | None = None
    part: Any = schema
    for step in error.absolute_schema_path:
        if isinstance(part, dict):
            says = part.get("x-says", says)
        part = part[step]
    return says


def _at(tree: Tree, path: Path) -> tuple[Tree, Span]:
    """The part of the tree at ``path``, and where its key stands (an item of a list: its own beginning)."""
    node, key = tree, _first(tree)
    for step in path:
        if isinstance(node, Mapping):
            entry = node.entry(str(step))
            assert entry is not None, path
            node, key = entry.value, entry.key.span
        else:
            assert isinstance(node, Sequence) and isinstance(step, int), path
            node = node.items[step]
            key = _first(node)
    return node, key


def _first(tree: Tree) -> Span:
    """The beginning of a part: its first key, or its first line."""
    if isinstance(tree, Mapping) and tree.entries:
        return tree.entries[0].key.span
    return tree.span if isinstance(tree, Scalar) else tree.span.at(0, min(1, len(tree.span.text)))


def _key_span(node: Tree, field: str, otherwise: Span) -> Span:
    entry = node.entry(field) if isinstance(node, Mapping) else None
    return otherwise if entry is None else entry.key.span


def _name(path: Path) -> str:
    """How a message calls the part at ``path``: its key, for an item the list and its number from 1."""
    numbers = ""
    for step in reversed(path):
        if isinstance(step, str):
            return f"`{short(step)}{numbers}`"
        numbers = f"[{step + 1}]{numbers}"
    return "this file"


def _describe(field: str, schema: Schema) -> str:
    if "description" not in schema:
        return f"add `{field}`"
    first = schema["description"].split(". ")[0].removesuffix(".")
    return f"add `{field}`: {first[:1].lower()}{first[1:]}"


def _titled(name: str, group: Schema, whole: Schema) -> str | None:
    """Where a form's title was written for the name of a field: what that is, here or in another part of the file."""
    found = called(name, group)
    if found is not None:
        return f"`{short(name)}` is written `{found}`"
    places = places_called(name, whole)
    if len(places) != 1:
        return None
    *above, (last, _) = places[0]
    under = f" under `{above[-1][0]}`" if above else ""
    return f"`{short(name)}` is written `{last}`{under}"


def _meant(word: str, known: Any, called: str = "fields") -> str:
    meant = nearest(word, known)
    if meant is not None:
        return f"did you mean `{meant}`?"
    if not known:
        return "nothing can stand here"
    some = ", ".join(f"{name}" for name in list(known)[:_SHOWN])
    return f"the {called} here: {some}" + (" and more" if len(known) > _SHOWN else "")
