"""The records that a record rests on, and what their verdicts are to it."""

from collections.abc import Callable, Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from reference.language import Open
from reference.shapes import Tree, read, slots

if TYPE_CHECKING:
    from reference.judging import Whole


class Folder:
    """Records by the name of their file, and by number."""

    def __init__(self, files: Mapping[str, str]) -> None:
        self.files = dict(files)
        self._numbers: dict[str, str] = {}
        for name, text in self.files.items():
            for line in text.splitlines():
                if line.startswith("id: "):
                    self._numbers[line.removeprefix("id: ").strip()] = name

    @cache  # noqa: B019 - folders last as long as the tests
    def record(self, name: str) -> Tree:
        found: Tree = read(self.files[name if name in self.files else self._numbers[name]])
        return found


def rests_on(written: Tree, folder: Folder) -> dict[str, Tree]:
    """By slot, the record as written: whole, by its file or by its number."""
    found: dict[str, Any] = {}
    for slot in slots(written["procedure"]):
        other = written.get("evidence", {}).get(slot)
        if other is not None:
            found[slot] = folder.record(other) if isinstance(other, str) else other
    return found


def verdict_read(other: "Whole") -> str | Open:
    """What a rule reads at `evidence.SLOT.verdict`; paths are those of the other record."""
    if other.verdict != "incomplete":
        return other.verdict
    opens = [each for each in other.findings if each.outcome == "open" and each.weight.kind != "advice"]
    lacking = Open(
        frozenset().union(*(each.missing for each in opens)), frozenset().union(*(each.stuck for each in opens))
    )
    if lacking.missing or lacking.stuck:
        return lacking
    if other.short:
        return Open(other.short)
    return Open(stuck=frozenset({"no rule"}))


def void_items(other: "Whole") -> dict[str, set[int]]:
    """By list, the numbers of the items that a fault of the other test takes out."""
    found: dict[str, set[int]] = {}
    for each in other.findings:
        if each.item is None or each.outcome != "not met":
            continue
        fault = each.weight.kind == "setup" and each.weight.voids in ("both", "passes")
        if fault or (each.weight.kind == "acceptance" and each.voided):
            name, _, number = each.item.partition("[")
            found.setdefault(name, set()).add(int(number[:-1]))
    return found


def moved(data: Any, inside: Callable[[str], str]) -> Any:
    """The data of a record as they stand in the one that rests on it: open verdicts in them lack other paths there."""
    if isinstance(data, dict):
        return {name: moved(below, inside) for name, below in data.items()}
    return Open(frozenset(map(inside, data.missing)), data.stuck) if isinstance(data, Open) else data
