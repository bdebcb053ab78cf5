"""Which tests a record is of; and against which a failure counts, whatever else the record says.

A record counts *for* the one combination that it states exactly. A failure cannot be lost by a slip in what it states:
where it is of no combination exactly, it counts *against* every test of its procedure whose lots it names.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ..editions.edition import Edition
from ..explaining.labels import label
from ..records.record import Record
from ..shape.shaped import ShapedMap, text_at
from ..shape.vocabulary import vocabulary
from .fault import Fault
from .job import Job, Lot
from .judged import Judged
from .needs import Combination, Need, paths_of
from .same import meant, written

Needs = Mapping[tuple[int, Combination], Need]


def combinations(judged: Judged, edition: Edition) -> Iterator[tuple[int, Combination]]:
    """By line of the programme, the combination that a record is of."""
    for line, asked in enumerate(edition.programme):
        if asked.procedure != judged.procedure.id:
            continue
        words = vocabulary(asked.procedure)
        assert words is not None
        yield line, tuple(meant(path, judged.data, judged.procedure) for path in paths_of(asked, words))


@dataclass(frozen=True, slots=True)
class Placed:
    """Of a record that is of no combination exactly: what it counts against, or why it is in the way, or is not."""

    against: tuple[tuple[int, Combination], ...] = ()
    fault: Fault | None = None


def placed_by_name(judged: Judged, needs: Needs, job: Job) -> Placed:
    """What becomes of a record that is of no test asked for."""
    what = f"record {judged.id} ({judged.procedure.title}: {judged.verdict})"
    near = () if judged.verdict == "pass" else _near(judged, needs, job)
    unused = None if judged.doubts else _not_installed(judged, needs, job, bool(near))
    if judged.verdict != "pass" and unused is None and (near or judged.shows_failure):
        if judged.shows_failure and near:
            return Placed(near)
        says = "; ".join(dict.fromkeys(otherwise(judged, needs[at]) for at in near))
        why = f": it says {says}" if says else ""
        return Placed(fault=_not_placed(f"{what} belongs to no test asked for{why}", judged.id))
    said = list(dict.fromkeys(fault.code.replace("-", " ") for fault in judged.doubts))
    if unused is not None:
        said.append(f"{unused.name} is not to be installed")
    why = f" ({' and '.join(said)})" if said else ""
    return Placed(fault=Fault("left-over", f"{what} belongs to no test asked for{why}", None, (judged.id,)))


def without_rules(record: Record, job: Job, edition: Edition) -> Fault:
    """Of a record that cannot be judged, since the edition has no rules for such a test. Where it names a lot that is
    to be installed, nobody knows whether it speaks against that lot."""
    text = f"record {record.id} is of `{record.procedure}`, and {edition.name} has no rules for it"
    for lot in dict.fromkeys(lot for assembly in job.assemblies for lot in assembly.lots):
        part = record.shaped.entries.get(lot.of)
        number = text_at(part, "lot") if isinstance(part, ShapedMap) else None
        if number is not None and alike(number, lot.number):
            return _not_placed(f"{text}; it names {lot.name}, which is to be installed", record.id)
    return Fault("left-over", text, None, (record.id,))


def _not_placed(text: str, id: str) -> Fault:
    mend = "Find out which test it is of, and correct it; or file it apart, if it is none of this job."
    return Fault("not-placed", text, mend, (id,))


def otherwise(judged: Judged, need: Need) -> str:
    """What a record says otherwise than the combination that it counts against; empty if it is of that exactly."""
    there = need.assemblies[0].data
    found = []
    for path in need.paths:
        if meant(path, judged.data, judged.procedure) != meant(path, there, judged.procedure):
            said = written(path, judged.data)
            found.append(f"no {label(path, need.words)}" if said is None else f"{label(path, need.words)} {said}")
    return ", ".join(found)


def alike(one: str, other: str) -> bool:
    """Whether two marks may be one: case, blanks, dashes and other signs set aside."""
    return one == other or _bare(one) == _bare(other) != ""


def _bare(mark: str) -> str:
    return "".join(each for each in unicodedata.normalize("NFKC", mark).casefold() if each.isalnum())


def _near(judged: Judged, needs: Needs, job: Job) -> tuple[tuple[int, Combination], ...]:
    """The tests of its procedure that share the most lots with a record; of tests that go by no lot, the mark."""
    shared = {
        at: sum(_named(judged, need, path, job) for path in _marks(need.paths))
        for at, need in needs.items() if need.procedure.id == judged.procedure.id
    }  # fmt: skip
    most = max(shared.values(), default=0)
    return tuple(at for at, number in shared.items() if number == most > 0)


def _marks(paths: tuple[str, ...]) -> tuple[str, ...]:
    """The fields that name lots; where there are none, every one."""
    return tuple(path for path in paths if path.endswith(".lot")) or paths


def _named(judged: Judged, need: Need, path: str, job: Job) -> bool:
    """Whether a record names what the test is of. A number that another lot of the job has exactly is that lot's."""
    here, there = written(path, judged.data), written(path, need.assemblies[0].data)
    if here is None or there is None or not alike(here, there):
        return False
    of, _, last = path.rpartition(".")
    exact = _delivered(judged, of, job) if last == "lot" else None
    return exact is None or exact in {lot for assembly in need.assemblies for lot in assembly.lots}


def _delivered(judged: Judged, of: str, job: Job) -> Lot | None:
    """The lot of the job that a record names exactly, by number and maker."""
    number, maker = written(f"{of}.lot", judged.data), written(f"{of}.maker", judged.data)
    return next((lot for lot in job.lots if (lot.of, lot.number, lot.maker) == (of, number, maker)), None)


def _not_installed(judged: Judged, needs: Needs, job: Job, near: bool) -> Lot | None:
    """A lot of the job that the record tests and that is installed nowhere: with another lot in its place, what was
    found of it is settled. Of a test that goes by no lot, any lot, unless the mark is ``near`` one of the job."""
    installed = {lot for assembly in job.assemblies for lot in assembly.lots}
    lots = [path for need in needs.values() if need.procedure.id == judged.procedure.id for path in need.paths
            if path.endswith(".lot")]  # fmt: skip
    if not lots and near:
        return None
    kinds = dict.fromkeys(path.rpartition(".")[0] for path in lots) or dict.fromkeys(lot.of for lot in job.lots)
    named = [_delivered(judged, of, job) for of in kinds if written(f"{of}.lot", judged.data) is not None]
    if None in named:
        return None
    return next((lot for lot in named if lot is not None and lot not in installed), None)
