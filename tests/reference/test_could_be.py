"""The verdicts that open findings leave possible, in closed form and by states, against trying every combination."""

from __future__ import annotations

from hypothesis import given, settings

from reference.findings import Findings, lists_of_findings, seeded_findings
from reference.possible import possible as by_states
from reference.verdicts import could_be as by_brute_force
from tautbook.judging.could_be import Listed, Weight, could_be


def in_closed_form(findings: Findings) -> set[str]:
    listed, present, asks = findings
    weights = [
        Weight(
            f.kind,  # type: ignore[arg-type]
            f.can,  # type: ignore[arg-type]
            f.voids if f.kind == "setup" else None,  # type: ignore[arg-type]
            None if f.item is None else f"items[{f.item}]",
            None if f.item is None else "items",
            frozenset({"items"}) if f.list_wide else frozenset(),
        )
        for f in listed
    ]
    return set(could_be(weights, {"items": Listed(max(present, asks), asks)}))


@settings(max_examples=300, deadline=None)
@given(lists_of_findings())
def test_what_is_still_possible(findings: Findings) -> None:
    assert in_closed_form(findings) == by_brute_force(*findings) == by_states(*findings)


def test_what_is_still_possible_on_twenty_thousand_lists_of_findings() -> None:
    for findings in seeded_findings(20_000, seed=20260414):
        assert in_closed_form(findings) == by_brute_force(*findings) == by_states(*findings), findings
