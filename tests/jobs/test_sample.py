"""The random sample: drawn again from its seed, by anybody, and no bolt likelier than another."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from itertools import permutations
from pathlib import Path

import pytest

from jobs.wren_creek import SHIPPED, edit, good, read, ready, write
from tautbook.jobs.sample import draw


def plainly(population: int, size: int, seed: str, of: str) -> list[int]:
    """The same from its description alone: one after the other picked out of those that are left."""
    left, drawn, counter = list(range(1, population + 1)), [], 0
    while len(drawn) < size:
        n = len(left)
        h = int(hashlib.sha256(json.dumps([seed, of, population, counter]).replace(", ", ",").encode()).hexdigest(), 16)
        counter += 1
        if h >= (1 << 256) - (1 << 256) % n:
            continue
        i = h % n
        drawn.append(left[i])
        # The one at this place goes to where the picked one stood.
        left[i] = left[0]
        del left[0]
    return drawn


@pytest.mark.parametrize("seed", ["Wren Creek 4 May", "", "0", "ключ", "\u202e"])
@pytest.mark.parametrize(("population", "size"), [(24, 3), (1, 1), (7, 7), (200, 20), (5, 0)])
def test_it_is_drawn_as_described(seed: str, population: int, size: int) -> None:
    drawn = draw(population, size, seed, "G1-S1")
    assert list(drawn) == plainly(population, size, seed, "G1-S1") == list(draw(population, size, seed, "G1-S1"))
    assert len(set(drawn)) == size and all(1 <= n <= population for n in drawn)


def test_a_sample_that_never_changes() -> None:
    """The bolts of WC-11 were inspected by this draw: another way of drawing would make its record wrong."""
    assert draw(24, 3, "Wren Creek 4 May", "G1-S1") == (13, 8, 24)


def test_each_order_is_as_likely() -> None:
    """Chi-square over the 12 ordered pairs out of 4, 12,000 draws: 11 degrees of freedom, 31.3 has probability 0.001.

    Published: NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.4 (31.264)."""
    found = Counter(draw(4, 2, f"seed {n}", "x") for n in range(12_000))
    assert set(found) == set(permutations(range(1, 5), 2))
    assert sum((count - 1000) ** 2 / 1000 for count in found.values()) < 31.264


def test_each_bolt_is_as_likely() -> None:
    """24 bolts, 3 drawn, 8,000 times: 1,000 each. 23 degrees of freedom: 49.728 has probability 0.001 (same table)."""
    found = Counter(n for seed in range(8_000) for n in draw(24, 3, str(seed), "G1-S1"))
    assert sum((count - 1000) ** 2 / 1000 for count in found.values()) < 49.728


def test_its_size_is_the_figure_of_the_edition() -> None:
    found = ready(SHIPPED, "--sample", "G2-S1", "--seed", "a", "--format", "json")
    sample = json.loads(found.stdout)["sample"]
    assert (sample["population"], sample["size"]) == (32, 4)  # 10 percent of 32, rounded up
    assert sample["clause"] == "8.10(e)" and found.exit_code == 0


def test_it_is_drawn_again_from_the_seed_on_record(tmp_path: Path) -> None:
    folder = good(tmp_path / "job")
    assert "inspect 8, 13, 24 of G1-S1\n" in ready(folder, "--sample", "G1-S1").stdout


def test_without_a_seed_each_draw_has_its_own_and_can_be_repeated() -> None:
    first, second = (json.loads(ready(SHIPPED, "--sample", "G2-S1", "--format", "json").stdout) for _ in range(2))
    seed = first["sample"]["seed"]
    assert seed != second["sample"]["seed"]
    again = json.loads(ready(SHIPPED, "--sample", "G2-S1", "--seed", seed, "--format", "json").stdout)
    assert again["sample"]["drawn"] == first["sample"]["drawn"]


def test_other_bolts_than_those_drawn_are_named(tmp_path: Path) -> None:
    folder = good(tmp_path / "job")
    edit(folder, "WC-11", "mark: 13", "mark: 12")
    found = ready(folder)
    assert found.exit_code == 1
    assert "Record WC-11 does not have 13, which its seed `Wren Creek 4 May` draws from G1-S1" in found.stdout


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--sample", "G1-S9"], "the edition asks for no sample of `G1-S9` on this job"),
        (["--seed", "a"], "a seed is for a sample"),
        (["--sample", "G1-S1", "--format", "csv"], "a sample has no form `csv`"),
    ],
)
def test_what_cannot_be_drawn(arguments: list[str], told: str) -> None:
    found = ready(SHIPPED, *arguments)
    assert found.exit_code == 2 and told in found.stderr and found.stdout == ""


def test_all_bolts_of_a_connection_are_counted(tmp_path: Path) -> None:
    """Two assemblies, say of two lengths, make up one connection."""
    folder = good(tmp_path / "job")
    whole = read(folder)
    whole["assemblies"].append({**whole["assemblies"][0], "count": 16})
    write(folder, whole)
    sample = json.loads(ready(folder, "--sample", "G1-S1", "--seed", "a", "--format", "json").stdout)["sample"]
    assert (sample["population"], sample["size"]) == (40, 4)
