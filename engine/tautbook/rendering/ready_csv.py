"""How a job stands as rows of a spreadsheet: what is in the way, then every test, then what is worth knowing."""

from __future__ import annotations

from collections.abc import Iterator

from ..jobs.fault import Fault
from ..jobs.ready import Ready
from ..jobs.standing import Standing
from .csv_text import cell, csv_row

_HEAD = (
    "row", "state", "test", "combination", "clause", "record", "tested", "until", "missing", "says", "next", "records"
)  # fmt: skip


def ready_csv(ready: Ready) -> str:
    return "".join([
        csv_row(_HEAD),
        *(_fault(f"in the way {n}", each) for n, each in enumerate(ready.in_the_way, 1)),
        *map(_test, ready.standings),
        *(_fault("worth knowing", each) for each in ready.told),
    ])  # fmt: skip


def _fault(row: str, fault: Fault) -> str:
    return csv_row([
        cell(row), cell(fault.code.replace("-", " ")), "", "", "", "", "", "", "", cell(fault.text),
        cell(fault.next or ""), cell(*fault.records),
    ])  # fmt: skip


def _test(standing: Standing) -> str:
    need, record = standing.need, standing.record
    tested = "" if record is None or record.tested is None else record.tested.isoformat()
    return csv_row([
        cell("test"), cell(standing.state), cell(need.procedure.title),
        cell(*(f"{key.title}: {key.written}" for key in need.keys)), cell(need.asked.clause or ""),
        cell("" if record is None else record.id), cell(tested),
        cell("" if standing.until is None else standing.until.isoformat()), cell(*standing.missing),
        cell(*_says(standing)), cell(*standing.next),
        cell(*(f"{each.id}: {each.verdict}" for each in standing.records)),
    ])  # fmt: skip


def _says(standing: Standing) -> Iterator[str]:
    if standing.record is not None:
        yield standing.record.says
    if standing.leave is not None:
        yield f"left out by leave of {standing.leave.by} ({standing.leave.role}): {standing.leave.why}"
    if standing.need.unsure:
        yield f"the job does not state {', '.join(standing.need.unsure)}"
