"""Facts that people of the trade state, as an edition, and records judged by it: beside each fact the verdict it asks.

``facts_of_the_trade.yaml`` states them, with what it reads into them and why. ``records/`` has a good test in the
device and a good one of a short bolt; every other record is one of these with what its row changes.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from copy import deepcopy
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml
from dateutil.relativedelta import relativedelta

from tautbook import judge, read_record
from tautbook.editions.edition import Edition
from tautbook.editions.read import read_edition
from tautbook.explaining.explain import Explanation, explain
from tautbook.lang.problem import show
from tautbook.records.evidence import with_evidence
from tautbook.records.read import read_records
from tautbook.rendering.verdict_json import verdict_json

HERE = Path(__file__).parent
TEXT = (HERE / "facts_of_the_trade.yaml").read_text(encoding="utf-8")


def edition_of(*changed: tuple[str, str]) -> Edition:
    text = TEXT
    for old, new in changed:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    edition, problems = read_edition(text.encode(), "facts_of_the_trade.yaml")
    assert edition is not None and problems == (), "\n".join(map(show, problems))
    return edition


FACTS = edition_of()
LOT: Any = yaml.safe_load((HERE / "records" / "lot.yaml").read_bytes())
SHORT: Any = {**yaml.safe_load((HERE / "records" / "short.yaml").read_bytes()), "evidence": {"long_bolt": LOT}}

NOT_MADE = object()
"""In place of a value: the observation is left out of the record."""
Changes = Mapping[str, Any]


def changed(record: Any, changes: Changes) -> Any:
    """The record with other values at these paths; items count from 1."""
    whole = deepcopy(record)
    for path, value in changes.items():
        at = whole
        *above, last = [int(part) - 1 if part.isdigit() else part for part in path.split(".")]
        for part in above:
            at = at[part]
        if value is NOT_MADE:
            del at[last]
        else:
            at[last] = value
    return whole


def judged(record: Any, by: Edition = FACTS) -> Explanation:
    ((found, problems),) = read_records(json.dumps(record, default=str).encode(), "record.json")
    assert found is not None, "\n".join(map(show, problems))
    found, problems = with_evidence(found, None)
    assert found is not None, "\n".join(map(show, problems))
    return explain(judge(found, by))


def in_the_way(told: Explanation) -> set[str]:
    """The requirements that decide, of a verdict that is no pass."""
    deciding = [each.finding for each in told.deciding]
    return {each.id for each in deciding if each.outcome in ("not met", "open") and not each.voided}


LOAD, COUNT = "specimens.2.at_verification.tension", "specimens.2.at_verification.refusals"
THEN, THEN_COUNT = "specimens.2.at_installation.tension", "specimens.2.at_installation.refusals"
LAST, LAST_COUNT = "specimens.2.at_full_refusal.tension", "specimens.2.at_full_refusal.refusals"
GAP = "specimens.2.at_full_refusal.visible_gap"


def space_by_space(*spaces: str) -> Changes:
    """Of the second specimen at the load worked to, in place of a count."""
    return {"specimens.2.at_verification": {"tension": "41 kip", "spaces": list(spaces)}}


def dates(calibrated: str, tested: str) -> Changes:
    return {"device.calibrated": calibrated, "tested": tested}


Row = tuple[str, Changes, str, set[str]]

OF_EACH_SPECIMEN = {
    "load-reached", "load-not-exceeded", "not-closed-early", "installation-reading", "full-refusal-reached",
    "gap-visible", "tension-at-full-refusal", "loads-in-order", "nothing-broke",
}  # fmt: skip

IN_THE_DEVICE: list[Row] = [
    ("a good test", {}, "pass", set()),
    # 39,250 lbf and 5 percent more, worked to as 41 kip; not to be exceeded, and no tolerance is stated.
    ("41 kip in pounds", {LOAD: "41000 lbf"}, "pass", set()),
    ("40.9 kip falls short", {LOAD: "40.9 kip"}, "invalid", {"load-reached"}),
    ("39,250 lbf is without the 5 percent", {LOAD: "39250 lbf"}, "invalid", {"load-reached"}),
    ("41.1 kip exceeds it", {LOAD: "41.1 kip"}, "invalid", {"load-not-exceeded"}),
    ("41,212.5 lbf exceeds it: it is rounded down", {LOAD: "41212.5 lbf"}, "invalid", {"load-not-exceeded"}),
    ("40.9 kip and closed already", {LOAD: "40.9 kip", COUNT: 3}, "fail", {"not-closed-early"}),
    ("41.1 kip and closed shows nothing", {LOAD: "41.1 kip", COUNT: 3}, "invalid", {"load-not-exceeded"}),
    ("the load not read", {LOAD: NOT_MADE}, "incomplete", {"load-reached", "load-not-exceeded", "loads-in-order"}),
    # At that load at most 2 refusals.
    ("2 refusals", {COUNT: 2}, "pass", set()),
    ("3 refusals fail the lot", {COUNT: 3}, "fail", {"not-closed-early"}),
    ("refusals not counted", {COUNT: NOT_MADE}, "incomplete", {"not-closed-early"}),
    # A space is refused when the 0.005 in gauge cannot touch the shank.
    ("touched in 3 spaces of 5", space_by_space("through", "partial", "through", "partial", "through"), "pass", set()),
    ("in part is refused", space_by_space("through", "partial", "partial", "partial", "through"), "fail",
     {"not-closed-early"}),
    ("in part or not at all, 3 together", space_by_space("refused", "partial", "through", "through", "refused"), "fail",
     {"not-closed-early"}),
    ("another gauge", {"gauge.thickness": "0.015 in"}, "invalid", {"gauge"}),
    ("another gauge, and 3 refusals", {"gauge.thickness": "0.015 in", COUNT: 3}, "invalid", {"gauge"}),
    # Then at least 3 refusals, load recorded.
    ("only 2", {THEN_COUNT: 2}, "invalid", {"installation-reading"}),
    ("that load not recorded", {THEN: NOT_MADE}, "incomplete", {"installation-reading", "loads-in-order"}),
    ("that load below the first", {THEN: "40.5 kip"}, "invalid", {"loads-in-order"}),
    # Then refusal at all spaces with a visible gap in at least one, load recorded, at most the highest bolt tension.
    ("4 of 5 spaces", {LAST_COUNT: 4}, "invalid", {"full-refusal-reached"}),
    ("no gap left", {GAP: False}, "invalid", {"gap-visible"}),
    ("nobody looked for a gap", {GAP: NOT_MADE}, "incomplete", {"gap-visible"}),
    ("at the highest tension", {LAST: "53 kip"}, "pass", set()),
    ("above the highest tension", {LAST: "53.1 kip"}, "fail", {"tension-at-full-refusal"}),
    ("above it with 4 of 5 spaces", {LAST: "53.1 kip", LAST_COUNT: 4}, "fail", {"tension-at-full-refusal"}),
    ("above it with no gap left", {LAST: "53.1 kip", GAP: False}, "invalid", {"gap-visible"}),
    ("the last load not recorded", {LAST: NOT_MADE}, "incomplete",
     {"tension-at-full-refusal", "loads-in-order", "nothing-broke"}),
    ("what a broken bolt means the facts do not say", {"specimens.2.ended": "fracture"}, "incomplete",
     {"nothing-broke"}),
    # Three indicators of each lot and size.
    ("two", {"specimens.3": NOT_MADE}, "incomplete", OF_EACH_SPECIMEN),
    ("two, and one closed early", {"specimens.3": NOT_MADE, COUNT: 3}, "fail", {"not-closed-early"}),
    ("three of two lots", {"indicator.one_lot": False}, "invalid", {"one-lot"}),
    # Three to five threads behind the bearing face of the nut.
    ("2 threads", {"threads_in_grip": 2}, "invalid", {"threads-behind-nut"}),
    ("3 threads", {"threads_in_grip": 3}, "pass", set()),
    ("5 threads", {"threads_in_grip": 5}, "pass", set()),
    ("5 and a half", {"threads_in_grip": 5.5}, "invalid", {"threads-behind-nut"}),
    ("6 threads", {"threads_in_grip": 6}, "invalid", {"threads-behind-nut"}),
    # The indicator under the head or unturned element.
    ("under the nut, head turned", {"indicator.position": "under nut", "indicator.turned": "head"}, "pass", set()),
    ("under the turned nut", {"indicator.position": "under nut"}, "invalid", {"indicator-under-unturned-element"}),
    ("under the turned head", {"indicator.turned": "head"}, "invalid", {"indicator-under-unturned-element"}),
    # A recessed insert that holds the head does not allow the test.
    ("an insert holds the head", {"insert_holds_head": True}, "invalid", {"insert-clear"}),
    ("insert or not, nobody wrote", {"insert_holds_head": NOT_MADE}, "incomplete", {"insert-clear"}),
    # A hand wrench; a handle extension is allowed, an impact wrench is not. A second wrench holds the bolt.
    ("a handle extension", {"wrench": "hand with extension"}, "pass", set()),
    ("an impact wrench", {"wrench": "impact"}, "invalid", {"hand-wrench"}),
    ("no second wrench", {"head_held": False}, "invalid", {"bolt-held"}),
    # The device calibrated by a certified firm within the last six months.
    ("six months to the day", dates("2025-10-20", "2026-04-20"), "pass", set()),
    ("and a day", dates("2025-10-20", "2026-04-21"), "invalid", {"calibration-in-date"}),
    ("31 August to 28 February", dates("2025-08-31", "2026-02-28"), "pass", set()),
    ("31 August to 1 March", dates("2025-08-31", "2026-03-01"), "invalid", {"calibration-in-date"}),
    ("31 August to 29 February", dates("2027-08-31", "2028-02-29"), "pass", set()),
    ("29 August to 29 February, a leap year", dates("2027-08-29", "2028-02-29"), "pass", set()),
    ("28 August to 29 February, a leap year", dates("2027-08-28", "2028-02-29"), "invalid", {"calibration-in-date"}),
    ("31 March to 30 September", dates("2026-03-31", "2026-09-30"), "pass", set()),
    ("28 February to 28 August", dates("2026-02-28", "2026-08-28"), "pass", set()),
    ("28 February to 29 August", dates("2026-02-28", "2026-08-29"), "invalid", {"calibration-in-date"}),
    ("on the day of the test", dates("2026-04-20", "2026-04-20"), "pass", set()),
    ("after the test", dates("2026-04-21", "2026-04-20"), "invalid", {"calibration-in-date"}),
    ("no firm named", {"device.calibrated_by": NOT_MADE}, "incomplete", {"calibrated-by-a-firm"}),
    # A 0.015 in gauge is kept away: worth saying; what it was used for is above.
    ("a 0.015 in gauge about", {"thicker_gauge_off_site": False}, "pass", set()),
    # Of anything that the facts give no figures for there is no rule.
    ("another grade", {"bolt.grade": "A490"}, "incomplete", {"covered"}),
    ("6 spaces", {"indicator.spaces": 6}, "incomplete", {"covered", "full-refusal-reached"}),
    ("1 in", {"bolt.diameter": "1 in"}, "incomplete",
     {"covered", "load-reached", "load-not-exceeded", "tension-at-full-refusal"}),
]  # fmt: skip

LONG = "evidence.long_bolt"
ONE = "specimens.1"

SHORT_BOLTS: list[Row] = [
    ("a good test", {}, "pass", set()),
    # The nut runs over the full threads.
    ("the nut does not run", {f"{ONE}.nut_runs": False}, "fail", {"nut-runs"}),
    ("the nut not tried", {f"{ONE}.nut_runs": NOT_MADE}, "incomplete", {"nut-runs", "nothing-broke"}),
    ("the nut runs, not all spaces refused", {f"{ONE}.at_full_refusal.refusals": 4}, "invalid",
     {"full-refusal-reached"}),
    ("the nut does not run, though not all spaces refused",
     {f"{ONE}.nut_runs": False, f"{ONE}.at_full_refusal.refusals": 4}, "fail", {"nut-runs"}),
    ("the nut does not run, and no gap was left",
     {f"{ONE}.nut_runs": False, f"{ONE}.at_full_refusal.visible_gap": False}, "invalid", {"gap-visible"}),
    ("seized", {f"{ONE}.ended": "seized"}, "incomplete", {"nothing-broke"}),
    # With a new bolt and a new indicator of the lot.
    ("a used bolt", {f"{ONE}.new_bolt": False}, "invalid", {"new-bolt-and-indicator"}),
    ("a used indicator", {f"{ONE}.new_indicator": False}, "invalid", {"new-bolt-and-indicator"}),
    ("a used bolt whose nut does not run", {f"{ONE}.new_bolt": False, f"{ONE}.nut_runs": False}, "invalid",
     {"new-bolt-and-indicator"}),
    ("of another lot", {"indicator.lot": "D-79"}, "invalid", {"long-bolt-same-lot-and-size"}),
    ("of another maker", {f"{LONG}.indicator.maker": "Southfield"}, "invalid", {"long-bolt-same-lot-and-size"}),
    ("the lot tested in another size", {f"{LONG}.bolt.diameter": "1 in"}, "invalid", {"long-bolt-same-lot-and-size"}),
    # Only for a bolt that is too short, of a lot that was tested in the device.
    ("not too short", {"too_short": False}, "invalid", {"too-short"}),
    ("the lot not tested", {"evidence": NOT_MADE}, "incomplete",
     {"long-bolt-valid", "long-bolt-same-lot-and-size", "long-bolt-passes"}),
    ("the lot fails", {f"{LONG}.{COUNT}": 3}, "fail", {"long-bolt-passes"}),
    ("the lot's test is invalid", {f"{LONG}.{LOAD}": "41.1 kip"}, "invalid", {"long-bolt-valid"}),
    ("the lot's test is not complete", {f"{LONG}.{GAP}": NOT_MADE}, "incomplete",
     {"long-bolt-valid", "long-bolt-passes"}),
    # What holds for every test.
    ("a handle extension", {"wrench": "hand with extension"}, "pass", set()),
    ("an impact wrench", {"wrench": "impact"}, "invalid", {"hand-wrench"}),
    ("no second wrench", {"head_held": False}, "invalid", {"bolt-held"}),
    ("another gauge", {"gauge.thickness": "0.015 in"}, "invalid", {"gauge"}),
    ("under the nut, head turned", {"indicator.position": "under nut", "indicator.turned": "head"}, "pass", set()),
    ("under the turned nut", {"indicator.position": "under nut"}, "invalid", {"indicator-under-unturned-element"}),
    ("a 0.015 in gauge about", {"thicker_gauge_off_site": False}, "pass", set()),
]  # fmt: skip


def named(rows: list[Row]) -> list[Any]:
    return [pytest.param(*rest, id=fact) for fact, *rest in rows]


@pytest.mark.parametrize(("changes", "verdict", "because"), named(IN_THE_DEVICE))
def test_in_the_device(changes: Changes, verdict: str, because: set[str]) -> None:
    told = judged(changed(LOT, changes))
    assert (told.verdict.verdict, in_the_way(told)) == (verdict, because)


@pytest.mark.parametrize(("changes", "verdict", "because"), named(SHORT_BOLTS))
def test_a_short_bolt(changes: Changes, verdict: str, because: set[str]) -> None:
    told = judged(changed(SHORT, changes))
    assert (told.verdict.verdict, in_the_way(told)) == (verdict, because)


@pytest.mark.parametrize("rows", [IN_THE_DEVICE, SHORT_BOLTS], ids=["in the device", "a short bolt"])
def test_every_requirement_that_decides_does_so_alone_in_some_row(rows: list[Row]) -> None:
    procedure = FACTS.procedures["dti-lot" if rows is IN_THE_DEVICE else "dti-short-bolt"]
    decide = {each.id for each in procedure.requirements if each.kind != "advice"}
    alone = {id for _, _, _, because in rows if len(because) == 1 for id in because}
    assert decide - alone == ({"covered"} if rows is SHORT_BOLTS else set())


def test_the_records_as_they_stand_pass() -> None:
    """The one of the short bolt names the file of the other."""
    for name in ("lot.yaml", "short.yaml"):
        assert judge(read_record(HERE / "records" / name), FACTS).verdict == "pass"


@pytest.mark.parametrize("record", [LOT, SHORT], ids=["in the device", "a short bolt"])
def test_a_thicker_gauge_about_is_told_all_the_same(record: Any) -> None:
    told = judged(changed(record, {"thicker_gauge_off_site": False}))
    assert [each.finding.id for each in told.findings if each.finding.outcome == "not met"] == ["thicker-gauge-away"]


# The load.

PRACTICE = {"clause": None, "source": "trade", "standing": "common practice", "layer": None}


def load_worked_to(by: Edition) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """The figure of the load, and where it comes from, as the JSON of a verdict tells them."""
    finding = next(each for each in verdict_json(judged(LOT, by))["findings"] if each["requirement"] == "load-reached")
    (comparison,) = finding["comparisons"]
    limit = comparison["limit"]
    return {"value": limit["value"], "unit": limit["unit"]}, limit["from"]


def test_five_percent_more_rounded_down() -> None:
    by_hand = Fraction("1.05") * 39250
    assert (by_hand, by_hand // 1000) == (Fraction("41212.5"), 41)
    figure, origins = load_worked_to(FACTS)
    assert figure == {"value": "41", "unit": "kip"}
    assert origins == [
        {"term": "verification_tension", "value": "41", "unit": "kip", **PRACTICE},
        {"term": "increased_minimum", "value": "41212.5", "unit": "lbf", **PRACTICE},
        {"rule": True, "value": "1.05", "unit": None},
        {"table": "minimum_tension", "key": ["7/8 in"], "value": "39250", "unit": "lbf", **PRACTICE},
    ]


@pytest.mark.parametrize(
    ("minimum", "kip"),
    [
        (39047, 40),  # 40,999.35 lbf
        (39048, 41),  # 41,000.4 lbf
        (39999, 41),  # 41,998.95 lbf; the nearest kip would be 42
        (40000, 42),  # 42,000 lbf exactly
    ],
)
def test_rounded_down_is_neither_up_nor_to_the_nearest(minimum: int, kip: int) -> None:
    assert Fraction(105, 100) * minimum // 1000 == kip
    figure, _ = load_worked_to(edition_of(("39250 lbf", f"{minimum} lbf")))
    assert figure == {"value": str(kip), "unit": "kip"}


# The last day of a calibration.


def test_counted_on_from_the_calibration_no_day_is_late_that_is_in_time_counted_back() -> None:
    """What the reading of "within the last six months" costs: single days at the ends of months, never a day too many.

    Counted on and back by dateutil; that the engine counts on is in the rows above.
    """
    six, differ = relativedelta(months=6), set()
    for n in range(4 * 365):
        tested = date(2025, 1, 1) + timedelta(n)
        for ago in range(170, 190):
            calibrated = tested - timedelta(ago)
            on, back = tested <= calibrated + six, calibrated >= tested - six
            assert back or not on, (calibrated, tested)
            if on is not back:
                differ.add((calibrated.isoformat()[5:], tested.isoformat()[5:]))
    assert ("02-28", "08-29") in differ
    assert {calibrated for calibrated, _ in differ} == {"02-28", "02-29", "04-30", "06-30", "09-30", "11-30"}


# The standing.

CELL = "      standing: invented\n"


def test_every_finding_stands_as_common_practice() -> None:
    for record in (LOT, SHORT):
        found = verdict_json(judged(record))["findings"]
        assert {each["standing"] for each in found if each["requirement"] != "covered"} == {"common practice"}
        assert {each["source"] for each in found if each["requirement"] != "covered"} == {"trade"}
    figures = {name: table.origin.standing for name, table in FACTS.tables.items()}
    assert figures == {"minimum_tension": "common practice", "highest_tension": "invented"}


@pytest.mark.parametrize("record", [LOT, SHORT], ids=["in the device", "a short bolt"])
@pytest.mark.parametrize(
    ("standing", "headline", "advisory", "demonstration"),
    [
        ("invented", "pass; draft rules, not enacted; demonstration figures", False, True),
        ("from memory", "would pass; not for acceptance; draft rules, not enacted", True, False),
        ("common practice", "pass; draft rules, not enacted", False, False),
        ("published", "pass; draft rules, not enacted", False, False),
    ],
)
def test_a_pass_says_where_the_highest_tension_comes_from(
    record: Any, standing: str, headline: str, advisory: bool, demonstration: bool
) -> None:
    """Also of a short bolt, which rests on a test in the device."""
    told = judged(record, edition_of((CELL, CELL.replace("invented", standing))))
    assert (told.headline, told.advisory, told.demonstration) == (headline, advisory, demonstration)
    assert told.verdict.verdict == "pass"


FAILS = "fail: not-closed-early; draft rules, not enacted"


def test_a_failure_says_so_too() -> None:
    assert judged(changed(LOT, {COUNT: 3})).headline == FAILS + "; demonstration figures"
    practice = edition_of((CELL, ""))
    assert judged(changed(LOT, {COUNT: 3}), practice).headline == FAILS


def test_without_any_figure_for_the_highest_tension_nothing_could_pass() -> None:
    """The other honest way to say that it is not given."""
    rule = "require: specimen.at_full_refusal.tension <= highest_tension[bolt.diameter]"
    told = judged(LOT, edition_of((rule, "absent: The table of highest bolt tensions is not given.")))
    assert (told.verdict.verdict, in_the_way(told)) == ("incomplete", {"tension-at-full-refusal"})
    assert not told.demonstration


# What no record shows.


def test_that_the_firm_is_certified_is_left_to_people() -> None:
    left = [each["what"] for each in verdict_json(judged(LOT))["left_to_people"]]
    assert any("certified" in what for what in left)
