"""Whatever is changed in an edition changes its digest, or is refused: every node of a shipped one, in every way.

The digest is taken over canonical JSON, in which a part stands whole: where the part is another, so is the edition. So
most changes are looked at in the item (a table, a term, a requirement) that they are made in, and a slice of them in
the whole edition. ``SAME`` names each exception.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from typing import Any

import pytest
from editing import RULES, Digests, Way, at, nodes, put, scalar, shipped_tree

from tautbook.lang.tree import Entry, Mapping, Scalar, Sequence, Tree
from tautbook.shape.convert import shape
from tautbook.shape.schemas import load_schema

SAME: dict[str, str] = {
    "entries change places": "the order of keys is layout; what it decides in a report it does not decide in a verdict",
}
"""Changes that leave the digest as it was, each with the reason."""

Change = tuple[str, Way, Tree]
"""What is done, where the node stands that is changed, and what stands there afterwards."""

OTHER = {
    "<=": "<", ">=": ">", "<": "<=", ">": ">=", "=": "!=", "!=": "=", "+": "-", "-": "+", "*": "/", "/": "*",
    "and": "or", "or": "and", "yes": "no", "no": "yes", "every": "some", "some": "every", "count": "every",
    "smallest": "largest", "largest": "smallest", "sum": "mean", "mean": "sum", "nearest": "up", "up": "down",
    "down": "up", "even": "up", "not": "",
}  # fmt: skip
"""Words and signs of the language, and what could stand in their place."""
TOKEN = re.compile(r'"[^"]*"|[A-Za-z_][A-Za-z_0-9.]*|[0-9]+|[<>!]=|[^\s]')


def other_texts(value: Scalar) -> Iterator[tuple[str, str]]:
    """Other texts for a scalar that holds no rule."""
    text = value.text
    for digit in re.finditer(r"[0-9]", text):
        yield "a digit is another", text[: digit.start()] + str((int(digit[0]) + 1) % 10) + text[digit.end() :]
    yield "a word is added", f"{text} x"
    yield "a letter is added", f"{text}x"
    if text != text.swapcase():
        yield "capitals and small letters change places", text.swapcase()
    for a, b in (("kip", "kN"), ("in", "mm"), ("ksi", "MPa"), ("months", "days"), ("true", "false"), ("false", "true")):
        if re.search(rf"(^|[0-9] ){a}$", text):
            yield "a unit or an answer is another", re.sub(rf"{a}$", b, text)
    words = text.split()
    if len(words) > 1:
        yield "the first word is taken out", " ".join(words[1:])
        yield "two words change places", " ".join([words[1], words[0], *words[2:]])


def other_rules(rule: Scalar) -> Iterator[tuple[str, str]]:
    """Other rules: each word, figure and sign of it exchanged."""
    for token in TOKEN.finditer(rule.text):
        word = token[0]
        if word in OTHER:
            new = OTHER[word]
        elif word[0] == '"':
            new = f'{word[:-1]}x"'
        elif word.isdigit():
            new = str(int(word) + 1)
        elif word[0].isalpha():
            new = f"{word}x"
        else:
            new = ""
        yield f"`{word}` is `{new}`", f"{rule.text[: token.start()]}{new}{rule.text[token.end() :]}"


def changes(tree: Mapping) -> Iterator[Change]:
    for way, node in nodes(tree):
        match node:
            case Scalar():
                others = other_rules(node) if way[-1] in RULES else other_texts(node)
                yield from ((what, way, scalar(node, text)) for what, text in others)
                yield "a list of it", way, Sequence((node,), node.span)
            case Sequence(items=items):
                for i, item in enumerate(items):
                    rest = (*items[:i], *items[i + 1 :])
                    yield "an item is taken out", way, replace(node, items=rest)
                    yield "an item is written twice", way, replace(node, items=(*items, item))
                    if i:
                        swapped = (*items[: i - 1], item, items[i - 1], *items[i + 1 :])
                        yield "items change places", way, replace(node, items=swapped)
            case Mapping(entries=entries):
                for i, entry in enumerate(entries):
                    before, after = entries[:i], entries[i + 1 :]
                    named = Entry(scalar(entry.key, f"{entry.key.text}x"), entry.value)
                    yield "an entry is taken out", way, replace(node, entries=(*before, *after))
                    yield "an entry is written twice", way, replace(node, entries=(*entries, named))
                    for what, text in other_texts(entry.key):
                        if all(text != each.key.text for each in entries):
                            new = Entry(scalar(entry.key, text), entry.value)
                            yield f"in a key {what}", way, replace(node, entries=(*before, new, *after))
                    if i:
                        swapped = (*entries[: i - 1], entry, entries[i - 1], *after)
                        yield "entries change places", way, replace(node, entries=swapped)
                        crossed = (*entries[: i - 1], Entry(entries[i - 1].key, entry.value),
                                   Entry(entry.key, entries[i - 1].value), *after)  # fmt: skip
                        yield "values change keys", way, replace(node, entries=crossed)


def item_of(way: Way) -> Way:
    """The item that a node belongs to."""
    return way[:4] if way[:1] == ("procedures",) else way[:2]


def schema_of(item: Way) -> dict[str, Any] | None:
    """What the schema says of an item; None where it leaves more than one way open."""
    schema = load_schema("edition")
    for step in item:
        if isinstance(step, int):
            schema = schema["items"]
        else:
            schema = schema.get("properties", {}).get(step) or schema.get("additionalProperties") or {}
        if "x-kind" not in schema or "oneOf" in schema:
            return None
    return schema


@pytest.mark.parametrize(
    ("edition", "every", "first"),
    [("2016", 16, 0), ("2021", 16, 5), pytest.param("2021", 1, 0, marks=pytest.mark.slow)],
)
def test_every_change_of_every_node_changes_the_digest_or_is_refused(edition: str, every: int, first: int) -> None:
    tree, digests = shipped_tree(edition), Digests()
    whole = digests.of(tree)
    of_items: dict[Way, str | None] = {}
    done: Counter[str] = Counter()
    for number, (what, way, new) in enumerate(islice(changes(tree), first, None, every)):
        old = at(tree, way)
        if _meaning(old) == _meaning(new):
            continue  # two neighbours say the same
        item = item_of(way)
        schema = schema_of(item) if len(item) > 1 and isinstance(at(tree, item), Mapping) else None
        if schema is None or number % 100 == 0:
            before, after = whole, digests.of(put(tree, way, new))
        else:
            part = at(tree, item)
            if item not in of_items:
                of_items[item] = digests.of(part, schema)
            before, after = of_items[item], digests.of(put(part, way[len(item) :], new), schema)
        assert before is not None
        if before == after and what not in SAME and shape(put(tree, way, new), load_schema("edition"))[0] is None:
            after = None  # by its structure
        assert (before == after) == (what in SAME), (what, way, getattr(new, "text", new))
        done["refused" if after is None else "same" if before == after else "another digest"] += 1
    assert done["another digest"] > 6000 / every, done


def _meaning(tree: Tree) -> object:
    match tree:
        case Scalar(text=text):
            return text
        case Sequence(items=items):
            return [_meaning(item) for item in items]
        case Mapping(entries=entries):
            return [(entry.key.text, _meaning(entry.value)) for entry in entries]
