"""Write cases.yaml and grids.yaml: the cases stated by hand, and the grids of truth tables, kinds and units.

    PYTHONPATH=tests python -m conformance.generate

Every expectation is stated in this folder by hand; none is taken from an evaluator.
"""

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import yaml

from conformance.calendars import calendars
from conformance.pairs import pairs
from conformance.stated import GROUPS
from conformance.states import states
from conformance.units import placed, units

Case = dict[str, Any]

# Rows: the first part; columns: the second. `a` and `b` are the reasons of the parts.
STATES = ("yes", "no", "missing", "stuck")
AND = "yes no b b|no no no no|a no a+b a+b|a no a+b a+b"
OR = "yes yes yes yes|yes no b b|yes a a+b a+b|yes a a+b a+b"
NOT = "no yes a a"
SMALLER_FIRST = {
    "force": "N lbf kN kip", "length": "mm cm in ft m", "torque": "in-lbf N-m ft-lbf kN-m",
    "stress": "psi MPa ksi GPa", "angle": "degree turn", "mass": "lb kg", "duration": "second minute hour",
}  # fmt: skip
ORDERED = {  # kind: field, value, and a literal that is smaller, equal, greater
    "number": ("ratio", "4", "3.999", "4", "4.001"),
    "whole-number": ("spaces", "5", "4", "5", "6"),
    "force": ("force_a", "12.5 kip", "55 kN", "12500 lbf", "56 kN"),
    "length": ("bolt.length", "20 mm", "3/4 in", "2 cm", "1 in"),
    "angle": ("turned", "240 degree", "1/2 turn", "2/3 turn", "3/4 turn"),
    "temperature": ("ambient", "20 degC", "67 degF", "68 degF", "21 degC"),
    "date": ("tested", "2026-04-14", "2026-04-13", "2026-04-14", "2026-10-01"),
}
SAME_ONLY: dict[str, tuple[str, Any, str, str]] = {
    "choice": ("bolt.grade", "A325", '"A325"', '"A490"'),
    "text": ("marking", "7731", '"7731"', '"07731"'),
    "yes-no": ("head_held", True, "yes", "no"),
    "span": ("valid_for", "12 months", "1 year", "365 days"),
}
SIGNS = {  # does the field stand so to a smaller, an equal, a greater literal
    "<": "no no yes", "<=": "no yes yes", ">": "yes no no", ">=": "yes yes no",
    "=": "no yes no", "!=": "yes no yes",
}  # fmt: skip
ROUNDED = """x     nearest-up nearest-even up down
    2.4    2   2   3   2
    2.5    3   2   3   2
    2.6    3   3   3   2
    3      3   3   3   3
    3.5    4   4   4   3
    -2.4  -2  -2  -2  -3
    -2.5  -2  -2  -2  -3
    -2.6  -3  -3  -2  -3
    -3.5  -3  -4  -3  -4
    0      0   0   0   0"""

HEAD = """# What the language gives, for any implementation of it. Written by generate.py.
# expression over the names of vocabulary.yaml; given: record (values as written, or true/false), asks (items
# by list), months, item (what a singular stands for); gives: known, or missing paths and stuck
# reasons with the bounds lo and hi already certain; problem: why the expression is refused.
"""


def result(text: str) -> Any:
    """The stated result in plain data."""
    if text.startswith("error "):
        return {"problem": text[6:]}
    if text[0] not in "?!":
        return {"gives": {"known": {"yes": True, "no": False}.get(text, text)}}
    found = re.fullmatch(r"(?:\?(.*?))? ?(?:!(.*?))?(?: lo (.*?))?(?: hi (.*?))?", text)
    assert found is not None, text
    missing, stuck, lo, hi = found.groups()
    gives: dict[str, Any] = {
        "missing": missing.split(", ") if missing else [],
        "stuck": stuck.split("; ") if stuck else [],
    }
    return {"gives": gives | ({"lo": lo} if lo else {}) | ({"hi": hi} if hi else {})}


def case(name: str, expression: str, given: Any, stated: str) -> Case:
    return {"id": name, "expression": expression, "given": given, **result(stated)}


def _undated(value: Any) -> Any:
    """Dates as they were written."""
    if isinstance(value, dict):
        return {k: _undated(v) for k, v in value.items()}
    if isinstance(value, list):
        return [_undated(v) for v in value]
    return value.isoformat() if isinstance(value, date) else value


def by_hand() -> Iterator[Case]:
    for group, (given, lines) in GROUPS.items():
        for n, line in enumerate(filter(None, map(str.strip, lines.splitlines())), 1):
            expression, stated = line.rsplit(" => ", 1)
            yield case(f"{group}-{n:02}", expression, _undated(yaml.safe_load(given)), stated)


def _stated(cell: str, a: str, b: str) -> str:
    """A cell of a truth table with the reasons of its parts put in."""
    if cell in ("yes", "no"):
        return cell
    reasons = [r for part, r in (("a", a), ("b", b)) if part in cell and r]
    missing = [r[1:] for r in reasons if r[0] == "?"]
    stuck = {r for r in reasons if r[0] == "!"}
    return " ".join(filter(None, ["?" + ", ".join(missing) if missing else "", *stuck]))


