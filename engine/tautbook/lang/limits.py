"""The limits on what is read, by name. Each has its own problem code and a test at the limit and one beyond."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limits:
    """Counts of bytes, characters, nodes or levels. What is beyond is refused, never cut."""

    bytes: int = 8_000_000
    depth: int = 32
    nodes: int = 200_000
    scalar: int = 20_000
    number: int = 40
    expression: int = 2_000
    expression_depth: int = 32
    expression_nodes: int = 500
    requirements: int = 2_000
    items: int = 10_000


LIMITS = Limits()
