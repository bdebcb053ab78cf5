"""What the solver proves of two rules, held to a search through small grids and to the evaluator."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, get_args

import pytest

pytest.importorskip("z3")

import z3

from comparing.editions import SMALL
from comparing.grids import BASE, LIST, as_file, data, findings, grid, read
from comparing.pairs import RULES, pair
from reference.both import by_engine, edition_of
from tautbook.comparing.causes import differing, place_of
from tautbook.comparing.models import fraction_of
from tautbook.comparing.proof import STRENGTHS, WAYS, Prover, Question, Strength, Way
from tautbook.comparing.reached import alike, combinations
from tautbook.comparing.side import Side
from tautbook.comparing.solving import STEPS, Solver
from tautbook.comparing.symbols import Day, NotReached
from tautbook.comparing.unknowns import Unknown, on_grid
from tautbook.editions.edition import Procedure
from tautbook.judging.findings import Finding
from tautbook.lang.evaluate import evaluate, steps_below
from tautbook.lang.kernel import Compare, If, Node, Over, Relation, Round
from tautbook.lang.number import LONGEST
from tautbook.lang.quantity import ONE, Quantity, show
from tautbook.lang.units import UNITS
from tautbook.lang.values import Open

RANK = {"met": 2, "not applicable": 2, "open": 1, "not met": 0}
STRENGTH: dict[Strength, int] = {"none": 0, "refused": 1, "open": 2, "decided": 3}
PAIRS = 200


def strength(good: int, bad: int) -> int:
    """How far one outcome is better than another: by nothing, from open to refused, from accepted to open, from
    accepted to refused."""
    return 0 if good <= bad else 3 if (good, bad) == (2, 0) else good


def best(before: tuple[Finding, ...], after: tuple[Finding, ...]) -> tuple[int, int]:
    """How far a record makes the new rule stricter, and how far looser."""
    pairs = [
        (RANK[one.outcome], RANK[two.outcome]) for one in before for two in after
        if one.item == two.item or None in (one.item, two.item)
    ]  # fmt: skip
    return (
        max((strength(one, two) for one, two in pairs), default=0),
        max((strength(two, one) for one, two in pairs), default=0),
    )


def covered(procedure: Procedure, readings: Mapping[str, str]) -> bool:
    node = procedure.rules.terms["covers bolt.grade"].body
    value = evaluate(node, procedure.rules, data(readings, 0)).value
    return not (isinstance(value, Open) and value.stuck)


def judged(editions: tuple[str, str], id: str, record: str) -> tuple[int, int] | None:
    """The same of a whole record in a file; None where it is refused."""
    found = []
    for text in editions:
        verdict, problems = by_engine(text, record)
        if verdict is None:
            assert problems
            return None
        found.append(tuple(each for each in verdict.findings if each.id == id))
    return best(found[0], found[1])


# A record of what the solver found


def told(model: Any, question: Question) -> dict[str, str]:
    """The readings of a model."""
    unknowns = question.unknowns

    def yes(flag: Any) -> bool:
        return bool(z3.is_true(model.eval(flag, model_completion=True)))

    def whole(formula: Any) -> int:
        return int(model.eval(formula, model_completion=True).as_long())

    def text(unknown: Unknown) -> str:
        if isinstance(unknown.value, Day):
            year, month = divmod(whole(unknown.value.month), 12)
            return f"{year}-{month + 1:02}-{whole(unknown.value.day):02}"
        if z3.is_bool(unknown.value):
            return "true" if yes(unknown.value) else "false"
        if z3.is_int(unknown.value):
            return unknowns.words.word(whole(unknown.value))
        value = fraction_of(model, unknown.value)
        names = unknown.info.units if unknown.info is not None else ()
        return min((show(Quantity(value, unit)) for unit in [UNITS[name] for name in names] or [ONE]), key=len)

    readings = dict(BASE)
    for path, listed in unknowns.lists.items():
        if path == LIST and yes(listed.written):
            readings[LIST] = str(whole(listed.length))
    readings |= {path: text(unknown) for path, unknown in unknowns.fields.items() if yes(unknown.known)}
    for path, there in unknowns.there.items():
        if yes(there) and path == "device":
            readings["device.serial"] = "D-1"
    if any(path.startswith("device.corrections.") for path in readings):
        readings.setdefault("device.corrections.sign", "add to dial")
    return readings


def model_of(question: Question, way: Way, strength: Strength) -> Any | None:
    """A record that is judged so, of plain readings if there is one; None: none within the time."""
    hard = [*question.must, *question.lines, question.of(way, strength)]
    for rounded in (True, False):
        solver = Solver(hard, STEPS // 20 if rounded else STEPS, thorough=True)
        if rounded:
            for unknown in question.unknowns.fields.values():
                info = unknown.info
                if info is not None and info.units and z3.is_real(unknown.value):
                    unit = UNITS[info.units[0]]
                    solver.add([on_grid(unknown, unit.scale / 16, unit.offset)])
        if solver.check() == "sat":
            return solver.model()
    return None


@dataclass
class Seen:
    """What came by."""

    nodes: Counter[str]
    counts: Counter[str]


def hold(editions: tuple[str, str], source: random.Random, seen: Seen) -> None:
    old, new = map(edition_of, editions)
    one, two = old.procedures["dti-lot"], new.procedures["dti-lot"]
    prover = Prover(Side.of(one, old), Side.of(two, new))
    for n in range(1, RULES + 1):
        id = f"rule-{n}"
        before, after = prover.before.requirements[id], prover.after.requirements[id]
        what = read([(before, one), (after, two)])
        seen.nodes.update(map(_kind, what.nodes))
        seen.nodes.update(f"months {each.rules.months}" for each in (one, two) if "Shift" in map(_kind, what.nodes))
        seen.counts["pairs"] += 1
        try:
            question = prover.of_requirement(id, {})
        except NotReached:
            seen.counts["not reached"] += 1
            continue
        proved = [prover.strength(question, way) for way in WAYS]
        seen.counts.update(f"proved {each}" for each in proved)
        _in_parts(prover, id, proved, seen)
        # Whatever a record shows, the solver has not said that there is none.
        for readings in grid(what, source):
            if not (covered(one, readings) and covered(two, readings)):
                continue
            found = findings(before, one, readings), findings(after, two, readings)
            shown = best(*found)
            seen.counts["records"] += 1
            seen.counts["deciding records"] += shown != (0, 0)
            _stuck(found[0] + found[1], seen)
            for number in (0, 1):
                if proved[number] == "unknown" or shown[number] <= STRENGTH[proved[number]]:
                    continue
                whole = judged(editions, id, as_file(readings))
                if whole is None:
                    seen.counts["refused"] += 1
                elif proved[number] != "none" and _late(prover, question, WAYS[number]):
                    seen.counts["late"] += 1
                else:
                    assert whole[number] <= STRENGTH[proved[number]], (
                        f"{id} {proved}, and this shows {whole}\n{before.says}\n{after.says}\n{as_file(readings)}"
                    )
        # Whatever the solver found, the evaluator says so too.
        for number, way in enumerate(WAYS):
            if proved[number] in ("none", "unknown"):
                continue
            model = model_of(question, way, proved[number])
            if model is None:
                seen.counts["no model"] += 1
                continue
            readings = told(model, question)
            record = as_file(readings)
            whole = judged(editions, id, record)
            if whole is None:
                seen.counts["model refused"] += 1
                # No reading is written with so many digits; any other record must be one that can be judged.
                assert max(len(text) for text in readings.values()) > LONGEST, record
                continue
            seen.counts["models held"] += 1
            assert whole[number] >= STRENGTH[proved[number]], (
                f"{id} {way} {proved}, and the evaluator says {whole}\n{before.says}\n{after.says}\n{record}"
            )


def _in_parts(prover: Prover, id: str, proved: list[Strength], seen: Seen) -> None:
    """Asked for each combination of keys alone, together the answers are the same."""
    sides = prover.before, prover.after
    keys, every = combinations([prover.reach(id, side) for side in sides])
    if not keys or "unknown" in proved:
        return
    parts = [[prover.strength(prover.of_requirement(id, fixed), way) for fixed in every] for way in WAYS]
    if not any("unknown" in answers for answers in parts):
        assert [max(answers, key=STRENGTH.__getitem__) for answers in parts] == proved, (id, keys, parts)
        seen.counts["asked in parts"] += 1


def _late(prover: Prover, question: Question, way: Way) -> bool:
    """Whether a stronger answer was not found in time."""
    return any(prover.ask(question, question.of(way, each)) == "unknown" for each in STRENGTHS)


def _kind(node: Node) -> str:
    match node:
        case Round(way=way, ties=ties):
            return f"Round {way} {ties}"
        case Over(what=what):
            return f"Over {what}"
        case Compare(relation=relation):
            return f"Compare {relation}"
        case _:
            return type(node).__name__


def _stuck(found: tuple[Finding, ...], seen: Seen) -> None:
    for each in found:
        seen.nodes.update(f"stuck {reason.by}" for reason in each.no_rule)
        if each.require is not None and each.outcome != "open":
            seen.nodes["chosen with an open condition"] += any(
                isinstance(step.node, If) and not isinstance(step.value, Open)
                and isinstance(step.parts[0].value, Open) for step in steps_below(each.require)
            )  # fmt: skip


ALL = {
    *(each.__name__ for each in get_args(Node)), *(f"Compare {each}" for each in get_args(Relation)),
    "Round nearest up", "Round nearest even", "Round up None", "Round down None",
    *(f"Over {each}" for each in ("count", "every", "some", "smallest", "largest", "sum", "mean")),
    *(f"months {each}" for each in ("clamp", "roll over", "refuse")),
    *(f"stuck {each}" for each in (
        "no rule", "division by zero", "outside the points", "date refused", "empty list")),
    "chosen with an open condition",
} - {"Compare", "Round", "Over", "NoRule"}  # fmt: skip
"""Only folding makes a ``NoRule``: it stands in no edition."""


def many(seed: int, editions: int) -> Seen:
    source = random.Random(seed)
    seen = Seen(Counter(), Counter())
    for _ in range(editions):
        hold(pair(source), source, seen)
    counts = seen.counts
    assert counts["proved unknown"] + counts["no model"] + counts["model refused"] < counts["pairs"] // 20 + 2, counts
    assert counts["proved none"] > counts["pairs"] // 4 and counts["models held"] > counts["pairs"] // 4, counts
    return seen


def test_proofs_of_a_sample() -> None:
    many(1, 5)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_proofs(seed: int) -> None:
    """2,000 pairs of rules in all."""
    seen = many(100 + seed, PAIRS // 4)
    assert seen.nodes.keys() >= ALL, ALL - seen.nodes.keys()


RESTING = SMALL + """\
procedures:
  dti-lot:
    asks: {specimens: ASKED}
    requirements:
      any: {title: any, kind: acceptance, require: head_held}
  dti-short-bolt:
    requirements:
      longer-bolts:
        title: longer bolts
        kind: acceptance
        require: every(evidence.long_bolt.specimens, specimen.at_verification.refusals <= 2)
