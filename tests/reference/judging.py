"""A second judge, which shares no code with the engine: the text of an edition and of a record to findings and verdict.

It reads YAML with every scalar as text, takes kinds from the record schema, and evaluates rules with the plain
evaluator of this folder. It expects files that are in order, lists of the record itself, and one list asked for.
"""

import json
import re
from dataclasses import dataclass
from functools import cache
from itertools import product
from math import prod
from pathlib import Path
from typing import Any

import yaml

from reference.language import Known, Open, Scope, Value, at, evaluate, size
from reference.plain import guessed, plain
from reference.verdicts import Finding, could_be, verdict_of

SCHEMAS = Path(__file__).parents[2] / "schemas"
Tree = dict[str, Any]
_OVER = re.compile(r"\b(?:count|every|some|smallest|largest|sum|mean)\(\s*(\w+)\s*,")


@dataclass(frozen=True, slots=True)
class Found:
    outcome: str
    can: frozenset[str]
    missing: frozenset[str]
    stuck: frozenset[str]
    voided: bool


@dataclass(frozen=True, slots=True)
class Judged:
    """``findings`` by (requirement, item as the file numbers it). ``could_be`` None: too many combinations to try."""

    findings: dict[tuple[str, str | None], Found]
    verdict: str | None
    could_be: frozenset[str] | None


def read(text: str) -> Any:
    return yaml.load(text, getattr(yaml, "CBaseLoader", yaml.BaseLoader))


@cache
def schema(procedure: str) -> Tree:
    """The record schema with what it refers to put in its place."""
    parts = json.loads((SCHEMAS / "parts.schema.json").read_text(encoding="utf-8"))["$defs"]

    def resolved(node: Any) -> Any:
        if isinstance(node, list):
            return [resolved(each) for each in node]
        if not isinstance(node, dict):
            return node
        if "$ref" in node:
            node = {**parts[node["$ref"].rpartition("/")[2]], **{k: v for k, v in node.items() if k != "$ref"}}
        return {key: resolved(below) for key, below in node.items()}

    found: Tree = resolved(json.loads((SCHEMAS / "records" / f"{procedure}.schema.json").read_text(encoding="utf-8")))
    return found


def field(of: Tree, path: str) -> Tree:
    for name in path.split("."):
        of = (of.get("items") or of)["properties"][name]
    return of


def values(written: Any, of: Tree) -> Any:
    """The plain values of what is written, by the kinds of its schema."""
    if isinstance(written, dict):
        below = of.get("properties", {})
        return {key: values(part, below[key]) for key, part in written.items() if key in below}
    if isinstance(written, list):
        return [values(item, of["items"]) for item in written]
    kind = of["x-kind"]
    return written == "true" if kind == "yes-no" else plain(written, kind)


def _derive(record: Tree, of: Tree, scope: Scope) -> None:
    """Fills in, item by item, what other fields give."""
    for name, listed in of["properties"].items():
        if listed.get("x-kind") != "list" or "properties" not in listed["items"]:
            continue
        for path, info in _derived(listed["items"], ""):
            above, _, last = path.rpartition(".")
            spaces = ".".join([name, *above.split("."), "spaces"])
            inner = Scope(record, scope.asks, {**scope.singulars, "space": spaces})
            for n in range(1, len(record.get(name, [])) + 1):
                inner.items = {listed["x-singular"]: n}
                when = Known(True) if "x-derived-when" not in info else evaluate(info["x-derived-when"], inner)
                value = evaluate(info["x-derived"], inner)
                if when == Known(True) and isinstance(value, Known) and at(record, f"{name}[{n}].{path}") is None:
                    into = record[name][n - 1]
                    for part in above.split(".") if above else ():
                        into = into.setdefault(part, {})
                    into[last] = value.value


