"""Small editions and records at random: two procedures, one of which rests on the other."""

from typing import Any

from reference.both import Pick, write
from reference.shapes import Tree

LOT_ITEMS = (
    "specimen.at_verification.refusals <= 2",
    "specimen.at_verification.tension >= load",
    "corrected(specimen.at_verification.tension) >= load",
    "specimen.at_full_refusal.tension <= 1.2 * load",
    "specimen.at_full_refusal.visible_gap",
    'not (specimen.ended is one of {"fracture", "seized"})',
    "specimen.at_verification.refusals <= indicator.spaces / 2",
    "specimen.at_full_refusal.refusals >= turns[bolt.length / bolt.diameter]",
)
LOT_RECORD = (
    "head_held",
    "every(specimens, specimen.at_verification.refusals <= 2)",
    "count(specimens, specimen.at_verification.tension >= load) >= 2",
    "most <= 2",
    "sum(specimens, specimen.at_verification.refusals) <= 4",
    'bolt.grade = "A325" or head_held',
    "tested <= device.calibrated + 6 months",
    "recorded(wrench)",
    "local.crew_told",
    "not retest or head_held",
)
SHORT_ITEMS = (
    "specimen.nut_runs",
    'specimen.ended = "nothing"',
    "specimen.at_full_refusal.refusals >= indicator.spaces",
    "specimen.nut_runs or top_load < 1.1 * load",
    'specimen.nut_runs and evidence.long_bolt.verdict = "pass"',
)
SHORT_RECORD = (
    "head_held",
    "local.crew_told",
    'evidence.long_bolt.verdict = "pass"',
    'evidence.long_bolt.verdict is one of {"pass", "fail"}',
    'if evidence.long_bolt.verdict = "fail" then head_held else recorded(evidence.long_bolt.bolt.lot)',
    "recorded(evidence.long_bolt)",
    "recorded(evidence.long_bolt.specimens) or head_held",
    "evidence.long_bolt.bolt.diameter = bolt.diameter",
    "evidence.long_bolt.bolt.grade = bolt.grade",
    "top_load <= 1.2 * load",
    "mean(evidence.long_bolt.specimens, specimen.at_verification.refusals) <= 2",
    "every(evidence.long_bolt.specimens, specimen.at_verification.refusals <= 2)",
    "some(evidence.long_bolt.specimens, specimen.at_full_refusal.visible_gap)",
    "count(evidence.long_bolt.specimens, recorded(specimen.ended)) >= 2",
    "smallest(evidence.long_bolt.specimens, corrected_there(specimen.at_verification.tension)) >= load",
    "not retest or evidence.earlier.id = retest_of",
    'evidence.earlier.verdict != "fail"',
    "evidence.earlier.evidence.long_bolt.tested <= tested",
    'evidence.earlier.evidence.long_bolt.verdict = "pass" or head_held',
    "count(evidence.earlier.specimens, specimen.nut_runs) = 0",
    "every(specimens, specimen.nut_runs)",
)
TERMS = {
    "load": {"title": "load", "is": "loads[bolt.grade]"},
    "most": {"title": "most", "is": "largest(specimens, specimen.at_verification.refusals)"},
    "corrected": {"title": "corrected", "of": {"tension": "force"},
                  "is": "tension + interpolate(device.corrections.points, tension)"},
    "corrected_there": {"title": "corrected there", "of": {"tension": "force"},
                        "is": "tension + interpolate(evidence.long_bolt.device.corrections.points, tension)"},
    "top_load": {"title": "top load",
                 "is": "largest(evidence.long_bolt.specimens, specimen.at_full_refusal.tension)"},
}  # fmt: skip


def _requirements(pick: Pick, of_items: tuple[str, ...], of_record: tuple[str, ...]) -> Tree:
    def one(of: tuple[str, ...]) -> str:
        return of[pick(len(of))]

    requirements: Tree = {}
    for n in range(2 + pick(4)):
        each = pick(3) > 0
        pool = (*of_items, *of_record) if each and pick(3) == 0 else of_items if each else of_record
        kind = one(("acceptance", "acceptance", "setup", "setup", "advice"))
        rule: Tree = {"title": f"rule {n}", "kind": kind}
        if each:
            rule["each"] = "specimens"
        if pick(12):
            rule["require"] = one(pool)
        else:
            rule["absent"] = "asked in words only"
        if rule["kind"] == "setup" and pick(3):
            rule["voids"] = one(("passes", "failures", "both"))
        if pick(4) == 0:
            rule["applies"] = one((*pool, 'bolt.grade = "A325"'))
        if pick(4) == 0:
            rule["unless"] = {f"case-{k}": {"title": "a case", "when": one(pool)} for k in range(1 + pick(2))}
        if rule["kind"] != "advice" and pick(3) and "absent" not in rule:
            rule["waivable_by"] = ["engineer"]
        requirements[f"rule-{n}"] = rule
    return requirements


