"""The engine and a second judge, which share no code, on small editions and records made at random."""

from __future__ import annotations

import random

import pytest

from reference.at_random import small_edition, small_record
from reference.both import same, write


@pytest.mark.parametrize("seed", range(2))
def test_small_editions_by_both(seed: int) -> None:
    pick = random.Random(100 + seed).randrange
    verdicts: list[str] = []
    waived = 0
    for _ in range(32):
        edition = small_edition(pick)
        for _ in range(8):
            procedure = ("dti-lot", "dti-short-bolt")[pick(2)]
            result = same(edition, write(small_record(pick, procedure)))
            if result is not None:
                verdicts.append(result[0].verdict)
                waived += any(each.outcome == "waived" for each in result[0].findings)
    assert len(verdicts) > 220
    assert waived > 3
    assert set(verdicts) == {"pass", "fail", "invalid", "incomplete"}
