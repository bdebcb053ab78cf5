"""A second judge, which shares no code with the engine: the text of an edition and of a record to findings and verdict.

It reads YAML with every scalar as text, takes kinds from the record schema, and evaluates rules with the plain
evaluator of this folder. It expects files that are in order, and rules over at most one list of the record itself.
"""

import copy
import json
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import Any

from reference.evidence import Folder, moved, rests_on, verdict_read, void_items
from reference.language import Known, Open, Scope, Value, at, evaluate, size
from reference.possible import possible
from reference.rules import Rules, rules_of
from reference.shapes import Tree, derived, points, read, schema, singulars, slots, top_lists, values
from reference.verdicts import Finding, verdict_of

NO_FOLDER = Folder({})


@dataclass(frozen=True, slots=True)
class Found:
    """A finding. ``missing`` are paths by position in what is judged; ``Whole.filed`` has them as the files do."""

    id: str
    item: str | None
    outcome: str
    missing: frozenset[str]
    stuck: frozenset[str]
    weight: Finding
    voided: bool = False


@dataclass(slots=True)
class Whole:
    """A record while it is judged: its data, with those of what it rests on, and in the end findings and verdict.

    ``numbers``: by path of a list, the numbers its items have in the file. ``absent``: evidence that is not there.
    """

    rules: Rules
    scope: Scope
    numbers: dict[str, list[int]]
    absent: set[str]
    present: int
    recorded: int
    findings: list[Found]
    could_be: frozenset[str] = frozenset()
    verdict: str = "incomplete"
    short: frozenset[str] = frozenset()

    def filed(self, path: str) -> str:
        """``path`` with the numbers of the file, or the whole slot where there is no such evidence.

        A number after # is that of the file already.
        """
        for slot in self.absent:
            if path.startswith(f"{slot}."):
                return slot
        done = ""
        for part in path.split("."):
            name, _, index = part.partition("[")
            done += f".{name}" if done else name
            if index.startswith("#"):
                done += f"[{index[1:]}"
            elif index:
                n = int(index[:-1])
                done += f"[{self.numbers[done][n - 1] if done in self.numbers else n}]"
        return done


def judge(edition: str, record: str, folder: Folder = NO_FOLDER) -> Whole:
    return _whole(edition, read(record), folder)


def _whole(edition: str, written: Tree, folder: Folder, deep: int = 0) -> Whole:
    whole = _gathered(edition, copy.deepcopy(written), folder, deep)
    if whole.rules.known:
        _find(whole, written.get("waivers", []))
        _settle(whole)
    return whole


@lru_cache(maxsize=2_000)
def _other(edition: str, written: str, folder: Folder, deep: int) -> Whole:
    return _whole(edition, json.loads(written), folder, deep)


# What is known


def _gathered(edition: str, written: Tree, folder: Folder, deep: int) -> Whole:
    procedure = written["procedure"]
    rules, of = rules_of(edition, procedure), schema(procedure)
    numbers: dict[str, list[int]] = {}
    listed = rules.asks or {rule["each"]: 0 for rule in rules.requirements.values() if "each" in rule}
    for name in top_lists(procedure):
        items = written.get(name, [])
        numbers[name] = [n for n, item in enumerate(items, 1) if "set_aside" not in item]
        if name in written:
            written[name] = [items[n - 1] for n in numbers[name]]
        numbers[name] += range(len(items) + 1, len(items) + 1 + rules.asks.get(name, 0) - len(numbers[name]))
    record = values(written, of)
    own = rules.edition.get("fields", {})
    local = written.get("local", {}).get(rules.edition["ruleset"], {})
    record["local"] = values(local, {"properties": {name: {**as_, "x-kind": as_["kind"]} for name, as_ in own.items()}})
    scope = Scope(record, dict(rules.asks), dict(singulars(procedure)), rules.tables, rules.terms)
    scope.months, scope.points = rules.edition.get("months", "clamp"), points(procedure)
    _derive(scope, of)
    found = [item for name in listed for item in record.get(name, [])]
    whole = Whole(rules, scope, numbers, set(), len(found), sum(map(bool, found)), [])
    asked = {**{rule["each"]: 0 for rule in rules.requirements.values() if "each" in rule}, **rules.asks}
    whole.short = frozenset(name for name, n in asked.items() if sum(map(bool, record.get(name, []))) < max(n, 1))
    others = rests_on(written, folder)
    whole.absent = {f"evidence.{slot}" for slot in slots(procedure) if slot not in others}
    for slot, other in others.items():
        _join(whole, f"evidence.{slot}", _other(edition, json.dumps(other), folder, deep + 1))
    return whole


def _join(whole: Whole, slot: str, other: Whole) -> None:
    def inside(path: str) -> str:
        return f"{slot}.{path}"

    data, asks, numbers = dict(other.scope.record), dict(other.scope.asks), dict(other.numbers)
    if other.rules.known:
        verdict = verdict_read(other)
        if isinstance(verdict, Open):
            # Items that are left out below have no place here, and can be lacking all the same.
            lacking = frozenset(other.filed(path).replace("[", "[#") for path in verdict.missing)
            verdict = Open(lacking, verdict.stuck)
        data["verdict"] = verdict
        for name, void in (void_items(other) if other.verdict == "pass" else {}).items():
            # Items that do not count in the other test do not count here either.
            items = data.get(name, [])
            asks[name] = max(len(items), asks.get(name, 0)) - len(void)
            data[name] = [item for n, item in enumerate(items) if numbers[name][n] not in void]
            numbers[name] = [n for n in numbers[name] if n not in void]
    _put(whole.scope.record, slot, moved(data, inside))
    whole.scope.asks |= {inside(path): n for path, n in asks.items()}
    whole.numbers |= {inside(path): filed for path, filed in numbers.items()}
    whole.absent |= set(map(inside, other.absent))


