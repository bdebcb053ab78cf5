"""Time and memory of a redline against key combinations and changed requirements. Prints a table; asserts nothing.

    python tests/benchmarks/redline.py [2016 2021]

With two editions of Tern Sound it measures these instead. Times are of the processor, in seconds.
"""

from __future__ import annotations

import resource
import sys
import time

from tautbook import Edition, Shelf
from tautbook.comparing.redline import redline
from tautbook.editions.read import read_edition

_HEAD = """
ruleset: bench
edition: "{edition}"
language: 1
title: benchmark
effective: {{from: 2020-01-01}}
months: clamp
sources:
  s: {{title: benchmark, year: 2020, standing: invented}}
covers:
  bolt.grade: [{grades}]
  bolt.diameter: [{diameters}]
tables:
  least:
    title: least
    by: [{{key: bolt.grade}}, {{key: bolt.diameter}}]
    source: {{of: s, clause: T}}
    rows:
{rows}
procedures:
  dti-lot:
    title: benchmark
    asks: {{specimens: 3}}
    requirements:
{requirements}
"""


def edition(name: str, grades: int, diameters: int, requirements: int, more: int) -> Edition:
    """An edition whose figures are greater by ``more``."""
    sizes = [f"{8 + n}/16 in" for n in range(diameters)]
    rows = "\n".join(
        f"      g{g}: {{{', '.join(f'{size}: {10 * g + n + more} kip' for n, size in enumerate(sizes))}}}"
        for g in range(1, grades + 1)
    )
    rules = "\n".join(
        f"      r{n}:\n        title: rule {n}\n        clause: '{n}'\n        kind: acceptance\n"
        f"        each: specimens\n"
        f"        require: specimen.at_verification.tension >= nearest(1.0{n % 10} * "
        f"least[bolt.grade, bolt.diameter], 1 kip, ties up) + {n} kip"
        for n in range(1, requirements + 1)
    )
    text = _HEAD.format(
        edition=name, grades=", ".join(f"g{g}" for g in range(1, grades + 1)), diameters=", ".join(sizes), rows=rows,
        requirements=rules,
    )  # fmt: skip
    found, problems = read_edition(text.encode(), f"{name}.yaml")
    assert found is not None, problems
    return found


def measured(old: Edition, new: Edition) -> tuple[float, int, int]:
    start = time.process_time()
    found = redline(old, new)
    effects = [effect for effect in found.effects.effects if effect.effect != "none"]
    return time.process_time() - start, len(effects), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def main() -> None:
    if len(sys.argv) == 3:
        shelf = Shelf.default()
        seconds, effects, megabytes = measured(*(shelf.edition("tern-sound", name) for name in sys.argv[1:]))
        print(f"{sys.argv[1]} to {sys.argv[2]}: {seconds:.1f} s, {effects} effects, {megabytes} MB at most")
        return
    print("combinations  requirements  seconds  effects  MB")
    for grades, diameters, requirements in ((1, 4, 1), (2, 8, 1), (4, 8, 1), (2, 8, 2), (2, 8, 4), (2, 8, 8)):
        sizes = grades, diameters, requirements
        seconds, effects, megabytes = measured(edition("1", *sizes, 0), edition("2", *sizes, 1))
        print(f"{grades * diameters:12}  {requirements:12}  {seconds:7.1f}  {effects:7}  {megabytes}")


if __name__ == "__main__":
    main()
