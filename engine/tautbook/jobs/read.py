"""The file of a job -> Job: read strictly, each reference followed, nothing outside of its folder."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from ..lang.files import read_file
from ..lang.kernel import key_of
from ..lang.problem import Problem, did_you_mean, in_order
from ..lang.quantity import number
from ..lang.reading import form_of, read_text, read_tree
from ..lang.values import Group, Leaf, data_at, with_leaf
from ..shape.convert import shape
from ..shape.schemas import Schema, load_schema
from ..shape.shaped import ShapedMap, ShapedValue, as_map, items_at, map_at, scalar_at, text_at
from .job import Assembly, Disposition, Equipment, Job, Leave, Lot, Named
from .parts import date_at, group_of, joined, leaves, whole_at

FILE = "job.yaml"
"""What the file of a job is called where only its folder is named."""
_OF_DELIVERY = frozenset({"quantity", "received", "documents", "notes"})
"""Fields of a lot that say nothing of what it is."""

Found = tuple[Job | None, tuple[Problem, ...]]


def read_job(path: Path) -> Found:
    """The job in a file, or in the folder of that name; or everything that is wrong with it."""
    try:
        file = path / FILE if path.is_dir() else path
    except (OSError, ValueError):
        file = path
    data, problem = read_file(file, str(file))
    if problem is not None:
        return None, (problem,)
    source, problems = read_text(data or b"", str(file))
    if source is None:
        return None, problems
    tree, problems = read_tree(source, form_of(file.name, source.text))
    if tree is None:
        return None, problems
    schema = load_schema("job")
    shaped, problems = shape(tree, schema)
    if not isinstance(shaped, ShapedMap):
        return None, problems
    reading = _Reading(shaped, file, schema)
    job = reading.job()
    return (None, in_order(reading.problems)) if reading.problems else (job, ())


@dataclass(slots=True)
class _Reading:
    shaped: ShapedMap
    file: Path
    schema: Schema
    problems: list[Problem] = field(default_factory=list)
    lots: dict[tuple[str, str], list[Lot]] = field(default_factory=dict)
    """By what they are lots of, and their number: the lots of each maker."""

    def add(self, code: str, message: str, at: ShapedValue | ShapedMap, help: str | None = None) -> None:
        self.problems.append(Problem(code, message, at.span, help))

    def job(self) -> Job:
        shaped, named = self.shaped, as_map(self.shaped.entries["edition"])
        if "letting" not in shaped.entries and "edition" not in named.entries:
            help = "add `letting`, or pin the edition by `edition` and `digest`"
            self.problems.append(Problem("job-edition", "nothing says which edition governs", named.span, help))
        lots = tuple(self.delivered())
        assemblies = self.with_totals(tuple(self.assemblies()))
        return Job(
            text_at(shaped, "job") or "", text_at(shaped, "title"), text_at(shaped, "contract"),
            text_at(shaped, "owner"), date_at(shaped, "letting"),
            Named(text_at(named, "ruleset") or "", text_at(named, "edition"), text_at(named, "digest"), named.span),
            self.inside("layer", folder=False), self.file.parent, str(self.file),
            self.inside("records", folder=True) or self.file.parent, self.inside("verdicts", folder=True), lots,
            assemblies, tuple(self.equipment()), tuple(self.leaves()), tuple(self.dispositions()), shaped.span,
        )  # fmt: skip

    def inside(self, key: str, folder: bool) -> Path | None:
        """The file or folder named under ``key``, if it lies inside the folder of the job, links followed."""
        named = scalar_at(self.shaped, key)
        if named is None:
            return None
        around = self.file.parent
        try:
            path = around / named.written
            if Path(named.written).is_absolute() or not path.resolve().is_relative_to(around.resolve()):
                help = "copy it into the folder of the job; links out of it are not followed"
                self.add("job-outside", f"`{key}` lies outside of the folder of the job", named, help)
                return None
            there = path.is_dir() if folder else path.is_file()
        except (OSError, ValueError, RuntimeError):  # RuntimeError: a link that leads to itself
            there = False
        if not there:
            what = "folder" if folder else "file"
            help = f"the name counts from the folder of the job: {around}"
            self.add("job-missing", f"there is no {what} `{named.written}`", named, help)
            return None
        return path

    def delivered(self) -> Iterator[Lot]:
        for of, _ in map_at(self.shaped, "lots").items():
            for item in items_at(as_map(self.shaped.entries["lots"]), of):
                node = as_map(item)
                lot, maker = text_at(node, "lot") or "", text_at(node, "maker") or ""
                papers = [each.written for each in items_at(node, "documents") if isinstance(each, ShapedValue)]
                found = Lot(of, lot, maker, group_of(node, of, _OF_DELIVERY), whole_at(node, "quantity"),
                            tuple(papers), node.span)  # fmt: skip
                same = self.lots.setdefault((of, lot), [])
                if any(each.maker == maker for each in same):
                    place = scalar_at(node, "lot")
                    assert place is not None
                    self.add("lot-twice", f"{found.name} stands here twice", place, "put both deliveries together")
                same.append(found)
                yield found

    def lot(self, of: str, node: ShapedMap) -> Lot | None:
        """The delivered lot that ``node`` names by ``lot``, and by ``maker`` where that is needed."""
        number, maker = scalar_at(node, "lot"), scalar_at(node, "maker")
        assert number is not None
        same = self.lots.get((of, number.written), [])
        if not same:
            known = [lot for kind, lot in self.lots if kind == of]
            help = did_you_mean(number.written, known[:1000], f"add it under `lots`, `{of}`")
            self.add("lot-unknown", f"no {of} lot `{number.written}` came to this job", number, help)
            return None
        found = [each for each in same if maker is None or each.maker == maker.written]
        if not found:
            makers = ", ".join(dict.fromkeys(each.maker for each in same))
            assert maker is not None
            message = f"{of} lot `{number.written}` is not of `{maker.written}`"
            self.add("lot-maker", message, maker, f"it is of {makers}")
            return None
        if len(found) > 1:
            makers = ", ".join(each.maker for each in same)
            self.add("lot-maker", f"two makers gave {of} lot `{number.written}`", number, f"add `maker`: {makers}")
            return None
        return found[0]

    def assemblies(self) -> Iterator[Assembly]:
        for n, item in enumerate(items_at(self.shaped, "assemblies"), 1):
            node = as_map(item)
            data, lots = group_of(node, "", frozenset({"count", "notes"})), []
            for of in self.schema["properties"]["lots"]["properties"]:
                used = node.entries.get(of)
                if not isinstance(used, ShapedMap):
                    continue
                lot = self.lot(of, used)
                if lot is not None:
                    self.agree(used, lot)
                    data = joined(data, Group("", {of: lot.data}))
                    lots.append(lot)
            yield Assembly(n, data, tuple(lots), whole_at(node, "count") or 0, node.span)

    def agree(self, used: ShapedMap, lot: Lot) -> None:
        """Whether what is said of a lot where it is used is what its papers say."""
        for leaf in leaves(group_of(used, lot.of)):
            there = data_at(Group("", {lot.of: lot.data}), leaf.path)
            if isinstance(there, Leaf) and key_of(there.value) != key_of(leaf.value):
                place = scalar_at(used, leaf.path.rpartition(".")[2])
                assert place is not None
                self.add("disagrees", f"{lot.name} came as {there.written}, and this says {leaf.written}", place,
                         "keep the one that its papers say")  # fmt: skip

    def with_totals(self, assemblies: tuple[Assembly, ...]) -> tuple[Assembly, ...]:
        """How many a connection has in all, written where a record has it."""
        total = self.schema["x-total"]
        sums: dict[object, int] = {}
        for each in assemblies:
            sums[_value(each, total["by"])] = sums.get(_value(each, total["by"]), 0) + each.count
        found = []
        for each in assemblies:
            whole = sums[_value(each, total["by"])]
            leaf = Leaf(total["path"], number(whole), str(whole))
            found.append(replace(each, data=with_leaf(each.data, total["path"], leaf)))
        return tuple(found)

    def equipment(self) -> Iterator[Equipment]:
        known = self.schema["properties"]["equipment"]["properties"]
        for of in map_at(self.shaped, "equipment"):
            key = known[of]["x-key"][0]
            for item in items_at(as_map(self.shaped.entries["equipment"]), of):
                node = as_map(item)
                data = group_of(node, of, frozenset({"notes"}))
                yield Equipment(of, key, text_at(node, key) or "", data, node.span)

    def leaves(self) -> Iterator[Leave]:
        for item in items_at(self.shaped, "leaves"):
            node = as_map(item)
            only = {path: each.written for path, each in map_at(node, "for").items() if isinstance(each, ShapedValue)}
            yield Leave(
                text_at(node, "procedure") or "", only, text_at(node, "by") or "", text_at(node, "role") or "",
                _day(node), text_at(node, "why") or "", node.span,
            )  # fmt: skip

    def dispositions(self) -> Iterator[Disposition]:
        for item in items_at(self.shaped, "dispositions"):
            node = as_map(item)
            lot = self.lot(text_at(node, "of") or "", node)
            if lot is not None:
                yield Disposition(
                    lot, text_at(node, "decision") or "", text_at(node, "by") or "", text_at(node, "role") or "",
                    _day(node), whole_at(node, "quantity"), text_at(node, "treatment"), text_at(node, "record"),
                    node.span,
                )  # fmt: skip


def _value(assembly: Assembly, path: str) -> object:
    found = data_at(assembly.data, path)
    return key_of(found.value) if isinstance(found, Leaf) else None


def _day(node: ShapedMap) -> datetime.date:
    day = date_at(node, "on")
    assert day is not None, "the schema asks for it"
    return day
