"""Paths of a record in the words of its vocabulary."""

from __future__ import annotations

import re
from fractions import Fraction

from ..lang.kinds import ListKind
from ..lang.operations import words
from ..lang.quantity import Quantity, show, show_about
from ..lang.values import Plain
from ..shape.vocabulary import Vocabulary

_INDEX = re.compile(r"\[[0-9]+\]")


def label(path: str, vocabulary: Vocabulary) -> str:
    """A field by its title, and in brackets what it is part of where the title does not say so."""
    plain = _INDEX.sub("", path)
    info = vocabulary.fields.get(plain)
    if info is None:
        return plain.removeprefix("local.").rpartition(".")[2].replace("_", " ")
    above = vocabulary.fields.get(plain.rpartition(".")[0])
    if above is None or isinstance(above.kind, ListKind) or _says(info.title, above.title):
        return info.title
    return f"{info.title} ({above.title})"


def _says(title: str, part: str) -> bool:
    return set(part.lower().split()) <= set(title.lower().split())


def item_label(path: str, vocabulary: Vocabulary) -> str:
    """``specimens[2]`` as *specimen 2*."""
    name, _, number = path.partition("[")
    info = vocabulary.fields.get(name)
    singular = info.kind.singular if info is not None and isinstance(info.kind, ListKind) else name
    return f"{singular} {number.rstrip(']')}"


def shown(value: Plain) -> str:
    """A value for people: in full where that is short, else rounded and marked with ``≈``."""
    if not isinstance(value, Quantity):
        return words(value)
    text = show(value)
    number = text.partition(" ")[0]
    if len(number) <= _LONGEST and not _endless(value.magnitude, number):
        return text
    return show_about(value)


_LONGEST = 9


def _endless(magnitude: Fraction, number: str) -> bool:
    """Whether a decimal of this number never ends, so that it is written as a large fraction."""
    return "/" in number and magnitude.denominator > 64
