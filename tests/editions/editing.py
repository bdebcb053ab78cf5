"""Editions as trees, to be changed node by node and written anew in another form."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from tautbook.lang.parse import parse
from tautbook.lang.reading import read_text, read_tree
from tautbook.lang.surface import Expression
from tautbook.lang.tree import Entry, Mapping, Scalar, Sequence, Tree
from tautbook.shape.convert import _Walk
from tautbook.shape.digest import digest
from tautbook.shape.schemas import load_schema
from tautbook.shape.shaped import Shaped, ShapedList, ShapedMap, ShapedValue

RULESETS = Path(__file__).parents[2] / "rulesets"
Way = tuple[str | int, ...]
"""From the edition to a node: keys of mappings, and items of lists counted from 0."""
RULES = frozenset({"is", "require", "applies", "when", "formula"})
"""Keys under which a rule stands."""


def shipped_tree(edition: str) -> Mapping:
    return tree_of((RULESETS / "tern-sound" / f"{edition}.yaml").read_bytes())


def tree_of(data: bytes, name: str = "edition.yaml") -> Mapping:
    source, problems = read_text(data, name)
    assert source is not None, problems
    tree, problems = read_tree(source, "json" if name.endswith(".json") else "yaml")
    assert isinstance(tree, Mapping), problems
    return tree


class Digests:
    """Digests of trees that share most of their nodes: a rule is parsed once."""

    def __init__(self) -> None:
        self.parsed: dict[int, Expression | None] = {}
        self.kept: list[Scalar] = []

    def of(self, tree: Tree, schema: dict[str, Any] | None = None) -> str | None:
        """The digest of an edition, or of a part of it that ``schema`` describes; None if it is refused for what
        stands in one place. What the structure should be is not looked at, since that takes longest: ``shape`` does."""
        walk = _Walk()
        shaped, _ = walk.tree(tree, load_schema("edition") if schema is None else schema, (), "part", tree.span)
        return None if shaped is None or walk.problems else self.of_shaped(shaped)

    def of_shaped(self, shaped: Shaped) -> str | None:
        found = {}
        for rule in rules(shaped):
            if id(rule.scalar) not in self.parsed:
                self.kept.append(rule.scalar)  # so that no other scalar gets its identity
                self.parsed[id(rule.scalar)] = parse(rule.scalar)[0]
            expression = self.parsed[id(rule.scalar)]
            if expression is None:
                return None
            found[id(rule.scalar)] = expression
        return digest(shaped, found)


def rules(shaped: Shaped) -> Iterator[ShapedValue]:
    match shaped:
        case ShapedMap(entries=entries):
            for below in entries.values():
                yield from rules(below)
        case ShapedList(items=items):
            for below in items:
                yield from rules(below)
        case ShapedValue(expression=True):
            yield shaped


def nodes(tree: Tree, way: Way = ()) -> Iterator[tuple[Way, Tree]]:
    """Every node with the way to it."""
    yield way, tree
    match tree:
        case Mapping(entries=entries):
            for entry in entries:
                yield from nodes(entry.value, (*way, entry.key.text))
        case Sequence(items=items):
            for i, item in enumerate(items):
                yield from nodes(item, (*way, i))


def at(tree: Tree, way: Way) -> Tree:
    for step in way:
        if isinstance(tree, Mapping):
            below = tree.get(str(step))
            assert below is not None
            tree = below
        else:
            assert isinstance(tree, Sequence) and isinstance(step, int)
            tree = tree.items[step]
    return tree


def put(tree: Tree, way: Way, new: Tree) -> Tree:
    """The tree with another node at ``way``; everything beside it is the very same."""
    if not way:
        return new
    step, *rest = way
    if isinstance(tree, Mapping):
        entries = tuple(
            Entry(entry.key, put(entry.value, tuple(rest), new)) if entry.key.text == step else entry
            for entry in tree.entries
        )
        return replace(tree, entries=entries)
    assert isinstance(tree, Sequence) and isinstance(step, int)
    return replace(tree, items=(*tree.items[:step], put(tree.items[step], tuple(rest), new), *tree.items[step + 1 :]))


def scalar(like: Scalar, text: str) -> Scalar:
    """A scalar of another text in the place of ``like``."""
    return replace(like, text=text, offsets=tuple(range(len(text) + 1)))


# An edition in another form


def plain(text: str) -> bool:
    """Whether a text can stand without quotes, in braces as well."""
    return re.fullmatch(r"[\w][\w ./()%-]*[\w).%]|\w", text) is not None


def quoted(text: str, quote: str) -> str:
    if quote == "'":
        return "'" + text.replace("'", "''") + "'"
    assert '"' not in text and "\\" not in text
    return f'"{text}"'


def written(node: Scalar, key: str | int | None, quote: str) -> str:
    """A scalar on one line: in ``quote`` where that may be, and where it must. Numbers and answers stand bare."""
    text = " ".join(node.text.split())
    if node.style == "plain" and re.fullmatch(r"[1-9][0-9]{0,8}|true|false", text):
        return text
    if not quote and plain(text):
        return text
    return quoted(text, "'" if '"' in text else quote or "'")


def in_braces(tree: Tree, quote: str = "", key: str | int | None = None) -> str:
    """Everything on one line."""
    match tree:
        case Scalar():
            return written(tree, key, quote)
        case Sequence(items=items):
            return f"[{', '.join(in_braces(item, quote) for item in items)}]"
        case Mapping(entries=entries):
            told = (f"{written(each.key, None, quote)}: {in_braces(each.value, quote, each.key.text)}"
                    for each in entries)  # fmt: skip
            return f"{{{', '.join(told)}}}"


def in_blocks(tree: Tree, indent: int = 0, key: str | int | None = None) -> str:
    """A line for each key, the last key first, with a remark at every turn; rules broken
    before each word that joins, other long texts folded."""
    pad = " " * indent
    match tree:
        case Scalar(text=text) if key in RULES and "'" not in text:
            parts = re.split(r"\s+(?=(?:and|or|then|else|is one of)\b)|(?<=,)\s", text)
            return "|\n" + "".join(f"{pad}{' '.join(part.split())}\n" for part in parts)
        case Scalar(text=text) if len(text.split()) > 4 and "#" not in text:
            return ">-\n" + "".join(f"{pad}{word}\n" for word in text.split())
        case Scalar():
            return f"{written(tree, key, '')}   # so it is\n"
        case Sequence(items=items):
            return "\n" + "".join(f"{pad}-   # an item\n{pad}  {in_braces(item)}\n" for item in items)
        case Mapping(entries=()):
            return "{ }\n"
        case Mapping(entries=entries):
            lines = (f"{pad}# of {each.key.text}\n{pad}{written(each.key, None, '')}  :  "
                     f"{in_blocks(each.value, indent + 3, each.key.text)}" for each in reversed(entries))  # fmt: skip
            return ("\n" if indent else "") + "\n".join(lines)


def as_json(tree: Tree) -> Any:
    """What ``json.dumps`` writes."""
    match tree:
        case Scalar(text=text, style="plain") if re.fullmatch(r"[1-9][0-9]{0,8}", text):
            return int(text)
        case Scalar(text=text, style="plain") if text in ("true", "false"):
            return text == "true"
        case Scalar(text=text):
            return text
        case Sequence(items=items):
            return [as_json(item) for item in items]
        case Mapping(entries=entries):
            return {each.key.text: as_json(each.value) for each in entries}