def _put(into: Tree, path: str, value: Any) -> None:
    *above, last = path.split(".")
    for part in above:
        into = into.setdefault(part, {})
    into[last] = value


def _derive(scope: Scope, of: Tree) -> None:
    """Fills in what other fields give, of the record and item by item."""

    def fill(into: Tree, path: str, info: Tree) -> None:
        when = evaluate(info["x-derived-when"], scope) if "x-derived-when" in info else Known(True)
        value = evaluate(info["x-derived"], scope)
        if isinstance(value, Open) and "x-derived-else" in info:
            value = evaluate(info["x-derived-else"], scope)
        if when == Known(True) and isinstance(value, Known) and at(into, path) is None:
            _put(into, path, value.value)

    for path, info in derived(of):
        fill(scope.record, path, info)
    for name, listed in of["properties"].items():
        if listed.get("x-kind") == "list":
            for n, item in enumerate(scope.record.get(name, []), 1):
                scope.items = {listed["x-singular"]: f"{name}[{n}]"}
                for path, info in derived(listed["items"]):
                    fill(item, path, info)
    scope.items = {}


# Findings


def _futures(value: Value) -> list[bool | None]:
    """Yes, no, or open for good (None)."""
    if isinstance(value, Known):
        return [value.value]
    return ([True, False] if value.missing else []) + ([None] if value.stuck else [])


def _outcome(require: bool | None, applies: bool | None, unless: tuple[bool | None, ...]) -> str:
    if require is True:
        return "met"
    if applies is False or True in unless:
        return "not applicable"
    return "not met" if require is False and applies is True and None not in unless else "open"


def _now(value: Value) -> bool | None:
    return value.value if isinstance(value, Known) else None


def _find(whole: Whole, waivers: list[Tree]) -> None:
    for id, rule in whole.rules.requirements.items():
        each = rule.get("each")
        if each is None:
            whole.findings.append(_one(whole, id, rule, None, waivers))
            continue
        for n in range(1, (size(each, whole.scope) or 0) + 1):
            whole.scope.items = {whole.scope.singulars[each]: f"{each}[{n}]"}
            whole.findings.append(_one(whole, id, rule, n, waivers))
        whole.scope.items = {}


def _one(whole: Whole, id: str, rule: Tree, n: int | None, waivers: list[Tree]) -> Found:
    def of_rule(text: str) -> Value:
        return evaluate(whole.rules.text(text), whole.scope)

    item = None if n is None else whole.filed(f"{rule['each']}[{n}]")
    require = of_rule(rule["require"]) if "require" in rule else Open(stuck=frozenset({"no rule"}))
    applies = of_rule(rule["applies"]) if "applies" in rule else Known(True)
    unless = [of_rule(exception["when"]) for exception in rule.get("unless", {}).values()]
    outcome = _outcome(_now(require), _now(applies), tuple(map(_now, unless)))
    can, missing, stuck = {outcome}, frozenset[str](), frozenset[str]()
    if outcome == "open":
        futures = product(_futures(require), _futures(applies), product(*map(_futures, unless)))
        can = {_outcome(*future) for future in futures}
        parts = [value for value in (require, applies, *unless) if isinstance(value, Open)]
        missing = frozenset().union(*(part.missing for part in parts))
        stuck = frozenset().union(*(part.stuck for part in parts))
    if outcome == "not met" and _waived(id, rule, item, waivers):
        outcome, can = "waived", {"waived"}
    wide = n is None and rule["kind"] == "acceptance" and bool(whole.rules.over(rule.get("require", "")))
    weight = Finding(rule["kind"], rule.get("voids", "both"), n, wide, frozenset(can))
    return Found(id, item, outcome, missing, stuck, weight)


def _waived(id: str, rule: Tree, item: str | None, waivers: list[Tree]) -> bool:
    return rule["kind"] != "advice" and any(
        waiver["requirement"] == id
        and waiver["role"].lower() in [role.lower() for role in rule.get("waivable_by", [])]
        and waiver.get("item") in (None, item)
        for waiver in waivers
    )


# The verdict


def _settle(whole: Whole) -> None:
    weights = [each.weight for each in whole.findings]
    asks = sum(whole.rules.asks.values())
    whole.could_be = frozenset(possible(weights, whole.present, asks))
    verdict = next(iter(whole.could_be)) if len(whole.could_be) == 1 else "incomplete"
    if all(len(weight.can) == 1 for weight in weights if weight.kind != "advice"):
        settled = [(each.weight, each.outcome) for each in whole.findings]
        verdict = verdict_of(settled, whole.recorded if whole.recorded < asks else whole.present, asks)
    elif verdict == "pass" and whole.recorded < asks:
        verdict = "incomplete"
    whole.verdict = verdict
    faults = [each.weight for each in whole.findings if each.outcome == "not met" and each.weight.kind == "setup"]
    whole.findings = [
        Found(f.id, f.item, f.outcome, f.missing, f.stuck, f.weight, _voided(f, faults)) for f in whole.findings
    ]


def _voided(found: Found, faults: list[Finding]) -> bool:
    what = {"met": "passes", "not met": "failures"}.get(found.outcome)
    weight = found.weight
    return weight.kind == "acceptance" and any(
        fault.voids in (what, "both") and (fault.item is None or fault.item == weight.item or weight.list_wide)
        for fault in faults
        if what
    )
