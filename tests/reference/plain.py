"""Plain data of a case to a Scope: `given` is {record, asks, months, item}, values as written.

A value is text (`41 kip`, `A325`, `2026-04-14`, `6 months`, `0.5`) or true/false; the vocabulary says
its kind.
"""

import re
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from reference.language import Known, Scope, Value, evaluate
from reference.parsing import Mistake

_BAND = re.compile(r"(?:over (.+?))?(?: ?up to (.+))?")


@cache
def vocabulary() -> dict[str, Any]:
    """The shared names of tests/conformance/vocabulary.yaml."""
    text = (Path(__file__).parent.parent / "conformance" / "vocabulary.yaml").read_text(encoding="utf-8")
    data: dict[str, Any] = yaml.safe_load(text)
    return data


@cache
def plain(written: Any, kind: str) -> Any:
    """The value of `written` in its kind: `41 kip` as newtons."""
    if kind in ("choice", "text"):
        return written
    if isinstance(written, bool):
        return written
    value = evaluate(str(written), Scope())
    assert isinstance(value, Known), written
    return value.value


def guessed(written: Any) -> Any:
    """The value of an expected result, whose kind is not stated: what does not read as a literal is text."""
    try:
        value = evaluate(str(written), Scope()) if not isinstance(written, bool) else Known(written)
    except Mistake:
        return written
    return value.value if isinstance(value, Known) else written


def _branch(tree: dict[str, Any], kinds: dict[str, str], prefix: str = "") -> dict[str, Any]:
    out: dict[str, Any] = {}
    for name, below in tree.items():
        path = prefix + name
        if isinstance(below, list):
            out[name] = [_branch(item, kinds, f"{path}.") for item in below]
        elif isinstance(below, dict):
            out[name] = _branch(below, kinds, f"{path}.")
        else:
            out[name] = plain(below, kinds[path])
    return out


@cache
def _fixed() -> Scope:
    words = vocabulary()
    scope = Scope()
    for name, of in words["lists"].items():
        scope.singulars[name] = of["singular"]
        if "at" in of:
            scope.points[name] = (of["at"], of["value"])
    for name, term in words["terms"].items():
        scope.terms[name] = (list(term["takes"]), term["is"])
    for name, table in words["tables"].items():
        axes: list[Any] = []
        for i, axis in enumerate(table["by"]):
            labels = list(dict.fromkeys(row[i] for row in table["rows"]))
            axes.append([band(w, axis["kind"]) for w in labels] if axis.get("bands") else "exact")
        cells = {
            tuple(
                key if axis.get("bands") else plain(key, axis["kind"])
                for key, axis in zip(row[:-1], table["by"], strict=True)
            ): plain(row[-1], table["gives"])
            for row in table["rows"]
        }
        scope.tables[name] = (axes, cells)
    return scope


def band(written: str, kind: str) -> tuple[Any, Any, str]:
    found = _BAND.fullmatch(written)
    assert found is not None, written
    lo, hi = (None if part is None else plain(part, kind) for part in found.groups())
    return lo, hi, written


@cache
def kinds_of_fields() -> dict[str, str]:
    """Kind by path; fields of items as `items.force`."""
    words = vocabulary()
    kinds = {path: field["kind"] for path, field in words["fields"].items()}
    for name, of in words["lists"].items():
        kinds |= {f"{name}.{path}": field["kind"] for path, field in of["fields"].items()}
    return kinds


def scope_of(given: dict[str, Any]) -> Scope:
    """The scope of a case over the fixed vocabulary. `item: {item: 2}` binds the singular of an `each`."""
    fixed = _fixed()
    lists = {singular: path for path, singular in fixed.singulars.items()}
    return Scope(
        record=_branch(given.get("record", {}), kinds_of_fields()),
        asks=dict(given.get("asks", {})),
        singulars=fixed.singulars,
        tables=fixed.tables,
        terms=fixed.terms,
        months=given.get("months", "clamp"),
        points=fixed.points,
        items={name: f"{lists[name]}[{n}]" for name, n in given.get("item", {}).items()},
    )


def outcome(text: str, given: dict[str, Any]) -> Value:
    """What `text` gives on a case."""
    return evaluate(text, scope_of(given))