def small_edition(pick: Pick) -> str:
    return write({
        "ruleset": "small", "edition": "one", "language": "1", "title": "A small edition",
        "effective": {"from": "2020-01-01"}, "months": "clamp",
        "sources": {"s": {"title": "Invented", "standing": "invented"}},
        "covers": {"bolt.grade": {"A325": {"also": ["Group 120"], "when": "head_held"}, "A490": {}}},
        "fields": {"crew_told": {"kind": "yes-no", "title": "crew told",
                                 "description": "Whether the crew was told."}},
        "tables": {"loads": {"title": "loads", "by": [{"key": "bolt.grade"}], "source": {"of": "s", "clause": "T"},
                             "rows": {"A325": "41 kip", "A490": "51 kip"}},
                   "turns": {"title": "turns", "by": [{"key": "ratio", "kind": "number", "bands": "true"}],
                             "source": {"of": "s", "clause": "U"}, "rows": {"up to 4": "4", "over 4 up to 8": "5"}}},
        "terms": TERMS,
        "procedures": {
            "dti-lot": {"asks": {"specimens": str(1 + pick(3))},
                        "requirements": _requirements(pick, LOT_ITEMS, LOT_RECORD)},
            "dti-short-bolt": {"asks": {"specimens": str(1 + pick(2))},
                               "requirements": _requirements(pick, SHORT_ITEMS, SHORT_RECORD)},
        },
    })  # fmt: skip


def _maybe(pick: Pick, into: Tree, name: str, *of: Any) -> None:
    if pick(8):
        into[name] = of[pick(len(of))]


def _lot_specimen(pick: Pick) -> Tree:
    counted: Tree = {}
    last: Tree = {}
    _maybe(pick, counted, "tension", "41 kip", "42 kip", "40 kip")
    _maybe(pick, counted, "refusals", "0", "1", "2", "2", "3")
    _maybe(pick, last, "tension", "48 kip", "49.5 kip")
    _maybe(pick, last, "refusals", "5", "5", "4")
    _maybe(pick, last, "visible_gap", "true", "true", "false")
    return {"at_verification": counted, "at_full_refusal": last}


def _short_specimen(pick: Pick) -> Tree:
    specimen: Tree = {"at_full_refusal": {}}
    _maybe(pick, specimen["at_full_refusal"], "refusals", "5", "5", "4")
    _maybe(pick, specimen, "nut_runs", "true", "true", "false")
    return specimen


def small_record(pick: Pick, procedure: str, deepest: int = 2) -> Tree:
    record: Tree = {"procedure": procedure, "id": f"S-{1 + pick(1000)}"}
    record["tested"] = ("2026-04-14", "2026-08-28", "2026-08-31")[pick(3)]
    record["bolt"] = {"grade": ("A325", "A325", "A325", "A490", "Group 120", "Group 144")[pick(6)]}
    record["bolt"] |= {"diameter": "7/8 in", "length": ("3 in", "4 in", "8 in")[pick(3)]}
    record["indicator"] = {"type": "325", "spaces": "5"}
    _maybe(pick, record, "head_held", "true", "true", "false")
    _maybe(pick, record, "wrench", "hand")
    if pick(3) == 0:
        _maybe(pick, record, "local", {"small": {"crew_told": "true"}}, {"small": {"crew_told": "false"}})
    if procedure == "dti-lot":
        last = {"dial": "60 kip", "correction": ("1 kip", "-1 kip")[pick(2)]}
        points = [{"dial": "10 kip", "correction": "0 kip"}, last][: 1 + pick(6)]
        device = {"calibrated": "2026-02-28"}
        _maybe(pick, record, "device", device, {**device, "corrections": {"sign": "add to dial", "points": points}})
    record["specimens"] = []
    for _ in range(pick(5)):
        specimen = _lot_specimen(pick) if procedure == "dti-lot" else _short_specimen(pick)
        if pick(6) == 0:
            specimen["ended"] = ("fracture", "nothing")[pick(2)]
        if pick(8) == 0:
            specimen["set_aside"] = {"why": "spoiled", "by": "M. Ito"}
        record["specimens"].append(specimen)
    for _ in range(pick(6)):
        role = ("engineer", "engineer", "engineer", "inspector")[pick(4)]
        waiver = {"requirement": f"rule-{pick(4)}", "by": "J. Orr", "role": role, "on": "2026-05-01", "why": "agreed"}
        if pick(2):
            waiver["item"] = f"specimens[{1 + pick(4)}]"
        record.setdefault("waivers", []).append(waiver)
    if procedure == "dti-short-bolt" and deepest:
        evidence = {}
        if pick(6):
            evidence["long_bolt"] = small_record(pick, "dti-lot", deepest - 1)
        if pick(3):
            evidence["earlier"] = small_record(pick, "dti-short-bolt", deepest - 1)
            if pick(8):  # else it is refused
                record["retest_of"] = evidence["earlier"]["id"]
        if evidence:
            record["evidence"] = evidence
    return record
