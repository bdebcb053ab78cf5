"""Lines of a draft: what explains, what is a sample to be taken in, YAML from a text or from a tree."""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Iterable, Iterator

from ..lang.problem import visible
from ..lang.tree import Mapping, Scalar, Sequence, Tree
from ..shape.schemas import Schema

SAMPLE = "#>"
"""Begins a line that belongs to the edition once these two signs are taken away."""
_WIDTH = 110
_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9 ._/()-]*(?<! )")
_IN_BRACKETS = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._/-]*(?<! )")
"""What needs no quotes in brackets or braces either; a figure with its unit among it."""
_WORDS = frozenset({"true", "false", "null", "yes", "no", "on", "off", "y", "n"})
"""Words that some readers of YAML take for something else than text."""


def remark(text: str, indent: int = 0) -> list[str]:
    """A text for people, wrapped, behind ``#``."""
    before = f"{' ' * indent}# "
    text = visible(" ".join(text.split()))
    return textwrap.wrap(text, _WIDTH, initial_indent=before, subsequent_indent=before,
                         break_long_words=False, break_on_hyphens=False)  # fmt: skip


def columns(first: str, second: str, width: int) -> list[str]:
    """Two texts for people side by side, the first ``width`` wide."""
    lines = textwrap.wrap(visible(" ".join(second.split())), _WIDTH - width - 4, break_on_hyphens=False)
    return [f"# {first if i == 0 else '':{width}}  {line}" for i, line in enumerate(lines)]


def heading(text: str) -> list[str]:
    return ["", f"# {text} {'-' * (_WIDTH - len(text) - 3)}", ""]


def sample(lines: Iterable[str]) -> list[str]:
    return [f"{SAMPLE}{line}" for line in lines]


def text(written: str) -> str:
    """One line of text as YAML: plain where nobody could take it for something else, else in quotes."""
    if _PLAIN.fullmatch(written) and written.lower() not in _WORDS:
        return written
    if not written.isprintable():
        return json.dumps(written)
    if "'" not in written:
        return f"'{written}'" if '"' in written or "\\" in written else f'"{written}"'
    return json.dumps(written, ensure_ascii=False)


def in_brackets(written: str) -> str:
    """A word or a figure as YAML between brackets or braces."""
    return written if _IN_BRACKETS.fullmatch(written) else text(written)


def says(part: Schema) -> str:
    """What a schema says of a part of an edition."""
    found: str = part["description"]
    return found


def entry(key: str, tree: Tree, indent: int) -> list[str]:
    """``key`` and what stands under it in some edition, as block YAML."""
    before = " " * indent
    match tree:
        case Scalar() if _is_block(tree):
            lines = tree.text.rstrip("\n").split("\n")
            return [f"{before}{key}: |", *(f"{before}  {line}" if line else "" for line in lines)]
        case Scalar():
            return [f"{before}{key}: {scalar_text(tree)}"]
        case Mapping(entries=()):
            return [f"{before}{key}: {{}}"]
        case Sequence(items=items) if (inline := _inline(items)) is not None:
            return [f"{before}{key}: {inline}"]
        case _:
            return [f"{before}{key}:", *_below(tree, indent + 2)]


def _below(tree: Mapping | Sequence, indent: int) -> Iterator[str]:
    if isinstance(tree, Mapping):
        for each in tree:
            yield from entry(scalar_text(each.key), each.value, indent)
        return
    for item in tree.items:
        if isinstance(item, Scalar):
            yield f"{' ' * indent}- {json.dumps(item.text) if _is_block(item) else scalar_text(item)}"
        else:
            first, *others = _below(item, indent + 2)
            yield f"{' ' * indent}- {first[indent + 2 :]}"
            yield from others


def _inline(items: tuple[Tree, ...]) -> str | None:
    """A short list of plain words or figures, in brackets on one line."""
    words = [scalar_text(item) for item in items if isinstance(item, Scalar) and _IN_BRACKETS.fullmatch(item.text)]
    inline = f"[{', '.join(words)}]"
    return inline if len(words) == len(items) and len(inline) <= _WIDTH else None


def _is_block(scalar: Scalar) -> bool:
    """Whether it had lines of its own, and can have them again."""
    lines = scalar.text.rstrip("\n").split("\n")
    return "\n" in scalar.text and all(line.isprintable() for line in lines) and lines[0].strip() == lines[0] != ""


def scalar_text(scalar: Scalar) -> str:
    """A figure, yes or no stays without quotes; what was in quotes, or has more than one line, gets them again."""
    if scalar.style in ("plain", "json number", "json word"):
        return scalar.text
    return text(scalar.text)
