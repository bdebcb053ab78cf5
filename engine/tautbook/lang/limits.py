"""The limits on what is read, by name; each has its own problem code."""

from __future__ import annotations

from dataclasses import dataclass, replace

from .number import LONGEST


@dataclass(frozen=True, slots=True)
class Limits:
    """Each number is the most that is still taken."""

    bytes: int = 8_000_000
    """Size of one file; of one line where a file holds a record a line."""
    depth: int = 32
    """Lists and mappings inside each other."""
    nodes: int = 200_000
    """Keys, values, lists and mappings of one file."""
    scalar: int = 20_000
    """Characters of one text."""
    number: int = LONGEST
    """Characters of one number."""
    expression: int = 2_000
    """Characters of one expression."""
    expression_depth: int = 32
    expression_nodes: int = 500
    terms_depth: int = 200
    """Depth of an expression with the terms that it calls."""
    terms_steps: int = 20_000
    """Steps that an expression with the terms that it calls may take, each list having one item."""
    steps: int = 1_000_000
    """Steps that judging one record may take."""
    requirements: int = 2_000
    """Requirements of one edition."""
    items: int = 10_000
    """Items of one list."""
    evidence: int = 4
    """How deep a record may rest on another, that on a third, and so on."""
    layers: int = 8
    """How many editions may amend each other."""
    files: int = 5_000
    """Files of a folder that are looked through for a record number."""
    told: int = 100
    """Problems of one file that are told; of the rest, how many there are."""
    cells: int = 10_000
    """Cells of one table."""
    columns: int = 1_000
    """Columns of one page with readings."""
    unpacked: int = 32_000_000
    """Bytes of a workbook once it is unpacked."""
    covered: int = 2_000
    """Values of one covered field, other names included."""


LIMITS = Limits()

OF_EDITIONS = replace(LIMITS, nodes=60_000)
"""An edition is looked at again and again, in ways that a record is not: it may hold less."""
