"""The engine and the plain evaluator, which share no code, agree on generated expressions and records."""

from __future__ import annotations

import pytest

from conformance.engine import bare, outcome
from reference import plain
from reference.generate import seeded
from reference.language import Known
from tautbook.lang.values import Open


@pytest.mark.parametrize("seed", range(10))
def test_no_disagreement(seed: int) -> None:
    judged = 0
    for text, given in seeded(2_000, seed):
        found = outcome(text, given)
        if isinstance(found, tuple):
            # Refused by the checker; only what it refuses on purpose may be refused.
            assert set(found) <= {"unknown-choice"}, (text, found)
            continue
        stated = plain.outcome(text, given)
        judged += 1
        if isinstance(stated, Known):
            assert not isinstance(found, Open), (text, given, found)
            assert bare(found) == stated.value, (text, given)
        else:
            assert isinstance(found, Open), (text, given, found, stated)
            assert set(found.missing) == set(stated.missing), (text, given)
            assert {stuck.by for stuck in found.stuck} == set(stated.stuck), (text, given)
            bounds = [bound and bound.value for bound in (found.at_least, found.at_most)]
            assert bounds == [stated.lo, stated.hi], (text, given)
    assert judged > 1_900
