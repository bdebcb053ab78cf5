"""The records of a job, judged by its edition, and what each says otherwise than the job does."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from ..editions.edition import Procedure
from ..explaining.explain import DEMONSTRATION, Explanation
from ..explaining.labels import label
from ..lang.quantity import Quantity
from ..lang.values import Group, Leaf, data_at
from ..records.record import Record
from ..shape.vocabulary import Vocabulary
from .fault import Fault
from .job import Job, Lot
from .needs import Need
from .parts import leaves
from .same import meant, written

DAY = "tested"
"""The field of every record that has the day of the test."""


@dataclass(slots=True)
class Judged:
    """A record with its verdict. ``doubts`` is why it does not count as it stands; filled while a job is looked at."""

    explanation: Explanation
    doubts: list[Fault] = field(default_factory=list)

    @property
    def record(self) -> Record:
        return self.explanation.verdict.record

    @property
    def id(self) -> str:
        return self.record.id

    @property
    def words(self) -> Vocabulary:
        return self.record.words

    @property
    def verdict(self) -> str:
        return self.explanation.verdict.verdict

    @property
    def data(self) -> Group:
        return self.explanation.verdict.observed.group

    @property
    def procedure(self) -> Procedure:
        return self.explanation.verdict.procedure

    @property
    def tested(self) -> datetime.date | None:
        leaf = data_at(self.data, DAY)
        return leaf.value if isinstance(leaf, Leaf) and isinstance(leaf.value, datetime.date) else None

    @property
    def retest_of(self) -> str | None:
        return written("retest_of", self.data)

    @property
    def says(self) -> str:
        """The first line of its report; that figures are invented is said once, of the whole job."""
        return self.explanation.headline.removesuffix(f"; {DEMONSTRATION}")

    @property
    def shows_failure(self) -> bool:
        """Whether it failed, or was left unfinished when it could not pass any more but still fail."""
        could = self.explanation.verdict.could_be
        return self.verdict == "fail" or (self.verdict == "incomplete" and "pass" not in could and "fail" in could)

    @property
    def breaks_acceptance(self) -> bool:
        """Whether something in it is not met that would fail the material, were the test finished and valid."""
        found = self.explanation.verdict.findings
        return any(each.outcome == "not met" and each.requirement.kind == "acceptance" for each in found)


LotIndex = Mapping[tuple[str, str], tuple[Lot, ...]]


def lots_by_number(lots: Iterable[Lot]) -> LotIndex:
    """By what they are lots of, and their number."""
    found: dict[tuple[str, str], tuple[Lot, ...]] = {}
    for lot in lots:
        found[lot.of, lot.number] = (*found.get((lot.of, lot.number), ()), lot)
    return found


def otherwise_than_delivered(judged: Judged, job: Job, index: LotIndex) -> Iterator[Fault]:
    """Where a record names another job, or says of a lot what its papers do not."""
    of_job = written("job", judged.data)
    if of_job is not None and of_job != job.id:
        yield Fault("other-job", f"record {judged.id} says that it is of job {of_job}, not of {job.id}",
                    "Move it to its own job, or correct it and have it signed again.", (judged.id,))  # fmt: skip
    for of in dict.fromkeys(kind for kind, _ in index):
        number, maker = written(f"{of}.lot", judged.data), written(f"{of}.maker", judged.data)
        if number is None:
            continue
        same = index.get((of, number), ())
        if not same:
            text = f"record {judged.id} is of {of} lot {number}, which did not come to this job"
            yield Fault("lot-not-delivered", text, "Check the number on the containers.", (judged.id,))
            continue
        found = [lot for lot in same if maker is None or lot.maker == maker]
        if not found:
            came = " and ".join(lot.maker for lot in same)
            yield _other(judged, f"{of} lot {number}", f"{of} maker {maker}", f"from {came}")
            continue
        differing = [list(_differing(judged, lot)) for lot in found]
        if all(differing):
            path, here, there = differing[0][0]
            yield _other(judged, found[0].name, f"{label(path, judged.words)} {here}", f"as {there}")


def other_quantities(judged: Judged, job: Job) -> Iterator[Fault]:
    """Where a record gives a quantity of a lot that its papers do not: worth telling, for it makes no test another."""
    for lot in job.lots:
        named = (written(f"{lot.of}.lot", judged.data), written(f"{lot.of}.maker", judged.data))
        said = data_at(judged.data, f"{lot.of}.quantity")
        if lot.quantity is None or not isinstance(said, Leaf) or named[0] != lot.number:
            continue
        if named[1] in (None, lot.maker) and isinstance(said.value, Quantity) and said.value.value != lot.quantity:
            text = f"record {judged.id} has {said.written} of {lot.name}, and {lot.quantity} came"
            yield Fault("other-quantity", text, "Compare both with the delivery note.", (judged.id,))


def _other(judged: Judged, lot: str, says: str, came: str) -> Fault:
    text = f"record {judged.id} has {lot} with {says}, and it came {came}"
    return Fault("other-than-delivered", text, "Look at the containers and at the record; test what was delivered.",
                 (judged.id,))  # fmt: skip


def _differing(judged: Judged, lot: Lot) -> Iterator[tuple[str, str, str]]:
    """Path, what the record says, what the papers say."""
    delivered = Group("", {lot.of: lot.data})
    for leaf in leaves(lot.data):
        here = written(leaf.path, judged.data)
        if here is not None and meant(leaf.path, judged.data, judged.procedure) != meant(
            leaf.path, delivered, judged.procedure
        ):
            yield leaf.path, here, leaf.written


def otherwise_than_installed(judged: Judged, need: Need, lots: frozenset[str]) -> Iterator[Fault]:
    """Where a record says of the work what the job does not. ``lots`` has what there are lots of."""
    keys = {key.path for key in need.keys}
    told: set[str] = set()
    of_the_work = not any(path.endswith(".lot") for path in keys)
    for path in dict.fromkeys(
        leaf.path for assembly in need.assemblies for leaf in leaves(assembly.data) if leaf.path in judged.words.fields
    ):
        part = path.partition(".")[0]
        # A test of lots stands for all assemblies of its combination; one of the work is of just these lots.
        if path in keys or part in told or (part in lots and not (of_the_work and path == f"{part}.lot")):
            continue
        here = written(path, judged.data)
        said = dict.fromkeys(each for a in need.assemblies if (each := written(path, a.data)) is not None)
        if here is None or not said:
            continue
        mine = meant(path, judged.data, judged.procedure)
        agree = [meant(path, a.data, judged.procedure) == mine for a in need.assemblies if written(path, a.data)]
        if all(agree) or (part in lots and any(agree)):
            continue
        told.add(part)
        text = f"record {judged.id} has {label(path, judged.words)} {here}, and the job has {' and '.join(said)}"
        mend = "Correct the one that is wrong, or test again."
        yield Fault("other-than-in-the-work", f"{text} for {need.shown}", mend, (judged.id,))
