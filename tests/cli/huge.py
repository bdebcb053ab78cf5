"""Editions as no agency writes them: nonsense, and far too much of everything."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

RULESETS = Path(__file__).parents[2] / "rulesets"
RECORD = RULESETS / "tern-sound" / "examples" / "0401-pass-seven-eighths.yaml"

HEAD = """\
ruleset: huge
edition: "1"
language: 1
title: Far too much
effective: {from: 2020-01-01}
months: clamp
sources: {s: {title: Invented, standing: invented}}
"""
COVERS = "covers: {bolt.grade: [A325, A490]}\n"


def edition(covers: str = COVERS, tables: str = "", terms: str = "", require: str = "wrench = \"hand\"") -> str:
    rule = require if require.startswith("|") else f"'{require}'"
    return (
        f"{HEAD}{covers}{tables}{terms}procedures:\n  dti-lot:\n    requirements:\n"
        f"      one: {{title: one, kind: acceptance, clause: '1', require: {rule}}}\n"
    )


def requirements(number: int) -> str:
    lines = "".join(
        f"      r{i}: {{title: rule {i}, kind: setup, clause: '{i}', require: 'wrench = \"hand\"'}}\n"
        for i in range(number)
    )
    return edition() + lines


def chain_of_terms(number: int) -> str:
    terms = "".join(f"  t{i}: {{title: term {i}, is: t{i + 1} + 1}}\n" for i in range(number))
    return edition(terms=f"terms:\n{terms}  t{number}: {{title: last, is: 1 + 1}}\n", require="t0 > 3")


def ladder_of_terms(number: int) -> str:
    """Each calls the next one twice: worked out one by one they would be 2 to the power of ``number``."""
    terms = "".join(f"  t{i}: {{title: term {i}, is: t{i + 1} + t{i + 1}}}\n" for i in range(number))
    return edition(terms=f"terms:\n{terms}  t{number}: {{title: last, is: 1 + 1}}\n", require="t0 > 3")


def cells(rows: int, columns: int, by: str = "bolt.length", then: str = "bolt.diameter") -> str:
    """A table by two fields that the edition does not cover."""
    told = "".join(
        f"      {i} mm: {{{', '.join(f'{j} mm: {i + j} kN' for j in range(1, columns + 1))}}}\n"
        for i in range(1, rows + 1)
    )
    table = (f"tables:\n  big:\n    title: big\n    by: [{{key: {by}}}, {{key: {then}}}]\n"
             "    source: {of: s, clause: '1'}\n")  # fmt: skip
    return edition(tables=f"{table}    rows:\n{told}", require=f"device.capacity > big[{by}, {then}]")


def bands(number: int) -> str:
    told = "".join(f"      over {i} up to {i + 1}: {i} kN\n" for i in range(number))
    table = ("tables:\n  big:\n    title: big\n    by: [{key: ratio, kind: number, bands: true}]\n"
             "    source: {of: s, clause: '1'}\n    rows:\n")  # fmt: skip
    return edition(tables=table + told, require="device.capacity > big[bolt.length / bolt.diameter]")


def covered(number: int, field: str = "bolt.maker") -> str:
    return edition(covers=f"covers:\n  {field}: [{', '.join(f'M{i}' for i in range(number))}]\n",
                   require=f'{field} = "M1"')  # fmt: skip


def nested(open: str, close: str, inside: str, depth: int) -> str:
    return edition(require=f"{open * depth}{inside}{close * depth}")


def amended(changes: str) -> str:
    return ('ruleset: huge\nedition: "1"\nlanguage: 1\ntitle: Amended\n'
            f"amends: {{ruleset: tern-sound, edition: 2021, digest: {DIGEST}}}\n{changes}")  # fmt: skip


DIGEST = "m1:8895c54e910fc0cfe2936cd7637cbc12d65d2d3a077f343ecdc1473637220a6d"
"""Of tern-sound@2021, which is enacted and does not change."""


def nonsense(kind: str) -> bytes:
    source = random.Random(kind)
    match kind:
        case "bytes":
            return source.randbytes(200_000)
        case "YAML":
            marks = [": ", "- ", "{", "}", "[", "]", ",", "\n", "\n  ", "a", "b: c", "'", '"', "1/2 in", "#", "|"]
            return "".join(source.choice(marks) for _ in range(20_000)).encode()
        case "mapping":
            return "".join(f"k{i}: {{a: [{i}, x{i}], b: {{c: 'd'}}}}\n" for i in range(5_000)).encode()
        case _:
            return b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + source.randbytes(50_000)


FILES: dict[str, Callable[[], str | bytes]] = {
    "random bytes": lambda: nonsense("bytes"),
    "random YAML": lambda: nonsense("YAML"),
    "5,000 unknown keys": lambda: nonsense("mapping"),
    "an image": lambda: nonsense("image"),
    "a record": RECORD.read_bytes,
    "a JSON schema": (RULESETS.parent / "schemas" / "edition.schema.json").read_bytes,
    "a file of 9 MB": lambda: edition() + "#" * 9_000_000,
    "2,000 requirements": lambda: requirements(1_999),
    "10,000 requirements": lambda: requirements(10_000),
    "900 brackets": lambda: nested("(", ")", "1 > 2", 900),
    "a chain of 280 `and`": lambda: edition(require="no" + " and no" * 280),
    "160 `not`": lambda: nested("not ", "", "no", 160),
    "40 `if` inside each other": lambda: nested("(if 1 > 2 then 1 else ", ")", "2", 40).replace("2))", "2)) > 1", 0),
    "40 tables inside each other": lambda: nested("big[", "]", "1", 40),
    "10,000 terms in a chain": lambda: chain_of_terms(10_000),
    "100 terms in a chain": lambda: chain_of_terms(100),
    "60 terms that call the next one twice": lambda: ladder_of_terms(60),
    "4,000 cells": lambda: cells(100, 40),
    "20,000 cells": lambda: cells(200, 100),
    "93,000 cells": lambda: cells(310, 300),
    "100,000 cells": lambda: cells(1_000, 100),
    "2,000 bands": lambda: bands(2_000),
    "20,000 bands": lambda: bands(20_000),
    "2,000 covered values": lambda: covered(2_000),
    "2,001 covered values": lambda: covered(2_001),
    "100,000 covered values": lambda: covered(100_000),
    "10,000 struck that are not there": lambda: amended(
        "strike:\n" + "".join(f"  terms.gone{i}: gone\n" for i in range(10_000))
    ),
    "10,000 tables whose cells change and are not there": lambda: amended(
        "tables:\n" + "".join(f"  gone{i}: {{cells: {{A325: {{1 in: 1 kip}}}}}}\n" for i in range(10_000))
    ),
    "10,000 cells of a size that no table has": lambda: amended(
        "tables:\n  minimum_tension:\n    cells:\n      A325:\n"
        + "".join(f"        {i} m: 1 kip\n" for i in range(10_000))
    ),
}  # fmt: skip
