"""What a page judges by: the rules of one procedure, and of those that its records rest on, as one JSON value.

Rules are kernel trees in form ``k1``, all nodes of all rules in one list, each once. What every page needs to read and
to show a value stands in ``engine_tables``.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

from ..editions.edition import Edition, Procedure, Requirement
from ..lang.kernel import Node, Table
from ..lang.kernel_json import Writer
from ..lang.rules_json import table_json
from ..records.derived import Derived, Impossible, sense
from ..shape.schemas import Schema, record_schema
from .pack_fields import shape_of_kind, shape_of_schema


def pack(edition: Edition, procedure: str) -> dict[str, Any]:
    """The pack of one procedure of ``edition``. INVARIANT: a record schema of that name is shipped."""
    return _Packing(edition).whole(procedure)


def reachable(procedure: str) -> tuple[str, ...]:
    """The procedure, and those that its records can rest on, however far; each once, the nearest first."""
    found = [procedure]
    for name in found:
        found += [other for other in _slots(record_schema(name)) if other not in found]
    return tuple(dict.fromkeys(found))


def _slots(schema: Schema | None) -> Iterator[str]:
    evidence = {} if schema is None else schema["properties"].get("evidence", {}).get("properties", {})
    for below in evidence.values():
        yield below["x-procedure"]


class _Packing:
    """One pack in the making: nodes, kinds and tables, each written once; where one is wanted, its number."""

    def __init__(self, edition: Edition) -> None:
        self.edition = edition
        self.out = Writer()
        self.tables: list[Any] = []
        self.numbers: dict[str, int] = {}

    def whole(self, procedure: str) -> dict[str, Any]:
        edition = self.edition
        procedures = {name: self.procedure(name) for name in reachable(procedure)}
        return {
            "ruleset": edition.ruleset,
            "edition": edition.edition,
            "digest": edition.digest,
            "enacted": edition.enacted is not None,
            "procedure": procedure,
            "kinds": [_named(kind) for kind in self.out.kinds],
            "nodes": self.out.nodes,
            "tables": self.tables,
            "procedures": procedures,
        }

    def node(self, node: Node | None) -> int | None:
        return None if node is None else self.out.node(node)

    def procedure(self, name: str) -> dict[str, Any]:
        schema, rules = record_schema(name), sense(name)
        assert schema is not None, name
        judged = self.edition.procedures.get(name)
        return {
            "record": shape_of_schema(schema),
            "derived": [self.derived(each) for each in rules.derived],
            "sound": [self.sound(each) for each in rules.impossible],
            "judged": None if judged is None else self.judged(judged),
        }

    def derived(self, rule: Derived) -> dict[str, Any]:
        return {
            "path": list(rule.path), "each": rule.each, "singular": rule.singular, "value": self.node(rule.value),
            "when": self.node(rule.when), "otherwise": self.node(rule.otherwise),
        }  # fmt: skip

    def sound(self, rule: Impossible) -> dict[str, Any]:
        sound = rule.sound
        return {
            "each": sound.each, "singular": rule.singular, "at": sound.at,
            "require": self.node(rule.require), "message": sound.message, "help": sound.help,
        }  # fmt: skip

    def judged(self, procedure: Procedure) -> dict[str, Any]:
        rules, terms, tables = procedure.rules, self.edition.terms, self.edition.tables
        return {
            "months": rules.months,
            "asks": dict(procedure.asks),
            "own": None if procedure.own is None else shape_of_kind(procedure.own, self.edition.ruleset),
            "terms": {
                name: {
                    "parameters": [parameter for parameter, _ in term.parameters],
                    "body": self.node(term.body),
                    "standing": terms[name].origin.standing if name in terms else None,
                }
                for name, term in rules.terms.items()
            },
            "tables": {
                name: [self.table(table), tables[name].origin.standing if name in tables else None]
                for name, table in rules.tables.items()
            },
            "requirements": [self.requirement(each) for each in procedure.requirements],
        }

    def table(self, table: Table) -> int:
        data = table_json(table, self.out)
        # Without what only readers of the rules look at: how keys are written, and of which kind they are.
        data = {
            "name": data["name"], "covers": data["covers"], "bands": [axis["bands"] for axis in data["axes"]],
            "cells": [[keys, value] for keys, _, value in data["cells"]],
        }  # fmt: skip
        key = json.dumps(data, sort_keys=True)
        if key not in self.numbers:
            self.numbers[key] = len(self.tables)
            self.tables.append(data)
        return self.numbers[key]

    def requirement(self, of: Requirement) -> dict[str, Any]:
        told: Mapping[str, Any] = {
            "id": of.id, "kind": of.kind, "standing": of.origin.standing, "voids": of.voids, "each": of.each,
            "singular": of.singular, "over": sorted(of.over), "covers": of.covers, "waivable_by": list(of.waivable_by),
            "require": self.node(of.require), "applies": self.node(of.applies), "absent": of.absent,
            "unless": [[each.id, each.title, self.node(each.when)] for each in of.unless],
            "otherwise": of.otherwise,
        }  # fmt: skip
        return {key: value for key, value in told.items() if value not in (None, [], False)}


def _named(kind: Any) -> Any:
    """A kind as the page reads it: what a group or a list holds stands in the shape of the record already."""
    if isinstance(kind, dict) and ("group" in kind or "list" in kind):
        return "group" if "group" in kind else "list"
    return kind
