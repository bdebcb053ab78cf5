"""A part of a sentence with the points below it: what the prose reader makes, and every form of output lays out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Prose:
    """Some words, and numbered points that they lead to. ``mark`` is the letter of what was put aside above."""

    text: str
    points: tuple[Prose, ...] = ()
    mark: str | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a sentence laid out: ``depth`` 0 is the sentence itself; ``label`` such as ``(2.1)`` or ``[A]``."""

    depth: int
    label: str
    text: str


def lines(prose: Prose) -> Iterator[Line]:
    """The sentence and its points, from above, each with the label that no other has."""
    yield from _lines(prose, 0, "", "")


def _lines(prose: Prose, depth: int, label: str, prefix: str) -> Iterator[Line]:
    yield Line(depth, label, f"{prose.text}:" if any(not point.mark for point in prose.points) else prose.text)
    number = 0
    for point in prose.points:
        if point.mark is not None:
            yield from _lines(point, depth + 1, f"[{point.mark}]", f"{point.mark}.")
        else:
            number += 1
            yield from _lines(point, depth + 1, f"({prefix}{number})", f"{prefix}{number}.")


def flat(prose: Prose) -> str:
    """All in one line, the labels in place: two sentences that differ in their points differ here."""
    text = ""
    for line in lines(prose):
        label = f"{line.label}:" if line.label.startswith("[") else line.label
        lead = "" if not label else f"{' ' if text.endswith(':') else '; '}{label} "
        text += f"{lead}{line.text}"
    return text