def _derived(of: Tree, prefix: str) -> list[tuple[str, Tree]]:
    found = []
    for name, below in of.get("properties", {}).items():
        if "x-derived" in below:
            found.append((prefix + name, below))
        found += _derived(below, f"{prefix}{name}.")
    return found


class _Rules:
    """What an edition says, as texts in which a covered field is looked up among the values it may have."""

    def __init__(self, edition: Tree, of: Tree) -> None:
        self.tables: dict[str, Any] = {}
        self.covered: dict[str, str] = {}
        for path, listed in edition.get("covers", {}).items():
            kind = field(of, path)["x-kind"]
            name, key = "covered_" + path.replace(".", "_"), path
            for value, more in listed.items() if isinstance(listed, dict) else ():
                for other in (more or {}).get("also", []) if isinstance(more, dict) else ():
                    when = more.get("when", "yes")
                    key = f'(if {path} = "{other}" and ({when}) then "{value}" else {key})'
            self.tables[name] = (["exact"], {(plain(v, kind),): plain(v, kind) for v in listed})
            self.covered[path] = f"{name}[{key}]"
        for name, table in edition.get("tables", {}).items():
            kinds = [axis.get("kind") or field(of, axis["key"])["x-kind"] for axis in table["by"]]
            cells = {}
            for keys, cell in _flat(table["rows"], len(kinds)):
                cells[tuple(plain(key, kind) for key, kind in zip(keys, kinds, strict=True))] = guessed(cell)
            self.tables[name] = (["exact"] * len(kinds), cells)
        self.terms = {name: ([], self.text(term["is"])) for name, term in edition.get("terms", {}).items()}

    def text(self, rule: str) -> str:
        for path, instead in self.covered.items():
            rule = re.sub(rf"(?<![\w.]){re.escape(path)}(?![\w.])", instead.replace("\\", r"\\"), rule)
        return rule

    def lists(self, rule: str) -> set[str]:
        """The lists that a rule goes over, through its terms as well."""
        found = set(_OVER.findall(rule))
        for name, (_, text) in self.terms.items():
            if re.search(rf"(?<![\w.]){name}(?![\w.])", rule):
                found |= self.lists(text)
        return found


def _flat(rows: Any, depth: int) -> list[tuple[tuple[str, ...], str]]:
    if not depth:
        return [((), rows)]
    return [((key, *keys), cell) for key, below in rows.items() for keys, cell in _flat(below, depth - 1)]


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


@cache
def _edition(text: str, procedure: str) -> tuple[Tree, _Rules]:
    edition: Tree = read(text)
    return edition, _Rules(edition, schema(procedure))


