"""Records at random over the shared vocabulary: values left out, lists short, asked for or absent."""

from collections.abc import Callable
from typing import Any

from reference.plain import kinds_of_fields

Pick = Callable[[int], int]
"""A whole number below the given one."""

LISTS = ("items", "curve")
MONTHS = ("clamp", "roll over", "refuse")
VALUES: dict[str, list[str]] = {
    "force": [
        "9 kip",
        "10 kip",
        "41 kip",
        "29.4 kip",
        "20 kip",
        "12.5 kip",
        "100 kN",
        "182.5 kN",
        "9500 lbf",
        "0 kip",
        "0.1 kN",
    ],
    "length": ["1/2 in", "3/4 in", "1 in", "1-1/8 in", "20 mm", "0.5 in", "4 in", "0.3 m", "6 in"],
    "number": ["0", "1", "2", "0.5", "4", "4.5", "8", "12", "1.05", "10 %", "2.25"],
    "whole number": ["0", "1", "2", "3", "5", "8"],
    "angle": ["1/3 turn", "1/2 turn", "120 degree", "180 degree", "0.75 turn", "90 degree"],
    "temperature": ["20 degC", "68 degF", "0 degC", "14 degF"],
    "torque": ["250 ft-lbf", "3000 in-lbf", "300 N-m", "0.4 kN-m", "0 N-m"],
    "stress": ["120 ksi", "120000 psi", "830 MPa", "1 GPa"],
    "mass": ["0.5 lb", "1 kg", "0.45359237 kg"],
    "duration": ["10 second", "1 minute", "60 second", "0.5 hour"],
    "choice": ["A325", "A490"],
    "text": ["B-2217", "7731"],
    "date": ["2026-04-14", "2025-08-31", "2024-02-29", "2026-01-30", "2026-10-31"],
    "span": ["6 months", "1 year", "30 days", "1 month", "12 months"],
    "yes/no": ["yes", "no"],
}


def _put(record: dict[str, Any], path: str, kind: str, pick: Pick) -> None:
    """A value of its kind at a dotted path of `record`; one time in four nothing."""
    if pick(4) == 0:
        return
    *above, last = path.split(".")
    for name in above:
        record = record.setdefault(name, {})
    written = VALUES[kind][pick(len(VALUES[kind]))]
    record[last] = written == "yes" if kind == "yes/no" else written


def given(pick: Pick) -> dict[str, Any]:
    record: dict[str, Any] = {}
    asks: dict[str, int] = {}
    kinds = kinds_of_fields()
    for path, kind in kinds.items():
        if path.split(".")[0] not in LISTS:
            _put(record, path, kind, pick)
    for name in LISTS:
        if pick(3) == 0:
            asks[name] = 1 + pick(3)
        if pick(8) == 0:
            continue
        record[name] = [{} for _ in range(pick(4))]
        for item in record[name]:
            for path, kind in kinds.items():
                if path.startswith(f"{name}."):
                    _put(item, path[len(name) + 1 :], kind, pick)
    _apart(record.get("curve", []))
    return {"record": record, "asks": asks, "months": MONTHS[pick(3)]}


def _apart(points: list[dict[str, Any]]) -> None:
    """No two points at the same place, else which of them holds is not said."""
    seen: list[str] = []
    for point in points:
        if point.get("dial") in seen:
            del point["dial"]
        elif "dial" in point:
            seen.append(point["dial"])
