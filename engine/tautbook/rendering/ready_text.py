"""How a job stands, and a sample drawn, as text."""

from __future__ import annotations

from collections.abc import Iterator

from ..jobs.equipment import EquipmentStanding
from ..jobs.ready import Ready
from ..jobs.sample import Sample
from ..jobs.standing import Standing, missing_in_words
from ..lang.problem import visible
from .edition_text import enacted_text, left_to_people
from .layout import labelled, paragraph
from .ready_words import RELEASE, headline, how_chosen, sentence


def ready_text(ready: Ready) -> str:
    return "".join(f"{line}\n" for line in _lines(ready))


def _lines(ready: Ready) -> Iterator[str]:
    job = ready.job
    yield visible(headline(ready))
    yield from paragraph(RELEASE, 0)
    yield ""
    title = "" if job.title is None else f"{job.title}, "
    contract = "" if job.contract is None else f", contract {job.contract}"
    yield from labelled("job", f"{title}{job.id}{contract}")
    yield from labelled("rules", f"{ready.edition.name}: {how_chosen(ready)}; {enacted_text(ready.edition)}")
    yield from labelled("digest", ready.edition.digest)
    yield from labelled("on record", f"{ready.records} record{'s' * (ready.records != 1)} judged")
    if ready.on is not None:
        yield from labelled("on the day", ready.on.isoformat())
    if ready.in_the_way:
        yield ""
        yield "In the way, in the order in which to mend it"
        for n, each in enumerate(ready.in_the_way, 1):
            yield from labelled(f"{n:>3}", sentence(each.text), column=7)
            if each.next is not None:
                yield from labelled("", f"Next: {each.next}", column=7)
    yield from _tests(ready)
    if ready.told:
        yield ""
        yield "Worth knowing"
        for each in ready.told:
            yield from labelled("", sentence(each.text), column=7)
    if ready.equipment:
        yield ""
        yield "Equipment"
        for standing in ready.equipment:
            yield from labelled(standing.name, "; ".join(_usable(standing)), column=18)
    if job.dispositions:
        yield ""
        yield "Decided about lots, as stated"
        for decided in job.dispositions:
            much = "" if decided.quantity is None else f", {decided.quantity} of it"
            treatment = "" if decided.treatment is None else f"; {decided.treatment}"
            by = f"by {decided.by} ({decided.role}) on {decided.on}"
            yield from labelled(decided.decision, f"{decided.lot.name}{much}, {by}{treatment}")
    if ready.edition.left_to_people:
        yield ""
        yield "Left to people: what these rules ask that no record can show"
        yield from left_to_people(ready.edition.left_to_people)


def _tests(ready: Ready) -> Iterator[str]:
    title = None
    for each in ready.standings:
        need = each.need
        if (need.procedure.title, need.asked.clause) != title:
            title = (need.procedure.title, need.asked.clause)
            clause = f" ({need.asked.clause})" if need.asked.clause else ""
            yield ""
            yield visible(f"{need.procedure.title}{clause}: one test for each of these")
        yield from labelled(each.state, "; ".join([need.shown, *_facts(each)]))


def _facts(standing: Standing) -> Iterator[str]:
    record, leave, need = standing.record, standing.leave, standing.need
    if record is not None:
        day = "" if record.tested is None else f" of {record.tested}"
        yield f"record {record.id}{day}" + (f", {record.says}" if standing.state != "passed" else "")
    if standing.until is not None:
        yield f"counts until {standing.until}"
    if standing.missing:
        yield f"lacks {missing_in_words(standing)}"
    others = [
        f"{each.id} ({each.verdict}{', repeated' if standing.repeated(each) else ''})"
        for each in standing.records if each is not record
    ]  # fmt: skip
    if others:
        yield f"beside it {', '.join(others)}"
    if leave is not None:
        yield f"by leave of {leave.by} ({leave.role}) on {leave.on}: {leave.why}"
    if need.unsure:
        yield f"asked for as long as the job does not state {', '.join(need.unsure)}"


def _usable(standing: EquipmentStanding) -> Iterator[str]:
    """By each requirement once, whatever the procedures that it stands in."""
    told: dict[str, None] = {}
    for each in standing.usable:
        clause = f" ({each.requirement.origin.clause})" if each.requirement.origin.clause else ""
        if each.until is not None:
            told[f"for tests until {each.until}{clause}"] = None
        if each.on_the_day is False:
            told[f"not on that day: {each.requirement.title}{clause}"] = None
    yield from told or ("these rules set it no day",)


def sample_text(sample: Sample, edition: str) -> str:
    size = len(sample.drawn)
    clause = f" ({sample.clause})" if sample.clause else ""
    lines = [
        visible(f"inspect {', '.join(map(str, sorted(sample.drawn)))} of {sample.of}"),
        *labelled("how many", f"{size} of {sample.population}: {sample.title}{clause}, by {edition}"),
        *labelled("seed", sample.seed),
        *labelled("drawn", f"{', '.join(map(str, sample.drawn))}, in this order"),
        *labelled("record", "write the seed into the record as `drawn: {seed: ...}`, so that it can be drawn again"),
    ]
    return "".join(f"{line}\n" for line in lines)
