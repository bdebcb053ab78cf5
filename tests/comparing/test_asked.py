"""Which tests a new programme asks for otherwise: told from the lines of both, whatever the solver says."""

from __future__ import annotations

import pytest

from reference.both import EDITIONS, edition_of
from tautbook.comparing.asked import RESTS_ON, asked_otherwise
from tautbook.comparing.changes import changes
from tautbook.comparing.effect import Effects
from tautbook.comparing.redline import Redline
from tautbook.editions.edition import Edition
from tautbook.rendering.redline import headline
from tautbook.rendering.redline_json import redline_json
from tautbook.rendering.redline_markdown import redline_markdown
from tautbook.rendering.redline_text import redline_text

HEAD, _, _ = EDITIONS["2021"].partition("\nprogramme:")
LOT = "{procedure: dti-lot, for_each: [indicator.lot, bolt.diameter]}"
WORK = "{procedure: dti-installed, for_each: [connection.mark]}"
EACH = "for each combination of indicator lot and bolt diameter"
LONG, LONGER = "when: bolt.length > 4 in", "when: bolt.length > 6 in"


def edition(*lines: str, head: str = HEAD) -> Edition:
    return edition_of(f"{head}\nprogramme:\n" + "".join(f"  - {line}\n" for line in lines))


def lot(more: str, of: str = LOT) -> str:
    return f"{of.removesuffix('}')}, {more}}}"


def told(old: Edition, new: Edition) -> list[tuple[str, str, str]]:
    return [(each.procedure, each.asks, each.sentence) for each in asked_otherwise(old, new, changes(old, new))]


