"""Every operator on every kind, and every two-sided operator on every pair of kinds, legal and refused.

What is legal is stated in the grids below, by class of kind. A legal pair is asked of an empty record, so
that it must come out open with exactly the fields it names.
"""

from collections.abc import Iterator

Row = tuple[str, str, dict[str, object], str]
"""Name, expression, given, stated result (in the notation of stated.py)."""

KINDS = {  # kind: class, two fields (one where the vocabulary has one), a literal
    "number": ("n", "ratio", "factor", "1"),
    "whole": ("n", "spaces", "threads", "1"),
    "force": ("q", "force_a", "force_b", "1 kip"),
    "length": ("q", "bolt.length", "bolt.diameter", "1 in"),
    "torque": ("q", "effort", "effort", "1 ft-lbf"),
    "stress": ("q", "strength", "strength", "1 ksi"),
    "angle": ("q", "turned", "turned", "1 degree"),
    "mass": ("q", "weight", "weight", "1 lb"),
    "duration": ("q", "elapsed", "elapsed", "1 minute"),
    "temperature": ("t", "ambient", "ambient", "1 degC"),
    "choice": ("c", "bolt.grade", "bolt.grade", '"A325"'),
    "text": ("x", "marking", "marking", '"7731"'),
    "yes-no": ("y", "head_held", "plain_finish", "yes"),
    "date": ("d", "tested", "calibrated", "2026-04-14"),
    "span": ("s", "valid_for", "valid_for", "6 months"),
}
CLASSES = "nqtcxyds"
# First part down, second across. + legal, = legal if both are one dimension, else problem dimension;
# d problem dimension, k problem kind, . not stated.
GRIDS = {
    "+": "+dkkkkkk d=kkkkkk kkkkkkkk kkkkkkkk kkkkkkkk kkkkkkkk kkkkkkk+ kkkkkkkk",
    "-": "+dkkkkkk d=kkkkkk kkkkkkkk kkkkkkkk kkkkkkkk kkkkkkkk kkkkkk+k kkkkkkkk",
    "*": "++kkkkkk ++kkkkkk kkkkkkkk kkkkkkkk kkkkkkkk kkkkkkkk kkkkkkkk kkkkkkkk",
    "/": "++kkkkkk ++kkkkkk kkkkkkkk kkkkkkkk kkkkkkkk kkkkkkkk kkkkkkkk kkkkkkkk",
    "<": "+ddkkkkk d=dkkkkk dd+kkkkk kkkkkkkk kkkkkkkk kkkkkkkk kkkkkk+k kkkkkkkk",
    "=": "+ddkkkkk d=dkkkkk dd+kkkkk kkk+.kkk kkk.+kkk kkkkk+kk kkkkkk+k kkkkkkk+",
    "and": "kkkkkkkk kkkkkkkk kkkkkkkk kkkkkkkk kkkkkkkk kkkkk+kk kkkkkkkk kkkkkkkk",
    "largest": "+d.kkkkk d=.kkkkk ...kkkkk kkkkkkkk kkkkkkkk kkkkkkkk kkkkkk.k kkkkkkkk",
}
WRITTEN = {"largest": "largest({}, {})"}
# One part, by class.
SINGLE = {
    "minus": ("-{}", "++kkkkkk"),
    "abs": ("abs({})", "++kkkkkk"),
    "not": ("not {}", "kkkkk+kk"),
    "and-yes": ("{} and yes", "kkkkk+kk"),
    "or-no": ("no or {}", "kkkkk+kk"),
    "sum": ("sum(items, {})", "++kkkkkk"),
    "mean": ("mean(items, {})", "++kkkkkk"),
    "smallest": ("smallest(items, {})", "++.kkk.k"),
    "every": ("every(items, {})", "kkkkk+kk"),
    "some": ("some(items, {})", "kkkkk+kk"),
    "condition": ("if {} then 1 else 1", "kkkkk1kk"),
    "recorded": ("recorded({})", "++++++++"),
    "same-branches": ("if yes then {0} else {0}", "++++++++"),
    "table-choice": ("minimum[{}, 1/2 in]", "kkk+.kkk"),
    "table-band": ("turn_for[{}]", "+ddkkkkk"),
    "term-number": ("over(1 kip, {})", "+ddkkkkk"),
}
ROUNDINGS = ("nearest({}, {}, ties up)", "nearest({}, {}, ties even)", "up({}, {})", "down({}, {})")