def judge(edition_text: str, record_text: str, most: int = 200) -> Judged:
    """The findings and the verdict; combinations beyond ``most`` are not tried."""
    written = read(record_text)
    edition, rules = _edition(edition_text, written["procedure"])
    procedure, of = edition["procedures"][written["procedure"]], schema(written["procedure"])
    asks = {name: int(n) for name, n in procedure.get("asks", {}).items()}
    numbers: dict[str, list[int]] = {}
    lists = {name: below for name, below in of["properties"].items() if below.get("x-kind") == "list"}
    for name in lists:
        if name in written or name in asks:
            all_items = written.get(name, [])
            numbers[name] = [n for n, item in enumerate(all_items, 1) if "set_aside" not in item]
            if name in written:
                written[name] = [all_items[n - 1] for n in numbers[name]]
            last = len(all_items)
            numbers[name] += [last + n for n in range(1, asks.get(name, 0) - len(numbers[name]) + 1)]
    record = values(written, of)
    singulars = {below["x-singular"]: name for name, below in lists.items()}
    scope = Scope(record, asks, singulars, rules.tables, rules.terms, edition.get("months", "clamp"))
    _derive(record, of, scope)

    def as_filed(path: str) -> str:
        return re.sub(r"^(\w+)\[(\d+)\]", lambda m: f"{m[1]}[{numbers[m[1]][int(m[2]) - 1]}]", path)

    asked_for: dict[str, Tree] = {}
    if rules.covered:
        both = " and ".join(f"{path} = {path}" for path in rules.covered)
        asked_for["covered"] = {"kind": "setup", "voids": "passes", "require": both}
    asked_for |= procedure["requirements"]
    open_values: list[tuple[str, str | None, Finding, Open, str]] = []
    for id, rule in asked_for.items():
        each = rule.get("each")
        for n in range(1, (size(each, scope) or 0) + 1) if each else [None]:
            scope.items = {} if n is None else {lists[each]["x-singular"]: n}
            item = None if n is None else as_filed(f"{each}[{n}]")

            def of_rule(text: str) -> Value:
                return evaluate(rules.text(text), scope)

            require = of_rule(rule["require"]) if "require" in rule else Open(stuck=frozenset({"no rule"}))
            applies = of_rule(rule["applies"]) if "applies" in rule else Known(True)
            unless = [of_rule(exception["when"]) for exception in rule.get("unless", {}).values()]
            outcome = _outcome(_now(require), _now(applies), tuple(map(_now, unless)))
            can = {outcome}
            lacking = Open()
            if outcome == "open":
                futures = product(_futures(require), _futures(applies), product(*map(_futures, unless)))
                can = {_outcome(*future) for future in futures}
                parts = [value for value in (require, applies, *unless) if isinstance(value, Open)]
                lacking = Open(
                    frozenset(as_filed(path) for part in parts for path in part.missing),
                    frozenset().union(*(part.stuck for part in parts)),
                )
            if _waived(id, rule, item, written.get("waivers", [])):
                outcome = "waived" if outcome == "not met" else outcome
                can = {"waived" if each_can == "not met" else each_can for each_can in can}
            wide = each is None and rule["kind"] == "acceptance" and bool(rules.lists(rule.get("require", "")))
            weight = Finding(rule["kind"], rule.get("voids", "both"), n, wide, frozenset(can))
            open_values.append((id, item, weight, lacking, outcome))
    return _judged(open_values, len(record.get("specimens", [])), sum(map(bool, record.get("specimens", []))),
                   asks.get("specimens", 0), most)  # fmt: skip


def _waived(id: str, rule: Tree, item: str | None, waivers: list[Tree]) -> bool:
    return rule["kind"] != "advice" and any(
        waiver["requirement"] == id
        and waiver["role"] in rule.get("waivable_by", [])
        and waiver.get("item") in (None, item)
        for waiver in waivers
    )


def _judged(
    found: list[tuple[str, str | None, Finding, Open, str]], present: int, recorded: int, asks: int, most: int
) -> Judged:
    faults = [weight for _, _, weight, _, outcome in found if weight.kind == "setup" and outcome == "not met"]

    def voided(weight: Finding, outcome: str) -> bool:
        what = {"met": "passes", "not met": "failures"}.get(outcome)
        return weight.kind == "acceptance" and any(
            fault.voids in (what, "both") and (fault.item is None or fault.item == weight.item or weight.list_wide)
            for fault in faults
            if what
        )

    findings = {
        (id, item): Found(outcome, weight.can, lacking.missing, lacking.stuck, voided(weight, outcome))
        for id, item, weight, lacking, outcome in found
    }
    weights = [weight for _, _, weight, _, _ in found if weight.kind != "advice"]
    if prod(len(weight.can) for weight in weights) > most:
        return Judged(findings, None, None)
    possible = frozenset(could_be(weights, present, asks))
    verdict = next(iter(possible)) if len(possible) == 1 else "incomplete"
    if all(len(weight.can) == 1 for weight in weights):
        settled = [(weight, outcome) for _, _, weight, _, outcome in found]
        verdict = verdict_of(settled, recorded if recorded < asks else present, asks)
    elif verdict == "pass" and recorded < asks:
        verdict = "incomplete"
    return Judged(findings, verdict, possible)
