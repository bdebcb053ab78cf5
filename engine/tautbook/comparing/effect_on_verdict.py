"""What changes in effect for the verdict of a procedure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from .effect import Deciding, Effect
from .effect_in_words import said_of
from .one_procedure import NO_ANSWER, NONE, UNKNOWN, Answer, Case, OneProcedure, counts, direction
from .proof import STRENGTHS, WAYS, NotReached, Strength, Way


def effect_on_verdict(one: OneProcedure, found: Sequence[Effect]) -> tuple[Effect, Answer]:
    """``found`` are the effects on its requirements. The answer is what records may build on that rest on such a
    verdict: unknown where it may be further than is told."""
    whole = Effect(one.id, None, f"verdict: {one.title}", False, "none", (), (), ())
    weighing = [each for each in found if not each.advice or _weighs(one, each.requirement)]
    if all(each.effect == "none" for each in weighing) and _same_weights(one) and one.prover.same_verdicts:
        reason = "no requirement is judged otherwise, and each weighs what it weighed"
        return _but_for_waivers(one, replace(whole, reason=reason)), NONE
    because = tuple(dict.fromkeys(id for each in weighing if each.effect != "none" for id in each.because))
    because += tuple(id for id in _weights_changed(one) if id not in because)
    if not one.prover.same_verdicts:
        because += tuple(id for id in one.because if id not in because)
    whole = replace(whole, because=because)
    # A record can rest on an earlier one of its own kind, which is judged by what is being compared here.
    one.prover.verdicts = {**one.prover.verdicts, **dict.fromkeys(one.rests_on & {one.id}, UNKNOWN)}
    one.prover.doubtful = False
    try:
        question = one.prover.of_verdict({})
    except NotReached as beyond:
        return replace(whole, effect="not decided", reason=f"the proof does not reach {beyond}"), UNKNOWN
    answer = one.answer(question)
    # The same pass and the same fail; but who rests on such a record can ask whether it is invalid.
    alike = answer != NONE or all(each.effect == "none" for each in weighing)
    return _told(one, whole, weighing, answer), answer if alike and not one.prover.doubtful else UNKNOWN


def _told(one: OneProcedure, whole: Effect, weighing: Sequence[Effect], answer: Answer) -> Effect:
    """The answer with the records that show it."""
    if answer == NONE:
        if any(each.effect == "not decided" for each in weighing):
            reason = "a requirement is not decided; within the bounds the same records pass, and the same fail"
            return replace(whole, effect="not decided", reason=reason)
        return _but_for_waivers(one, replace(whole, reason="proved: the same records pass, and the same fail"))
    records: list[Deciding] = []
    for way, strength in zip(WAYS, answer, strict=True):
        if strength == "unknown" or not counts(answer, strength):
            continue
        record = _of_verdict(one, weighing, answer, way, strength)
        if record is None:
            reason = f"a record with a {way} verdict was found and could not be written down"
            return replace(whole, effect="not decided", reason=reason)
        records.append(record)
    if "unknown" in answer:
        return replace(whole, effect="not decided", reason=NO_ANSWER, records=tuple(records))
    said = said_of(records, verdict=True)
    return replace(whole, effect=direction(answer), records=tuple(records), said=said)


def _of_verdict(
    one: OneProcedure, found: Sequence[Effect], answer: Answer, way: Way, strength: Strength
) -> Deciding | None:
    """A record with another verdict: one at hand, or one made; if it can be, one that goes from pass to fail."""
    for each in STRENGTHS[STRENGTHS.index(strength) :]:
        record = _ready(one, found, way, each) or one.record(None, [Case({}, answer)], way, each)
        if record is not None:
            return record
    return None


def _ready(one: OneProcedure, found: Sequence[Effect], way: Way, strength: Strength) -> Deciding | None:
    """A record made for a requirement that also has another verdict."""
    for effect in found:
        for each in effect.records:
            if each.direction == way and _turns(each, way, strength):
                return replace(each, before=replace(each.before, finding=None),
                               after=replace(each.after, finding=None))  # fmt: skip
    return None


def _weighs(one: OneProcedure, id: str | None) -> bool:
    """Whether a requirement is more than advice in one of the editions."""
    sides = (one.prover.before, one.prover.after)
    return any(id in side.requirements and side.requirements[id].kind != "advice" for side in sides if id)


def _same_weights(one: OneProcedure) -> bool:
    before, after = one.prover.before, one.prover.after
    return {
        id: (each.kind, each.voids, each.over, each.each) for id, each in before.requirements.items()
    } == {id: (each.kind, each.voids, each.over, each.each) for id, each in after.requirements.items()} and dict(
        before.asks
    ) == dict(after.asks)


def _weights_changed(one: OneProcedure) -> Iterator[str]:
    """Changes of what requirements weigh; also of the lists that they speak of, which faults of items void them for."""
    yield from _changed(one, "kind", "voids", "asks")
    before, after = one.prover.before.requirements, one.prover.after.requirements
    spoken = {id for id in before.keys() & after.keys() if before[id].over != after[id].over}
    for change in one.changes:
        if change.part[:3] == ("procedures", one.id, "requirements") and spoken & set(change.part[3:4]):
            yield change.id


def _changed(one: OneProcedure, *parts: str) -> Iterator[str]:
    """Changes of parts of requirements, or of ``asks``."""
    for change in one.changes:
        if change.part[:2] == ("procedures", one.id) and {change.part[-1], *change.part[2:3]} & {*parts}:
            yield change.id


def _but_for_waivers(one: OneProcedure, whole: Effect) -> Effect:
    """No effect, unless another may waive what is not met: that is beyond the proof."""
    changed = tuple(_changed(one, "waivable_by"))
    if not changed:
        return whole
    reason = "who may waive a requirement has changed, and the proof looks at records without waivers"
    return replace(whole, effect="not decided", reason=reason, because=changed)


def _turns(record: Deciding, way: Way, strength: Strength) -> bool:
    """Whether the verdict turns as well, as far as ``strength`` says."""
    pair = record.before.verdict, record.after.verdict
    good, bad = pair if way == "stricter" else pair[::-1]
    match strength:
        case "decided":
            return good == "pass" and bad == "fail"
        case "open":
            return good == "pass" and bad != "pass"
        case _:
            return good != "fail" and bad == "fail"
