"""Paths of a record in the words of its vocabulary."""

from __future__ import annotations

import re
from fractions import Fraction

from ..lang.kinds import ListKind
from ..lang.operations import words as written_as
from ..lang.quantity import Quantity, show, show_about
from ..lang.values import Plain
from ..shape.vocabulary import Vocabulary, vocabulary

_INDEX = re.compile(r"\[[0-9]+\]")


def without_numbers(path: str) -> str:
    """A path without the numbers of items."""
    return _INDEX.sub("", path)


def label(path: str, words: Vocabulary) -> str:
    """A field by its title, and in brackets what it is part of where the title does not say so."""
    plain = without_numbers(path)
    of_other = _of_evidence(plain, path, words)
    if of_other is not None:
        return of_other
    info = words.fields.get(plain)
    if info is None:
        return plain.removeprefix("local.").rpartition(".")[2].replace("_", " ")
    above = words.fields.get(plain.rpartition(".")[0])
    if above is None or isinstance(above.kind, ListKind) or _says(info.title, above.title):
        return info.title
    return f"{info.title} ({above.title})"


def _of_evidence(plain: str, path: str, words: Vocabulary) -> str | None:
    """A field of a record that this one rests on, and of which; None for a field of the record itself."""
    slot = ".".join(plain.split(".")[:2])
    info = words.fields.get(slot)
    other = None if info is None or info.procedure is None else vocabulary(info.procedure)
    if info is None or other is None:
        return None
    rest = path.partition(".")[2].partition(".")[2]
    if rest in ("", "verdict"):
        return f"{'verdict on the ' if rest else ''}{info.title}"
    item = rest.partition(".")[0]
    where = f" of {item_label(item, other)}" if "[" in item else ""
    return f"{label(rest, other)}{where} in the {info.title}"


def _says(title: str, part: str) -> bool:
    return set(part.lower().split()) <= set(title.lower().split())


def item_label(path: str, words: Vocabulary) -> str:
    """``specimens[2]`` as *specimen 2*."""
    name, _, number = path.partition("[")
    info = words.fields.get(name)
    singular = info.kind.singular if info is not None and isinstance(info.kind, ListKind) else name
    return f"{singular} {number.rstrip(']')}"


def how_many(count: int, path: str, words: Vocabulary) -> str:
    """``3 specimens``, ``1 specimen``."""
    return f"1 {item_label(path, words).strip()}" if count == 1 else f"{count} {path.replace('_', ' ')}"


def shown(value: Plain) -> str:
    """A value for people: in full where that is short, else rounded and marked with ``≈``."""
    if not isinstance(value, Quantity):
        return written_as(value)
    text = show(value)
    number = text.partition(" ")[0]
    if len(number) <= _LONGEST and not _endless(value.magnitude, number):
        return text
    return show_about(value)


_LONGEST = 9


def _endless(magnitude: Fraction, number: str) -> bool:
    """Whether a decimal of this number never ends, so that it is written as a large fraction."""
    return "/" in number and magnitude.denominator > 64
