"""Two editions -> what changes in effect: for each requirement, and for the verdict of each procedure, proved.

A requirement that is the same rule in both, with all that it comes to, has no effect without more. Of any other a
solver is asked, for each combination of the keys that its figures are found by, whether there is a record that one
edition accepts and the other does not, or that one decides and the other leaves open. Records that only one of the two
editions covers are told once, under what each of them covers.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from ..editions.edition import Edition
from ..records.record import Record
from ..shape.vocabulary import vocabulary
from .change import Change
from .deciding import Maker
from .effect import Deciding, Effect, Effects
from .effect_on_verdict import effect_on_verdict
from .effects_on_requirements import effects_of
from .likes import Likes
from .one_procedure import UNKNOWN, Answer, OneProcedure
from .paths import field_info
from .proof import Prover
from .reached import Reach
from .side import Side
from .solving import LIMITS
from .unknowns import FIRST, ITEMS, LAST, POINTS

BOUNDS = (
    ("items of a list", f"up to one more than are asked for, or {ITEMS} if that is more"),
    ("lines of a correction table", f"1 to {POINTS}"),
    ("lists within items", "none: a count is written, not space by space"),
    ("records that a record rests on", "any; for one requirement judged alike by both editions, for the verdict as "
     "their own procedure has effects"),
    ("dates", f"{FIRST} to {LAST}"),
    ("readings", "every value in the range that the record allows"),
    ("waivers, and items set aside", "none"),
    ("what was tested", "what both editions cover; what only one covers is told once, as covered or not; what neither "
     "covers, or a record does not tell, is not looked at"),
    ("invalid, incomplete", "one and the same; from there to fail, or back, is told where nothing else changes"),
    ("work", f"{LIMITS} for one question"),
)


def effects(old: Edition, new: Edition, changes: Sequence[Change], like: Sequence[Record] = ()) -> Effects:
    """All effects of going from ``old`` to ``new``, requirements in the order of ``new``, then the verdict of each
    procedure. Deciding records are made like the records in ``like``."""
    likes = Likes(like, (old, new))
    found: list[Effect] = []
    settled: dict[str, Answer] = {}
    deciding: dict[str, tuple[Deciding, ...]] = {}
    causes: dict[str, tuple[str, ...]] = {}
    for name in _in_order(old, new):
        if name not in old.procedures or name not in new.procedures:
            found.append(_only_one(name, old, new, changes))
            settled[name], causes[name] = UNKNOWN, found[-1].because
            continue
        before, after = Side.of(old.procedures[name], old), Side.of(new.procedures[name], new)
        rests_on = _rests_on(before) | _rests_on(after)
        others = {other: settled.get(other, UNKNOWN) for other in rests_on if other != name}
        prover = Prover(before, after, verdicts=others)
        maker = Maker(prover, likes, {other: deciding[other] for other in rests_on if other in deciding})
        because = tuple(dict.fromkeys(id for other in sorted(rests_on) for id in causes.get(other, ())))
        title = new.procedures[name].title
        one = OneProcedure(name, title, prover, maker, changes, frozenset(rests_on), because)
        ids = dict.fromkeys([*after.requirements, *before.requirements])
        mine = [each for id in ids for each in effects_of(one, id)]
        verdict, settled[name] = effect_on_verdict(one, mine)
        deciding[name], causes[name] = verdict.records, verdict.because
        found += [*mine, verdict]
    order = {name: number for number, name in enumerate(dict.fromkeys([*new.procedures, *old.procedures]))}
    return Effects(tuple(sorted(found, key=lambda each: order[each.procedure])), BOUNDS)


def _in_order(old: Edition, new: Edition) -> list[str]:
    """Procedures, those before that others rest on."""
    names = list(dict.fromkeys([*new.procedures, *old.procedures]))
    on = {
        name: {other for edition in (old, new) if name in edition.procedures
               for other in _rests_on(Side.of(edition.procedures[name], edition))} - {name}
        for name in names
    }  # fmt: skip
    found: list[str] = []
    while names:
        free = next((name for name in names if not (on[name] & set(names))), names[0])
        names.remove(free)
        found.append(free)
    return found


def _rests_on(side: Side) -> set[str]:
    """The procedures of the records that rules of one procedure read the verdict of."""
    words = vocabulary(side.procedure)
    read = Reach(side.rules)
    for requirement in side.requirements.values():
        for node in (requirement.require, requirement.applies, *(each.when for each in requirement.unless)):
            if node is not None:
                read.into(node)
    slots = [path.removesuffix(".verdict") for path in sorted(read.fields)
             if path.startswith("evidence.") and path.endswith(".verdict")]  # fmt: skip
    infos = [] if words is None else [field_info(slot, words) for slot in slots]
    return {info.procedure for info in infos if info is not None and info.procedure is not None}


def _only_one(name: str, old: Edition, new: Edition, changes: Sequence[Change]) -> Effect:
    has = new if name in new.procedures else old
    way: Literal["stricter", "looser"] = "stricter" if has is new else "looser"
    reason = f"only {has.name} has rules for it: records of it are judged by no other"
    ids = tuple(change.id for change in changes if change.part[:2] == ("procedures", name))
    said = {"stricter": "there are rules for it now, and were none before",
            "looser": "there are no rules for it any more"}[way]  # fmt: skip
    title = f"verdict: {has.procedures[name].title}"
    return Effect(name, None, title, False, way, (), ids, (), reason, ((way, said),))