def truth() -> Iterator[Case]:
    record = {"spaces": "0"}
    first = {"yes": "yes", "no": "no", "missing": "head_held", "stuck": "1 / spaces > 1"}
    second = first | {"missing": "plain_finish"}
    why_a = {"missing": "?head_held", "stuck": "!division by zero"}
    why_b = {"missing": "?plain_finish", "stuck": "!division by zero"}
    # The same four states in the items of a list.
    items: dict[str, dict[str, str]] = {
        "yes": {"refusals": "1"}, "no": {"refusals": "8"}, "missing": {}, "stuck": {"refusals": "0"},
    }  # fmt: skip
    for word, over, grid in (("and", "every", AND), ("or", "some", OR)):
        for a, row in zip(STATES, grid.split("|"), strict=True):
            for b, cell in zip(STATES, row.split(), strict=True):
                stated = _stated(cell, why_a.get(a, ""), why_b.get(b, ""))
                text = f"{first[a]} {word} {second[b]}"
                yield case(f"truth-{word}-{a}-{b}", text, {"record": record}, stated)
                stated = _stated(
                    cell,
                    why_a.get(a, "").replace("head_held", "items[1].refusals"),
                    why_b.get(b, "").replace("plain_finish", "items[2].refusals"),
                )
                given = {"record": {"items": [{**items[a]}, {**items[b]}]}}
                yield case(f"truth-{over}-{a}-{b}", f"{over}(items, 2 / item.refusals > 1)", given, stated)
    for a, cell in zip(STATES, NOT.split(), strict=True):
        stated = _stated(cell, why_a.get(a, ""), "")
        yield case(f"truth-not-{a}", f"not {first[a]}".replace("> 1", "= 1"), {"record": record}, stated)


def choices() -> Iterator[Case]:
    """`if`: each state of the condition with branches the same, different, and the first one missing."""
    given = {"record": {"spaces": "0"}}
    condition = {"yes": "yes", "no": "no", "missing": "head_held", "stuck": "1 / spaces > 1"}
    why = {"missing": "?head_held", "stuck": "!division by zero"}
    rows = {"same": ("2", "2", "2", "2", ""), "differ": ("1", "2", "1", "2", ""),
            "open": ("ratio", "2", "?ratio", "2", "?ratio")}  # fmt: skip
    for a in STATES:
        for name, (first, second, if_yes, if_no, branch) in rows.items():
            both_open = "2" if name == "same" else _stated("a+b", why.get(a, "-"), branch)
            stated = {"yes": if_yes, "no": if_no}.get(a, both_open)
            yield case(f"if-{a}-{name}", f"if {condition[a]} then {first} else {second}", given, stated)


def grids() -> Iterator[Case]:
    for kind, words in SMALLER_FIRST.items():
        listed = words.split()
        for i, small in enumerate(listed):
            for big in listed[i + 1 :]:
                yield case(f"unit-{kind}-{small}-{big}", f"1 {small} < 1 {big}", {}, "yes")
    for kind, (path, value, *literals) in ORDERED.items():
        for sign, answers in SIGNS.items():
            for place, literal, stated in zip(
                ("smaller", "equal", "greater"), literals, answers.split(), strict=True
            ):
                given = {"record": placed(path, value)}
                yield case(f"compare-{kind}-{sign}-{place}", f"{path} {sign} {literal}", given, stated)
            yield case(f"compare-{kind}-{sign}-missing", f"{path} {sign} {literals[0]}", {}, f"?{path}")
    for kind, (path, held, same, other) in SAME_ONLY.items():
        given = {"record": placed(path, held)}
        yield case(f"compare-{kind}-same", f"{path} = {same}", given, "yes")
        yield case(f"compare-{kind}-other", f"{path} = {other}", given, "no")
        yield case(f"compare-{kind}-not-same", f"{path} != {same}", given, "no")
        yield case(f"compare-{kind}-not-other", f"{path} != {other}", given, "yes")
        yield case(f"compare-{kind}-missing", f"{path} = {same}", {}, f"?{path}")
    ways = {"nearest-up": "nearest(ratio, 1, ties up)", "nearest-even": "nearest(ratio, 1, ties even)",
            "up": "up(ratio, 1)", "down": "down(ratio, 1)"}  # fmt: skip
    for line in ROUNDED.splitlines()[1:]:
        x, *stated_ways = line.split()
        for (way, text), stated in zip(ways.items(), stated_ways, strict=True):
            yield case(f"round-{way}-{x}", text, {"record": {"ratio": x}}, stated)
            in_kip = text.replace("ratio", "force_a").replace(", 1", ", 5 kip")
            given = {"record": {"force_a": f"{round(5 * float(x), 3):g} kip"}}
            yield case(f"round-{way}-{x}-fives", in_kip, given, f"{5 * int(stated)} kip")
    for way, text in ways.items():
        yield case(f"round-{way}-missing", text, {}, "?ratio")


def by_grid() -> Iterator[Case]:
    for rows in (pairs, units, states, calendars):
        for row in rows():
            yield case(*row)


def files() -> dict[str, str]:
    """What each file must hold, by name."""
    parts = {"cases.yaml": [*by_hand(), *truth(), *choices(), *grids()], "grids.yaml": [*by_grid()]}
    style: dict[str, Any] = {"default_flow_style": True, "sort_keys": False, "width": 10_000}

    class Plain(yaml.SafeDumper):
        def ignore_aliases(self, data: Any) -> bool:
            return True

    return {
        name: HEAD + "".join(f"- {yaml.dump(c, Dumper=Plain, **style)}" for c in cases)
        for name, cases in parts.items()
    }


def main() -> None:
    for name, text in files().items():
        (Path(__file__).parent / name).write_text(text, encoding="utf-8")
        print(f"{name}: {text.count(chr(10) + '- ')} cases")


if __name__ == "__main__":
    main()