def _problem(cell: str, first: str, second: str) -> str | None:
    """The problem code of a cell, or None where it is legal."""
    if cell == "=":
        cell = "+" if first == second else "d"
    return {"d": "error dimension", "k": "error kind"}.get(cell)


def _open(*paths: str) -> str:
    return "?" + ", ".join(dict.fromkeys(paths))


def two_sided() -> Iterator[Row]:
    for sign, grid in GRIDS.items():
        cells = dict(zip(CLASSES, grid.split(), strict=True))
        for first, (of_first, a, _, _) in KINDS.items():
            for second, (of_second, same, other, literal) in KINDS.items():
                cell = cells[of_first][CLASSES.index(of_second)]
                if cell == ".":
                    continue
                b = other if first == second else same
                problem = _problem(cell, first, second)
                form = WRITTEN.get(sign, f"{{}} {sign} {{}}")
                name = f"pair-{sign}-{first}-{second}"
                yield name, form.format(a, b), {}, problem or _open(a, b)
                if problem is None:
                    yield f"{name}-literal", form.format(a, literal), {}, _open(a)


def one_sided() -> Iterator[Row]:
    lists: dict[str, object] = {"record": {"items": [{}]}}
    for name, (form, row) in SINGLE.items():
        for kind, (of, field, _, _) in KINDS.items():
            cell = row[CLASSES.index(of)]
            if cell != ".":
                stated = "1" if cell == "1" else _problem(cell, kind, kind) or _open(field)
                yield f"kind-{name}-{kind}", form.format(field), lists, stated
    for kind, (of, field, _, _) in KINDS.items():
        stated = f"{_open(field)} lo 0 hi 1" if of == "y" else "error kind"
        yield f"kind-count-{kind}", f"count(items, {field})", lists, stated


def one_kind_wanted() -> Iterator[Row]:
    """Places that want one quantity: a key, an argument, the first part of interpolate."""
    places = {"table-key": ('minimum["A325", {}]', "length", ()), "term-force": ("over({}, 1)", "force", ()),
              "interpolate": ("interpolate(curve, {})", "force", ("curve",))}  # fmt: skip
    for name, (form, wanted, also) in places.items():
        for kind, (of, field, _, _) in KINDS.items():
            refused = "error dimension" if of in "nqt" else "error kind"
            stated = _open(field, *also) if kind == wanted else refused
            yield f"kind-{name}-{kind}", form.format(field), {}, stated


def rounding() -> Iterator[Row]:
    for n, form in enumerate(ROUNDINGS, 1):
        for kind, (of, field, _, literal) in KINDS.items():
            stated = _open(field) if of in "nq" else "error kind"
            yield f"kind-rounding-{n}-{kind}", form.format(field, literal), {}, stated
        for kind, step in (("force", "1"), ("length", "1 kip"), ("number", "1 mm"), ("angle", "1 %")):
            field = KINDS[kind][1]
            yield f"kind-rounding-{n}-{kind}-step", form.format(field, step), {}, "error dimension"


def branches() -> Iterator[Row]:
    """Branches of two kinds; two quantities differ in dimension."""
    for kind, (of, field, _, _) in KINDS.items():
        for first in ("number", "force", "yes-no", "date"):
            of_first, other = KINDS[first][0], KINDS[first][1]
            if kind == first or (of == of_first == "n"):
                continue
            stated = "error dimension" if of in "nqt" and of_first in "nq" else "error kind"
            yield f"pair-if-{first}-{kind}", f"if yes then {other} else {field}", {}, stated
            yield f"pair-one-of-{first}-{kind}", f"{field} is one of {{{KINDS[first][3]}}}", {}, stated


def pairs() -> Iterator[Row]:
    """All rows of this module."""
    for rows in (two_sided, one_sided, one_kind_wanted, rounding, branches):
        yield from rows()
