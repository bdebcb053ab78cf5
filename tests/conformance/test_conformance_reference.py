"""The plain evaluator gives what every conformance case states."""

from pathlib import Path
from typing import Any

import pytest
import yaml

from conformance.generate import files
from reference.checking import check
from reference.language import Known, Mistake, Open, evaluate
from reference.plain import guessed, scope_of

HERE = Path(__file__).parent
# The files hold only what the fast loader reads alike.
LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
CASES: list[dict[str, Any]] = [
    case
    for name in ("cases.yaml", "grids.yaml")
    for case in yaml.load((HERE / name).read_text(encoding="utf-8"), Loader=LOADER)
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_a_case_gives_what_it_states(case: dict[str, Any]) -> None:
    bound = frozenset(case["given"].get("item", {}))
    if "problem" in case:
        with pytest.raises(Mistake) as mistake:
            check(case["expression"], bound)
        assert mistake.value.code == case["problem"]
        return
    check(case["expression"], bound)
    found, stated = evaluate(case["expression"], scope_of(case["given"])), case["gives"]
    if "known" in stated:
        assert found == Known(guessed(stated["known"]))
    else:
        lo, hi = (guessed(stated[side]) if side in stated else None for side in ("lo", "hi"))
        assert found == Open(frozenset(stated["missing"]), frozenset(stated["stuck"]), lo, hi)


def test_there_are_enough_cases_and_each_has_its_own_name() -> None:
    assert len({case["id"] for case in CASES}) == len(CASES) >= 1000


@pytest.mark.parametrize("name", ["cases.yaml", "grids.yaml"])
def test_the_files_are_what_the_generator_writes(name: str) -> None:
    assert (HERE / name).read_text(encoding="utf-8") == files()[name]