"""


def test_lists_of_another_record_are_as_long_as_its_own_rules_ask() -> None:
    """Where more are asked for in the other record, one that was enough leaves the rule open."""
    two, three = (edition_of(RESTING.replace("ASKED", asked)) for asked in ("2", "3"))
    sides = [Side.of(each.procedures["dti-short-bolt"], each) for each in (two, three)]
    before, after = (side.requirements["longer-bolts"] for side in sides)
    assert not alike(before, after, *sides)
    prover = Prover(*sides)
    assert [prover.strength(prover.of_requirement("longer-bolts", {}), way) for way in WAYS] == ["open", "none"]
    assert [(part.what, part.name) for part in differing(before, after, *sides)] == [
        ("asks", "evidence.long_bolt.specimens")
    ]
    assert place_of(differing(before, after, *sides)[0], "dti-short-bolt", "longer-bolts") == (
        "procedures", "dti-lot", "asks", "specimens",
    )  # fmt: skip


def test_lists_of_another_record_can_tell_one_more_specimen() -> None:
    """Of five that are asked for there, four and five are told apart."""
    text = RESTING.replace("ASKED", "5")
    rule = "every(evidence.long_bolt.specimens, specimen.at_verification.refusals <= 2)"
    four, five = (edition_of(text.replace(rule, f"count{rule[5:]} >= {least}")) for least in (4, 5))
    prover = Prover(*(Side.of(each.procedures["dti-short-bolt"], each) for each in (four, five)))
    assert [prover.strength(prover.of_requirement("longer-bolts", {}), way) for way in WAYS] == ["decided", "none"]


def test_more_items_are_looked_through_than_are_asked_for() -> None:
    """Of one specimen, some and every say the same; whoever tests a second one is judged otherwise."""
    text = RESTING.replace("ASKED", "1")
    rule = "'{}(specimens, specimen.at_verification.refusals <= 2)'"
    some, every = (edition_of(text.replace("require: head_held", f"require: {rule.format(which)}"))
                   for which in ("some", "every"))  # fmt: skip
    prover = Prover(*(Side.of(each.procedures["dti-lot"], each) for each in (some, every)))
    assert [prover.strength(prover.of_requirement("any", {}), way) for way in WAYS] == ["decided", "none"]
