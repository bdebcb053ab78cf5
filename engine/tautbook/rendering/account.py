"""What every report of a verdict says, whatever its form: labels and texts."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby

from ..explaining.explain import Explained, Explanation
from ..explaining.labels import item_label, label
from ..judging.findings import place
from ..records.record import Record
from ..shape.shaped import text_at
from .edition_text import derived_from, in_force
from .recorded_text import set_aside

Said = tuple[str, str]
"""A label, which may be empty, and a text."""

PARTS: Mapping[str, str] = {
    "acceptance": "acceptance: does the material pass",
    "setup": "set-up: was the test validly run",
    "advice": "advice: worth saying, never decides",
}
"""Kinds of requirement in the order of a report, each with its heading."""

NO_ACCEPTANCE = (
    "This verdict is not an acceptance of the work. The contract, the local code, the makers' instructions and the"
    " licensed engineer govern."
)


def circumstances(explanation: Explanation) -> Iterator[Said]:
    """What else is to be known of the record before its verdict is read."""
    verdict = explanation.verdict
    record = verdict.record
    yield from _out_of_force(explanation)
    yield from (("caution", remark) for remark in explanation.remarks)
    earlier = text_at(record.shaped, "retest_of")
    if earlier is not None:
        yield "retest of", f"{earlier}; that record stands, whatever this one says"
    for slot, other in record.evidence.items():
        yield "rests on", _rests_on(slot, other, explanation)
    for path in verdict.observed.set_aside:
        yield "set aside", f"{path}: {set_aside(record.shaped, path)}"


def _out_of_force(explanation: Explanation) -> Iterator[Said]:
    """A word of caution where the test was made while the edition was not in force. The contract decides."""
    edition = explanation.verdict.edition
    tested = text_at(explanation.verdict.record.shaped, "tested")
    start, end = edition.effective
    day = None if tested is None else datetime.date.fromisoformat(tested)
    if day is not None and (day < start or (end is not None and day > end)):
        text = f"in force {in_force(edition)}, and the test was made on {tested}"
        yield "caution", f"{text}: see that the contract names this edition"


def _rests_on(slot: str, other: Record, explanation: Explanation) -> str:
    """One of the records that this one rests on, and what it comes to by the same edition."""
    judged = explanation.evidence.get(slot)
    come_to = "these rules know no such test" if judged is None else judged.headline
    title = explanation.verdict.record.words.fields[f"evidence.{slot}"].title
    where = "written out in this record" if other.file == explanation.verdict.record.file else other.file
    return f"{title} {other.id} ({where}): {come_to}"


def why(explanation: Explanation) -> Iterator[Said]:
    """What the verdict rests on, and what happens next."""
    verdict = explanation.verdict
    told = explanation.deciding
    if verdict.verdict in ("pass", "incomplete"):
        # What is broken and does not decide the verdict as it stands is told all the same.
        told = tuple(
            each for each in explanation.findings
            if each.finding.outcome == "not met" and each.finding.requirement.kind != "advice"
        )  # fmt: skip
    if verdict.verdict == "pass":
        counted = {kind: sum(_holds(each, kind) for each in explanation.findings) for kind in ("acceptance", "setup")}
        yield "", f"{counted['acceptance']} findings of acceptance and {counted['setup']} of set-up hold"
    if verdict.verdict == "incomplete":
        yield from _still_open(explanation)
    for id, together in groupby(told, key=lambda each: each.finding.id):
        group = list(together)
        for each in group:
            yield id, _with_clause(each)
        yield from _limits(group, explanation)
    for each in explanation.findings:
        if each.finding.exception is not None and verdict.verdict == "pass" and _is_acceptance(each):
            yield "exception", f"{each.finding.id}: {_with_clause(each)}"
    for item in sorted(explanation.void):
        enough = "; enough others do" if verdict.verdict == "pass" else ""
        yield "void", f"{item_label(item, verdict.record.words)} does not count{enough}"
    if verdict.verdict != "pass":
        stuck = [each for each in explanation.deciding if not each.finding.missing]
        for text in dict.fromkeys(each.next for each in (*told, *stuck) if each.next):
            yield "next", text
    if verdict.verdict == "invalid":
        yield "hold", "this test does not count; the lot stays on hold until a valid one is on record"
    for each in explanation.findings:
        if each.finding.waiver is not None:
            yield "waived", f"{each.finding.id}: {each.sentence}"
    for ignored in verdict.ignored_waivers:
        waiver = ignored.waiver
        said = f"of {waiver.requirement} by {waiver.by} ({waiver.role}) on {waiver.on}: {waiver.why}"
        yield "waiver ignored", f"{said}; {ignored.why}"
    if len(verdict.could_be) > 1:
        yield "could be", ", ".join(verdict.could_be)


def _limits(group: Iterable[Explained], explanation: Explanation) -> Iterator[Said]:
    """Where each limit that was not met came from: the table cell or the term, with its clause."""
    edition, words = explanation.verdict.edition, explanation.verdict.record.words
    compared = [each for explained in group for each in explained.telling if each.outcome == "not met"]
    texts = (text for each in compared if each.limit is not None for text in derived_from(each.limit, edition, words))
    for text in dict.fromkeys(texts):
        yield "limit", text


def outcome(explained: Explained) -> str:
    """The outcome of a finding, and whether a fault of the test voids it."""
    return f"{explained.finding.outcome}{voided(explained)}"


def voided(explained: Explained) -> str:
    return ", void" if explained.finding.voided else ""


def remarks(group: Sequence[Explained]) -> Iterator[Said]:
    """What the edition says beside the requirement of these findings: how a misprint was read, and its note."""
    requirement = group[0].finding.requirement
    if requirement.reading:
        read = requirement.reading
        yield "reading", f"printed {read['printed']}, read as {read['read_as']}: {read['why']}"
    if requirement.note and any(each.finding.outcome not in ("met", "not applicable") for each in group):
        yield "note", requirement.note


def _holds(explained: Explained, kind: str) -> bool:
    return explained.finding.requirement.kind == kind and explained.finding.outcome in ("met", "waived")


def _is_acceptance(explained: Explained) -> bool:
    return explained.finding.requirement.kind == "acceptance"


def _with_clause(explained: Explained) -> str:
    clause = explained.finding.requirement.origin.clause
    return f"{explained.sentence} [{clause}]" if clause else explained.sentence


def _still_open(explanation: Explanation) -> Iterator[Said]:
    """What to record, item by item; and what no recording can mend."""
    words, record = explanation.verdict.record.words, explanation.verdict.procedure.record
    missing = {path for each in explanation.deciding for path in each.finding.missing}
    places: dict[str, list[str]] = {}
    for path in sorted(missing, key=lambda path: (place(path, record), path)):
        item = path.partition(".")[0]
        places.setdefault(item_label(item, words) if "[" in item else "", []).append(label(path, words))
    for where, labels in places.items():
        yield "record", f"{f'{where}: ' if where else ''}{', '.join(labels)}"
    for told, ids in _by_reason(explanation.deciding).items():
        yield "open", f"{told} (asked by {', '.join(dict.fromkeys(ids))})"


def _by_reason(deciding: Iterable[Explained]) -> dict[str, list[str]]:
    """What no recording can mend, each with the requirements that ask for it."""
    found: dict[str, list[str]] = {}
    for each in deciding:
        for reason in each.finding.no_rule:
            found.setdefault(reason.told, []).append(each.finding.id)
    return found
