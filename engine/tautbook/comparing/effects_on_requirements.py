"""What changes in effect for each requirement: who is judged otherwise, and which changes of wording cause it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from ..editions.edition import Requirement
from ..explaining.labels import label
from ..lang.values import Plain
from ..shape.vocabulary import vocabulary
from .causes import Part, differing, with_parts
from .effect import Deciding, Effect
from .effect_in_words import said_of
from .one_procedure import NO_ANSWER, NONE, UNKNOWN, Case, OneProcedure, counts, direction
from .proof import WAYS, NotReached, Question
from .reached import alike, combinations
from .scopes import among, boxes, scope


def effects_of(one: OneProcedure, id: str) -> Iterator[Effect]:
    """The effects on one requirement: one where it is the same for all that is covered, else one for each part."""
    prover = one.prover
    old, new = prover.before.requirements.get(id), prover.after.requirements.get(id)
    said = new or old
    assert said is not None
    whole = Effect(one.id, id, said.title, said.kind == "advice", "none", (), (), ())
    if old is not None and new is not None and alike(old, new, prover.before, prover.after):
        yield replace(whole, reason="the same rule")
        return
    reaches = [prover.reach(id, side) for side in (prover.before, prover.after) if id in side.requirements]
    keys, every = combinations(reaches)
    cases = [_case(one, id, old, new, fixed) for fixed in every]
    if all(case.answer == NONE for case in cases):
        yield _beyond(one, whole, id, every) or _without_effect(one, whole, id, old, new, every)
        return
    groups: dict[tuple[object, ...], list[Case]] = {}
    for case in cases:
        if case.answer != NONE:
            kinds = tuple(dict.fromkeys(map(_kind, case.parts)))
            groups.setdefault((case.answer, kinds, case.reason), []).append(case)
    for group in groups.values():
        for box in boxes(keys, [case.fixed for case in group]):
            inside = _caused(one, id, [case for case in group if _in(case.fixed, keys, box)])
            narrowed = scope(keys, box)
            yield _effect(one, replace(whole, scope=narrowed, among=among(keys, narrowed)), id, inside)


def _case(
    one: OneProcedure, id: str, old: Requirement | None, new: Requirement | None, fixed: Mapping[str, Plain]
) -> Case:
    try:
        question = one.prover.of_requirement(id, fixed)
    except NotReached as beyond:
        return Case(fixed, UNKNOWN, (), f"the proof does not reach {beyond}")
    answer = one.answer(question)
    if answer == NONE:
        return Case(fixed, answer)
    parts = differing(old, new, one.prover.before, one.prover.after, _cells(question))
    reason = NO_ANSWER if "unknown" in answer else None
    return Case(fixed, answer, parts, reason)


def _caused(one: OneProcedure, id: str, group: Sequence[Case]) -> list[Case]:
    """Cases in which the same parts differ, each with those that cause its effect, as far as one at either end
    tells: that have one alone, or without which it would be another. Where that is none, all: they act only
    together."""
    if len({_kind(part) for part in group[0].parts}) < 2:
        return list(group)
    acting: set[tuple[str, str]] = set()
    for case in (group[0], group[-1]):
        for kind in dict.fromkeys(map(_kind, case.parts)):
            if kind not in acting and _acts(one, id, case, kind):
                acting.add(kind)
    return [
        replace(case, parts=tuple(part for part in case.parts if _kind(part) in acting) or case.parts)
        for case in group
    ]


def _acts(one: OneProcedure, id: str, case: Case, kind: tuple[str, str]) -> bool:
    """Whether parts of one kind have an effect alone, or the others without them another."""
    if _alone(one, id, case.fixed, [part for part in case.parts if _kind(part) == kind]):
        return True
    question = _with(one, id, case.fixed, [part for part in case.parts if _kind(part) != kind])
    return question is None or one.answer(question) != case.answer


def _alone(one: OneProcedure, id: str, fixed: Mapping[str, Plain], parts: Sequence[Part]) -> bool:
    """Whether some parts have an effect without the others."""
    question = _with(one, id, fixed, parts)
    return question is not None and not one.prover.judges_alike(question)


def _with(one: OneProcedure, id: str, fixed: Mapping[str, Plain], parts: Sequence[Part]) -> Question | None:
    """What the edition before would do with some parts of the other put in; None: it would make no sense."""
    before = one.prover.before
    try:
        mixed = with_parts(before, one.prover.after, parts, id)
        return one.prover.of_requirement(id, fixed, after=mixed)
    except (NotReached, KeyError, ValueError, AttributeError):
        return None
    except Exception as error:
        if type(error).__module__.startswith("z3"):
            return None  # kinds that do not go together
        raise


def _beyond(one: OneProcedure, whole: Effect, id: str, every: Sequence[Mapping[str, Plain]]) -> Effect | None:
    """Not decided, where lists longer than those that were looked through can tell the editions apart."""
    before, after = one.prover.before, one.prover.after
    if not any(one.prover.reach(id, side).counts for side in (before, after) if id in side.requirements):
        return None
    for fixed in every:
        lists = one.prover.counts_beyond(id, fixed)
        if lists:
            parts = differing(before.requirements.get(id), after.requirements.get(id), before, after)
            words = vocabulary(one.id)
            named = " and ".join(path if words is None else label(path, words) for path in lists)
            reason = f"within the bounds no record is judged otherwise, but it counts {named}, which can be more"
            return replace(whole, effect="not decided", reason=reason, because=one.ids(parts, id))
    return None


def _without_effect(
    one: OneProcedure, whole: Effect, id: str, old: Requirement | None, new: Requirement | None,
    every: Sequence[Mapping[str, Plain]],
) -> Effect:  # fmt: skip
    parts = differing(old, new, one.prover.before, one.prover.after)
    alone = len(parts) > 1 and any(
        _alone(one, id, fixed, [part]) for fixed in every[:40] for part in parts[:10]
    )
    reason = "proved: the changes cancel each other" if alone else "proved: no record is judged otherwise"
    return replace(whole, reason=reason, because=one.ids(parts, id))


def _effect(one: OneProcedure, whole: Effect, id: str, cases: Sequence[Case]) -> Effect:
    answer = cases[0].answer
    parts = tuple(dict.fromkeys(part for case in cases for part in case.parts))
    made = replace(whole, because=one.ids(parts, id))
    if cases[0].reason is not None:
        return replace(made, effect="not decided", reason=cases[0].reason)
    records: list[Deciding] = []
    for way, strength in zip(WAYS, answer, strict=True):
        if not counts(answer, strength):
            continue
        record = one.record(id, cases, way, strength)
        if record is None:
            reason = f"a record that would be judged {way} was found and could not be written down"
            return replace(made, effect="not decided", reason=reason)
        records.append(record)
    return replace(made, effect=direction(answer), records=tuple(records), said=said_of(records))


def _kind(part: Part) -> tuple[str, str]:
    return part.what, part.name


def _cells(question: Question) -> Mapping[str, set[tuple[object, ...]]]:
    found: dict[str, set[tuple[object, ...]]] = {}
    for translation in question.translations:
        for table, keys in translation.cells.items():
            found.setdefault(table, set()).update(keys)
    return found


def _in(fixed: Mapping[str, Plain], keys: Mapping[str, tuple[Plain, ...]], box: tuple[tuple[Plain, ...], ...]) -> bool:
    return all(fixed[path] in values for path, values in zip(keys, box, strict=True))
