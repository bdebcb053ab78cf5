"""What an edition says on one procedure; in its texts a covered field is looked up among the values it may have."""

import re
from functools import cache
from typing import Any

from reference.amendments import whole
from reference.plain import band, guessed, plain
from reference.shapes import Tree, field, lists, read, schema

_OVER = re.compile(r"\b(?:count|every|some|smallest|largest|sum|mean)\(\s*([\w.]+)\s*,")


class Rules:
    """``tables`` and ``terms`` are in the form that a scope takes."""

    def __init__(self, edition: Tree, procedure: str) -> None:
        self.edition, self.procedure, of = edition, procedure, schema(procedure)
        asked = edition["procedures"].get(procedure)
        self.known = asked is not None
        self.asks = {name: int(n) for name, n in (asked or {}).get("asks", {}).items()}
        self.tables: dict[str, Any] = {}
        self.covered: dict[str, str] = {}
        for path, listed in edition.get("covers", {}).items():
            kind = field(of, path)["x-kind"] if _has(of, path) else "text"
            name, key = "covered_" + path.replace(".", "_"), path
            for value, more in listed.items() if isinstance(listed, dict) else ():
                for other in (more or {}).get("also", []) if isinstance(more, dict) else ():
                    when = more.get("when", "yes")
                    key = f'(if {path} = "{other}" and ({when}) then "{value}" else {key})'
            self.tables[name] = (["exact"], {(plain(v, kind),): plain(v, kind) for v in listed})
            if _has(of, path):
                self.covered[path] = f"{name}[{key}]"
        for name, table in edition.get("tables", {}).items():
            self._table(name, table, of)
        terms = edition.get("terms", {})
        self.terms = {name: (list(term.get("of", {})), self.text(term["is"])) for name, term in terms.items()}
        self.requirements: dict[str, Tree] = {}
        if self.covered:
            both = " and ".join(f"{path} = {path}" for path in self.covered)
            self.requirements["covered"] = {"kind": "setup", "voids": "passes", "require": both}
        self.requirements |= (asked or {}).get("requirements", {})

    def _table(self, name: str, table: Tree, of: Tree) -> None:
        axes: list[Any] = []
        kinds: list[str | None] = []
        for n, axis in enumerate(table["by"]):
            kind = axis.get("kind") or (field(of, axis["key"])["x-kind"] if _has(of, axis["key"]) else "text")
            keys = {keys[n] for keys, _ in _flat(table["rows"], len(table["by"]))}
            axes.append([band(key, kind) for key in keys] if "bands" in axis else "exact")
            kinds.append(None if "bands" in axis else kind)
        cells = {}
        for keys, cell in _flat(table["rows"], len(kinds)):
            read_keys = (key if kind is None else plain(key, kind) for key, kind in zip(keys, kinds, strict=True))
            cells[tuple(read_keys)] = guessed(cell)
        self.tables[name] = (axes, cells)

    def text(self, rule: str) -> str:
        """``rule`` with every covered field looked up. What stands behind a longer path is another field."""
        if not self.covered:
            return rule
        paths = "|".join(re.escape(path) for path in self.covered)
        return re.sub(rf"(?<![\w.])(?:{paths})(?![\w.])", lambda found: self.covered[found[0]], rule)

    def over(self, rule: str) -> set[str]:
        """The lists of the record itself that a rule goes over, through its terms as well."""
        found = {path for path in _OVER.findall(rule) if path in lists(self.procedure) and "." not in path}
        for name, (_, text) in self.terms.items():
            if re.search(rf"(?<![\w.]){name}(?![\w.])", rule):
                found |= self.over(text)
        return found


def _has(of: Tree, path: str) -> bool:
    try:
        field(of, path)
    except KeyError:
        return False
    return True


def _flat(rows: Any, depth: int) -> list[tuple[tuple[str, ...], str]]:
    if not depth:
        return [((), rows)]
    return [((key, *keys), cell) for key, below in rows.items() for keys, cell in _flat(below, depth - 1)]


@cache
def rules_of(edition: str, procedure: str) -> Rules:
    return Rules(whole(read(edition)), procedure)