CASES: dict[str, tuple[tuple[str, ...], tuple[str, ...], list[tuple[str, str]]]] = {
    # name: (the lines before, the lines after, what is asked otherwise)
    "the same": ((LOT,), (LOT,), []),
    "another order of lines and of fields, a clause and a note": (
        (LOT, WORK), (WORK, "{procedure: dti-lot, for_each: [bolt.diameter, indicator.lot], clause: '9', note: n}"), [],
    ),
    "a test that was not asked for": ((WORK,), (WORK, LOT), [("more", f"newly asked for, {EACH}")]),
    "a test that is not asked for any more": ((WORK, LOT), (WORK,), [("less", f"no longer asked for, {EACH}")]),
    "newly, with all that goes with it": (
        (WORK,), (WORK, lot(f"{LONG}, lasts: 6 months")),
        [("more", f"newly asked for, {EACH}, only where the bolt length is more than 4 in; a test counts for 6 months "
                  "from its day")],
    ),
    "on finer combinations": (
        (LOT,), ("{procedure: dti-lot, for_each: [indicator.lot, bolt.diameter, bolt.grade]}",),
        [("more", "asked for, for each combination of indicator lot, bolt diameter and bolt grade; before, " + EACH)],
    ),
    "on fewer": (
        (LOT,), ("{procedure: dti-lot, for_each: [indicator.lot]}",),
        [("less", f"asked for, for each indicator lot; before, {EACH}")],
    ),
    "on others": (
        (LOT,), ("{procedure: dti-lot, for_each: [indicator.lot, bolt.lot]}",),
        [("otherwise", f"asked for, for each combination of indicator lot and bolt lot; before, {EACH}")],
    ),
    "under a condition": (
        (LOT,), (lot(LONG),),
        [("less", "asked for only where the bolt length is more than 4 in; before, whatever the case")],
    ),
    "under a condition no more": (
        (lot(LONG),), (LOT,),
        [("more", "asked for whatever the case; before, only where the bolt length is more than 4 in")],
    ),
    "under another condition": (
        (lot(LONG),), (lot(LONGER),),
        [("otherwise", "asked for only where the bolt length is more than 6 in; before, only where the bolt length is "
                       "more than 4 in")],
    ),
    "a test that lasts, and lasted for good": (
        (LOT,), (lot("lasts: 1 year"),),
        [("more", "a test counts for 1 year from its day; before, no end was set")],
    ),
    "a test that lasts for good": (
        (lot("lasts: 1 year"),), (LOT,),
        [("less", "a test counts without an end; before, for 1 year from its day")],
    ),
    "longer": (
        (lot("lasts: 6 months"),), (lot("lasts: 1 year"),),
        [("less", "a test counts longer, for 1 year from its day; before, for 6 months")],
    ),
    "less long": (
        (lot("lasts: 90 days"),), (lot("lasts: 60 days"),),
        [("more", "a test counts less long, for 60 days from its day; before, for 90 days")],
    ),
    "days for months": (
        (lot("lasts: 1 month"),), (lot("lasts: 30 days"),),
        [("otherwise", "a test counts for 30 days from its day; before, for 1 month")],
    ),
    "leave by others": (
        (lot("waivable_by: [Engineer]"),), (lot("waivable_by: [inspector, owner]"),),
        [("less", "leave not to make it may be given by inspector or owner; before, by Engineer"),
         ("more", "leave not to make it may no longer be given by Engineer; by inspector or owner now")],
    ),
    "leave by somebody": (
        (LOT,), (lot("waivable_by: [Engineer]"),),
        [("less", "leave not to make it may be given by Engineer; before, by nobody")],
    ),
    "a line more of the same test": (
        (lot(LONG),), (lot(LONG), "{procedure: dti-lot, for_each: [bolt.lot]}"),
        [("more", "also asked for, for each bolt lot")],
    ),
    "of two lines each with its own": (
        (lot(LONG), lot(LONGER)), (lot(LONGER), lot(f"{LONG}, lasts: 1 year")),
        [("more", "a test counts for 1 year from its day; before, no end was set")],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_what_is_asked_otherwise(name: str) -> None:
    before, after, expected = CASES[name]
    assert told(edition(*before), edition(*after)) == [("dti-lot", *each) for each in expected]


def test_a_condition_that_stayed_and_comes_to_something_else() -> None:
    line = lot("when: 'minimum_tension[bolt.grade, bolt.diameter] > 40 kip and snug_after < tested'")
    of = "\n  most_refusals_when_snug:\n"
    term = "\n  snug_after: {title: snug after, is: device.calibrated + 1 month}\n"
    heads = [HEAD.replace(of, f"{term}{of}", 1)]
    heads.append(heads[0].replace("7/8 in: 39 kip", "7/8 in: 39.2 kip", 1))
    heads.append(heads[0].replace("calibrated + 1 month", "calibrated + 2 months", 1))
    heads.append(heads[0].replace("months: clamp", "months: refuse", 1))
    base, *others = (edition(line, head=head) for head in heads)
    ((_, asks, said),) = told(base, others[0])
    assert asks == "otherwise" and said.startswith("asked for only where ")
    assert said.endswith(", as before; what that comes to changed (minimum_tension)")
    for other, what in zip(others[1:], ("snug_after", "months"), strict=True):
        ((_, _, said),) = told(base, other)
        assert said.endswith(f"({what})")


def test_months_that_are_counted_otherwise_move_the_last_day() -> None:
    heads = HEAD, HEAD.replace("months: clamp", "months: roll over", 1)
    ((_, asks, said),) = told(*(edition(lot("lasts: 6 months"), head=head) for head in heads))
    assert asks == "otherwise" and said.startswith("a test counts for 6 months from its day, as before; ")
    assert told(*(edition(lot("lasts: 60 days"), head=head) for head in heads)) == []


def test_it_is_told_with_what_it_rests_on_and_without_the_solver() -> None:
    old, new = edition(WORK), edition(WORK, LOT)
    found = changes(old, new)
    redline = Redline(old, new, found, Effects((), (), "No solver."), asked_otherwise(old, new, found))
    assert headline(redline).endswith("; effect not decided; tests are asked for otherwise")
    title = old.procedures["dti-lot"].title
    of, sentence = f"tests of {title} (dti-lot)", f"newly asked for, {EACH}"
    for text in (redline_text(redline), redline_markdown(redline)):
        said = " ".join(text.split())
        assert of in said and sentence in said.partition(of)[2] and " ".join(RESTS_ON.split()) in said
    (told,) = redline_json(redline)["programme"]["tests"]
    assert told["because"] == [change.id for change in found] == ["programme.dti-lot"]
