"""The random sample that an edition asks for, drawn so that anybody can draw it again."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass

from ..editions.edition import Figure
from ..lang.evaluate import evaluate
from ..lang.problem import Problem, did_you_mean
from ..lang.quantity import Quantity
from ..lang.values import Group, Items, Leaf, Open, data_at
from ..shape.schemas import load_schema
from .judged import Judged
from .needs import Need
from .parts import joined
from .same import written


@dataclass(frozen=True, slots=True)
class Sample:
    need: Need
    of: str
    """What it is drawn from, as it was named."""
    population: int
    seed: str
    drawn: tuple[int, ...]
    """Numbers from 1 to ``population``, in the order in which they were drawn."""
    title: str
    clause: str | None


def draw(population: int, size: int, seed: str, of: str) -> tuple[int, ...]:
    """``size`` of the numbers from 1 to ``population``, none twice, in the order drawn; each such order is as likely.

    Numbers 1 to N stand in a row. For place i = 1, 2, ..., ``size`` one of the N - i + 1 that are left is picked: the
    number there and the one at place i change places. To pick one of n, the SHA-256 of the text
    ``[seed, of, N, counter]`` (JSON in ASCII, no spaces, other characters as ``\\uXXXX``) is read as a number h, most
    significant byte first; the one picked is the (h modulo n)th of those left, counted from 0. The counter starts at 0
    and rises by one with each hash. Where h is not below the largest multiple of n up to 2^256 the hash is passed over,
    so that no number is likelier than another.
    """
    row = list(range(1, population + 1))
    counter = 0
    for i in range(size):
        left = population - i
        while True:
            text = json.dumps([seed, of, population, counter], separators=(",", ":"))
            counter += 1
            h = int.from_bytes(hashlib.sha256(text.encode("ascii")).digest(), "big")
            if h < 2**256 // left * left:
                break
        at = i + h % left
        row[i], row[at] = row[at], row[i]
    return tuple(row[:size])


def sample_of(needs: Iterable[Need], of: str, seed: str) -> tuple[Sample | None, tuple[Problem, ...]]:
    """The sample that the edition asks for in the test of ``of``, say of a connection."""
    rule = load_schema("job")["x-sample"]
    can = [need for need in needs if rule["of"] in need.words.fields and _figure(need) is not None]
    found = [need for need in can if any(key.written == of for key in need.keys)]
    if not found:
        known = [key.written for need in can for key in need.keys]
        help = did_you_mean(of, known, f"there are: {', '.join(known[:20])}" if known else None)
        message = f"the edition asks for no sample of `{of}` on this job"
        return None, (Problem("sample-unknown", message, help=help),)
    need = found[0]
    figure = _figure(need)
    assert figure is not None
    data = Group("", {})
    for assembly in need.assemblies:
        data = joined(data, assembly.data)
    whole = data_at(data, rule["of"])
    size = evaluate(figure.value, need.procedure.rules, data).value
    if not isinstance(size, Quantity) or not isinstance(whole, Leaf) or not isinstance(whole.value, Quantity):
        lacks = ", ".join(size.missing) if isinstance(size, Open) and size.missing else "its rule"
        message = f"how many to draw of `{of}` is not known: {lacks}"
        return None, (Problem("sample-open", message, help="add what is missing to the job"),)
    if size.value.denominator != 1 or not 0 <= size.value <= whole.value.value:
        message = f"`{figure.title}` comes to {size.value}, which cannot be drawn from {whole.written}"
        return None, (Problem("sample-size", message, help="look at this figure of the edition"),)
    population = whole.value.value.numerator
    drawn = draw(population, size.value.numerator, seed, of)
    return Sample(need, of, population, seed, drawn, figure.title, figure.origin.clause), ()


def _figure(need: Need) -> Figure | None:
    name = load_schema("job")["x-sample"]["figure"]
    return next((figure for figure in need.procedure.figures if figure.id == name), None)


def seed_of(records: Iterable[Judged]) -> str | None:
    """The seed that a record of the test holds, if one does."""
    path = load_schema("job")["x-sample"]["seed"]
    return next((seed for each in records if (seed := written(path, each.data)) is not None), None)


def not_drawn(judged: Judged, drawn: Iterable[int]) -> tuple[int, ...]:
    """The drawn numbers that are not among the items of the record."""
    rule = load_schema("job")["x-sample"]
    listed = data_at(judged.data, rule["items"])
    items = listed.items if isinstance(listed, Items) else ()
    marks = {written(rule["mark"], item) for item in items if isinstance(item, Group)}
    return tuple(sorted(n for n in drawn if str(n) not in marks))
