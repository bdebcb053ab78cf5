"""How it stands with one test that a job needs, by all records that there are of it."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from ..explaining.labels import item_label, label
from ..lang.calendar import shift
from .fault import Fault
from .job import Leave
from .judged import Judged
from .needs import Need
from .placing import otherwise

State = Literal[
    "passed", "advisory", "expired", "failed", "invalid", "incomplete", "in doubt", "missing", "left out"
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Standing:
    """``record`` is the one that decides. *in doubt*: records are there, and none counts as it stands."""

    need: Need
    state: State
    records: tuple[Judged, ...]
    """All of this combination, by the day of the test."""
    record: Judged | None = None
    until: datetime.date | None = None
    """The last day on which it counts, if the edition sets one."""
    next: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    """Of a test that is not finished: the readings that are not recorded."""
    failures: tuple[Judged, ...] = ()
    """All that count against it: no passing record leads back to them. No doubt about a record lets it off."""
    hidden: tuple[Judged, ...] = ()
    """These, where a passing record was made no earlier than the last of them."""
    leave: Leave | None = None

    @property
    def counts(self) -> bool:
        return self.state == "passed"

    def repeated(self, judged: Judged) -> bool:
        """Whether ``judged`` is a failure that a pass leads back to."""
        return judged.shows_failure and not any(judged is each for each in self.failures)


def standing_of(
    need: Need, records: Sequence[Judged], leaves: Iterable[Leave], on: datetime.date | None
) -> Standing:
    """The standing of ``need``; ``records`` are all those of its combination. Without ``on`` nothing expires."""
    ordered = tuple(sorted(records, key=lambda each: (_day(each), each.id)))
    sound = [each for each in ordered if not each.doubts]
    passes = [each for each in sound if each.verdict == "pass"]
    stands = _not_repeated(ordered, passes)
    failures = tuple(each for each in stands if each.shows_failure)
    if failures:
        last = failures[-1]
        behind = any(None in (each.tested, last.tested) or _day(each) >= _day(last) for each in passes)
        then = tuple(dict.fromkeys(text for each in failures for text in next_of(each)))
        hidden = failures if behind else ()
        return Standing(need, "failed", ordered, last, next=then, failures=failures, hidden=hidden)
    if passes:
        later = [each for each in stands if _is_open_after(each, passes)]
        return _unsettled(need, ordered, later[-1]) if later else _passed(need, ordered, passes, on)
    for each in reversed(sound):
        if each.verdict in ("incomplete", "invalid"):
            return _unsettled(need, ordered, each)
    if ordered:
        return Standing(need, "in doubt", ordered, ordered[-1])
    for leave in leaves:
        if may_give(need, leave) and is_left_out(need, leave):
            return Standing(need, "left out", (), leave=leave)
    return Standing(need, "missing", ())


def _day(judged: Judged) -> datetime.date:
    """The day of the test; before any other where it is not stated."""
    return judged.tested or datetime.date.min


def _passed(need: Need, ordered: tuple[Judged, ...], passes: list[Judged], on: datetime.date | None) -> Standing:
    """The last pass decides; one for acceptance before one that is not."""
    best = max(passes, key=lambda each: (not each.explanation.advisory, _day(each)))
    until = None
    if need.asked.lasts is not None and best.tested is not None:
        until = shift(best.tested, need.asked.lasts, need.procedure.rules.months)
    if best.explanation.advisory:
        return Standing(need, "advisory", ordered, best, until)
    if on is not None and until is not None and until < on:
        return Standing(need, "expired", ordered, best, until)
    return Standing(need, "passed", ordered, best, until)


def _unsettled(need: Need, ordered: tuple[Judged, ...], last: Judged) -> Standing:
    """By a test that is not finished, or was not valid."""
    if last.verdict == "incomplete":
        return Standing(need, "incomplete", ordered, last, next=next_of(last), missing=missing_of(last))
    return Standing(need, "invalid", ordered, last, next=next_of(last))


def _is_open_after(judged: Judged, passes: list[Judged]) -> bool:
    """Whether a test that is not finished, or was not valid, came after every pass: it is to be made again, and until
    then the lot is on hold, whatever was found before. One that shows what would have failed is settled by no day, in
    which there may be a slip, but by a pass that names it."""
    if judged.verdict not in ("incomplete", "invalid"):
        return False
    if judged.breaks_acceptance:
        return True
    return judged.tested is None or all(each.tested is None or each.tested < judged.tested for each in passes)


def _not_repeated(every: tuple[Judged, ...], passes: list[Judged]) -> list[Judged]:
    """The records that no pass leads back to, from retest to earlier test. A number that two records have leads
    nowhere, and no pass repeats what was tested after it."""
    earlier = {each.id: each.retest_of for each in every if not _shares_its_number(each)}
    last: dict[str, datetime.date] = {}
    for each in passes:
        day, id = each.tested or datetime.date.max, each.retest_of
        while id is not None and last.get(id, datetime.date.min) < day:
            last[id] = day
            id = earlier.get(id)
    return [each for each in every if _shares_its_number(each) or each.id not in last or _day(each) > last[each.id]]


def _shares_its_number(judged: Judged) -> bool:
    return any(doubt.code == "two-records" for doubt in judged.doubts)


def next_of(judged: Judged) -> tuple[str, ...]:
    """What the edition says to do next, of the findings that decide; of open ones what to record is said apart."""
    found = (each.next for each in judged.explanation.deciding if each.finding.outcome != "open")
    return tuple(dict.fromkeys(text for text in found if text is not None))


def missing_of(judged: Judged) -> tuple[str, ...]:
    """The readings that an unfinished test still needs, and the items."""
    paths = [path for each in judged.explanation.deciding for path in each.finding.missing]
    few = [
        f"{listed.asked - listed.recorded} more {path}"
        for path, listed in judged.explanation.verdict.lists.items()
        if listed.recorded < listed.asked
    ]
    return tuple(dict.fromkeys([*paths, *few]))


def missing_in_words(standing: Standing) -> str:
    """What an unfinished test still needs, item by item."""
    words = standing.need.words
    found: dict[str, list[str]] = {}
    for each in standing.missing:
        item = each.partition(".")[0]
        found.setdefault(item_label(item, words) if "[" in item else "", []).append(label(each, words))
    return "; ".join(f"{f'{item}: ' if item else ''}{', '.join(said)}" for item, said in found.items())


def may_give(need: Need, leave: Leave) -> bool:
    """Whether the edition lets that role give leave not to make this test."""
    return leave.role.casefold() in {role.casefold() for role in need.asked.waivable_by}


def is_left_out(need: Need, leave: Leave) -> bool:
    """Whether ``leave`` speaks of this test."""
    said = {key.path: key.written for key in need.keys}
    return leave.procedure == need.procedure.id and all(
        path in said and (said[path] == text or said[path].startswith(f"{text} (")) for path, text in leave.only.items()
    )


def fault_of(standing: Standing) -> Fault | None:
    """What is in the way of one test; None if nothing is, or if it was named where the doubt comes from."""
    need = standing.need
    test = f"{need.procedure.title}: {need.shown}"
    unsure = f" (asked for as long as the job does not state {', '.join(need.unsure)})" if need.unsure else ""
    record = "" if standing.record is None else f"record {standing.record.id}"
    day = "" if standing.record is None or standing.record.tested is None else f" of {standing.record.tested}"
    ids = tuple(each.id for each in standing.records)
    needs = (need,)
    then = " ".join(standing.next) or None
    clause = f" ({need.asked.clause})" if need.asked.clause else ""
    match standing.state:
        case "failed" if standing.hidden:
            failed = " and ".join(each.id for each in standing.hidden)
            passing = " and ".join(each.id for each in standing.records if each.verdict == "pass" and not each.doubts)
            text = f"{test}: {passing} passes, and does not name the failure {failed} of the same"
            said = [f"record {each.id} says {slip}" for each in standing.hidden if (slip := otherwise(each, need))]
            return Fault("hidden-failure", "; ".join([text, *said]), then, ids, needs)
        case "failed":
            said = [_failed(each, need) for each in reversed(standing.failures)]
            return Fault("failed", f"{test}: {'; '.join(said)}", then, ids, needs)
        case "invalid":
            shows = "; it shows what would have failed, and no pass names it as the test that it repeats"
            broken = standing.record is not None and standing.record.breaks_acceptance and _has_pass(standing)
            text = f"{test}: {record}{day} is invalid{shows if broken else ''}"
            return Fault("invalid", text, then, ids, needs)
        case "incomplete":
            told = standing.record.says if standing.record is not None else ""
            what = f"Record {missing_in_words(standing)}." if standing.missing else then
            return Fault("incomplete", f"{test}: {record}{day} is {told}", what, ids, needs)
        case "missing":
            return Fault("missing", f"{test}: no test is on record{unsure}", f"Make the test{clause}.", needs=needs)
        case "expired":
            text = f"{test}: {record}{day} counted until {standing.until}"
            return Fault("expired", text, f"Make the test again{clause}.", ids, needs)
        case "advisory":
            text = f"{test}: {record}{day} would pass by figures from memory, not for acceptance"
            return Fault("advisory", text, "Have the figures checked against their source.", ids, needs)
        case _:
            return None


def _has_pass(standing: Standing) -> bool:
    return any(each.verdict == "pass" for each in standing.records)


def _failed(judged: Judged, need: Need) -> str:
    """That a record failed; and what else it says than this test, which is no reason to pass it over."""
    day = "" if judged.tested is None else f" of {judged.tested}"
    what = "fails" if judged.verdict == "fail" else "is not finished and cannot pass any more"
    slip = otherwise(judged, need)
    all_the_same = f" (it says {slip}, which does not take it off this test)" if slip else ""
    return f"record {judged.id}{day} {what}{all_the_same}"
