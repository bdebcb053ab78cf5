"""A draft as its reader works with it: samples taken in, one after the other or all at once."""

from __future__ import annotations

from itertools import groupby

from tautbook.drafting.lines import SAMPLE


def blocks(draft: str) -> list[tuple[int, int]]:
    """The lines of each sample, from and up to, the latter not included."""
    found = []
    for is_sample, lines in groupby(enumerate(draft.splitlines()), key=lambda each: each[1].startswith(SAMPLE)):
        if is_sample:
            numbers = [number for number, _ in lines]
            found.append((numbers[0], numbers[-1] + 1))
    return found


def taken_in(draft: str, *samples: tuple[int, int]) -> str:
    """The draft with the two signs taken away from those samples."""
    lines = draft.splitlines()
    for start, end in samples:
        lines[start:end] = [line.removeprefix(SAMPLE) for line in lines[start:end]]
    return "".join(f"{line}\n" for line in lines)
