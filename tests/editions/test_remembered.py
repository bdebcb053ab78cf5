"""An edition is read once in a process, as long as every byte that it rests on is the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from tautbook.editions import remembered
from tautbook.editions.read import read_edition
from tautbook.lang.problem import Problem

ON = Path(__file__).parents[2] / "rulesets" / "tern-sound"
BASE, AMENDMENT = (ON / f"{edition}.yaml" for edition in ("2021", "2025"))


def at_hand(base: bytes):  # type: ignore[no-untyped-def]
    def lookup(name: str) -> tuple[bytes | None, str, tuple[Problem, ...]]:
        return base, "2021.yaml", ()

    return lookup


@pytest.fixture(autouse=True)
def nothing_remembered(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(remembered, "_KNOWN", remembered.OrderedDict())


def test_the_same_bytes_are_read_once() -> None:
    first, _ = read_edition(BASE.read_bytes(), "2021.yaml")
    again, _ = read_edition(BASE.read_bytes(), "2021.yaml")
    assert first is not None and again is first


def test_a_change_or_another_name_is_read_anew() -> None:
    data = BASE.read_bytes()
    first, _ = read_edition(data, "2021.yaml")
    changed, _ = read_edition(data + b"# read once more\n", "2021.yaml")
    elsewhere, _ = read_edition(data, "copy.yaml")
    assert first is not None and changed is not None and elsewhere is not None
    assert changed is not first and changed.digest == first.digest
    assert elsewhere is not first and elsewhere.file == "copy.yaml"


def test_an_amendment_is_read_anew_where_what_it_amends_has_changed() -> None:
    data, base = AMENDMENT.read_bytes(), BASE.read_bytes()
    first, _ = read_edition(data, "2025.yaml", at_hand(base))
    again, _ = read_edition(data, "2025.yaml", at_hand(base))
    assert first is not None and again is first
    title = b"title: Tern Sound"
    assert title in base
    none, (problem, *_) = read_edition(data, "2025.yaml", at_hand(base.replace(title, b"title: Other Sound", 1)))
    assert none is None and problem.code == "amends-digest"
    none, (problem, *_) = read_edition(data, "2025.yaml")
    assert none is None and problem.code == "amends-unknown"


def test_what_cannot_be_used_is_told_each_time() -> None:
    found = [read_edition(b"a: [", "x.yaml") for _ in range(2)]
    assert found[0] == found[1] and found[0][0] is None and found[0][1]


def test_only_a_few_are_kept() -> None:
    data = BASE.read_bytes()
    for number in range(remembered._MOST + 3):
        read_edition(data, f"{number}.yaml")
    kept = [name for _, name in remembered._KNOWN]
    assert len(kept) == remembered._MOST and kept[-1] == f"{remembered._MOST + 2}.yaml"
