"""Known, missing and stuck parts in every operator, and what the bounds of an open list decide.

Rows as in pairs.py. A cell names the reasons that stay: `a` of the first part, `b` of the second, `c` of the
condition.
"""

from collections.abc import Iterator

Row = tuple[str, str, dict[str, object], str]

STATES = ("known", "missing", "stuck", "stuck-too")
WHY_A = {"missing": "?load.first", "stuck": "!division by zero", "stuck-too": "!no rule"}
WHY_B = {**WHY_A, "missing": "?load.second"}
FIRST = {
    "known": "12 kip",
    "missing": "load.first",
    "stuck": "(12 kip / spaces)",
    "stuck-too": 'minimum["A490", 1 in]',
}
SECOND = {**FIRST, "known": "8 kip", "missing": "load.second"}
ZERO: dict[str, object] = {"record": {"spaces": "0"}}

# Operators that are open when any part is: form, and what 12 kip and 8 kip give.
STRICT = {
    "+": ("{} + {}", "20 kip"),
    "-": ("{} - {}", "4 kip"),
    "*": ("{} * {} = 96 kip * 1 kip", "yes"),
    "/": ("{} / {}", "1.5"),
    "<": ("{} < {}", "no"),
    "<=": ("{} <= {}", "no"),
    ">": ("{} > {}", "yes"),
    ">=": ("{} >= {}", "yes"),
    "=": ("{} = {}", "no"),
    "!=": ("{} != {}", "yes"),
    "nearest": ("nearest({}, {}, ties even)", "16 kip"),
    "up": ("up({}, {})", "16 kip"),
    "down": ("down({}, {})", "8 kip"),
    "smallest": ("smallest({}, {})", "8 kip"),
    "largest": ("largest({}, {})", "12 kip"),
    "term": ("over({}, {} / 8 kip)", "24 kip"),
    "difference-term": ("over({} - {}, 50 %)", "6 kip"),
}


def reasons(*parts: str) -> str:
    """The reasons of parts together: `?a` and `?b` and `!word`."""
    missing = sorted({p[1:] for p in parts if p.startswith("?")})
    stuck = sorted({p[1:] for p in parts if p.startswith("!")})
    return " ".join(
        [*(["?" + ", ".join(missing)] if missing else []), *(["!" + "; ".join(stuck)] if stuck else [])]
    )


def strict() -> Iterator[Row]:
    for name, (form, known) in STRICT.items():
        for a in STATES:
            for b in STATES:
                stated = reasons(WHY_A.get(a, ""), WHY_B.get(b, "")) or known
                yield f"state-{name}-{a}-{b}", form.format(FIRST[a], SECOND[b]), ZERO, stated
    alone = {"minus": ("-{}", "-12 kip"), "abs": ("abs({})", "12 kip"),
             "whole-term": ("over({}, 1)", "24 kip"), "list-sum": ("sum(items, {})", "24 kip"),
             "list-mean": ("mean(items, {})", "12 kip")}  # fmt: skip
    given: dict[str, object] = {"record": {"spaces": "0", "items": [{}, {}]}}
    for name, (form, known) in alone.items():
        for a in STATES:
            yield f"state-{name}-{a}", form.format(FIRST[a]), given, WHY_A.get(a, known)


# `if` by condition (rows: yes, no, missing, stuck), first branch (groups: 1, 2, missing, stuck), second
# branch (cells).
IF = """1 1 1 1|2 2 2 2|a a a a|a a a a
1 2 b b|1 2 b b|1 2 b b|1 2 b b
1 c cb cb|c 2 cb cb|ca ca cab cab|ca ca cab cab
1 c cb cb|c 2 cb cb|ca ca cab cab|ca ca cab cab"""


def conditions() -> Iterator[Row]:
    condition = {"yes": "yes", "no": "no", "missing": "head_held", "stuck": "1 / spaces > 1"}
    why_c = {"missing": "?head_held", "stuck": "!division by zero"}
    first = {"1": "1", "2": "2", "missing": "ratio", "stuck": "turn_for[0] / 1 degree"}
    second = {**first, "missing": "factor", "stuck": "1 / spaces"}
    why_a = {"missing": "?ratio", "stuck": "!no rule"}
    why_b = {"missing": "?factor", "stuck": "!division by zero"}
    for (c, text), row in zip(condition.items(), IF.splitlines(), strict=True):
        for (a, x), group in zip(first.items(), row.split("|"), strict=True):
            for (b, y), cell in zip(second.items(), group.split(), strict=True):
                parts = (("c", why_c.get(c, "")), ("a", why_a.get(a, "")), ("b", why_b.get(b, "")))
                stays = [why for letter, why in parts if letter in cell]
                yield f"if-all-{c}-{a}-{b}", f"if {text} then {x} else {y}", ZERO, reasons(*stays) or cell


# A chain is an `and`: rows the first comparison, cells the second; yes, no, missing, stuck.
CHAIN = "yes no b b|no no no no|a no ab ab|a no ab ab"


def chains() -> Iterator[Row]:
    ends = ("yes", "no", "missing", "stuck")
    left = {"yes": "1", "no": "3", "missing": "ratio", "stuck": "1 / spaces"}
    right = {"yes": "3", "no": "1", "missing": "factor", "stuck": "turn_for[0] / 1 degree"}
    why_a, why_b = (
        {"missing": "?ratio", "stuck": "!division by zero"},
        {"missing": "?factor", "stuck": "!no rule"},
    )
    for a, row in zip(ends, CHAIN.split("|"), strict=True):
        for b, cell in zip(ends, row.split(), strict=True):
            stays = reasons(
                *(why_a.get(a, "") if "a" in cell else "", why_b.get(b, "") if "b" in cell else "")
            )
            stated = cell if cell in ("yes", "no") else stays
            yield f"chain-all-{a}-{b}", f"{left[a]} < 2 < {right[b]}", ZERO, stated
            yield f"chain-down-{a}-{b}", f"{right[b]} >= 2 >= {left[a]}", ZERO, stated


# Two items: 4 refusals of the first, then an item that is 2, missing or stuck, in that order.
LISTS = {
    "count": ("count(items, 8 / item.refusals > 1)", "2", "lo 1 hi 2"),
    "count-none": ("count(items, 8 / item.refusals > 9)", "0", "lo 0 hi 1"),
    "smallest": ("smallest(items, 8 / item.refusals)", "2", "hi 2"),
    "largest": ("largest(items, 8 / item.refusals)", "4", "lo 2"),
    "sum": ("sum(items, 8 / item.refusals)", "6", ""),
    "mean": ("mean(items, 8 / item.refusals)", "3", ""),
}


def lists() -> Iterator[Row]:
    second = {"known": {"refusals": "2"}, "missing": {}, "stuck": {"refusals": "0"}}
    why = {"missing": "?items[2].refusals", "stuck": "!division by zero"}
    for name, (text, known, ends) in LISTS.items():
        for state, item in second.items():
            given: dict[str, object] = {"record": {"items": [{"refusals": "4"}, item]}}
            stated = f"{why[state]} {ends}".strip() if state in why else known
            yield f"list-state-{name}-{state}", text, given, stated
    both: dict[str, object] = {"record": {"items": [{}, {"refusals": "0"}]}}
    for name, (text, _, _) in LISTS.items():
        open_ends = "lo 0 hi 2" if name.startswith("count") else ""
        stated = f"?items[1].refusals !division by zero {open_ends}".strip()
        yield f"list-none-known-{name}", text, both, stated


# What is certain, sign by sign, for a literal below, at and between the ends; `?` stays open.
ENDS = {  # text, signs over literals, literals
    "count": ("count(items, item.gap)", {
        "<": "no no ? ? yes", "<=": "no ? ? yes yes", ">": "yes ? ? no no", ">=": "yes yes ? ? no",
        "=": "no ? ? ? no", "!=": "yes ? ? ? yes"}, ("0", "1", "2", "3", "4")),
    "smallest": ("smallest(items, item.force)", {
        "<": "? ? yes", "<=": "? yes yes", ">": "? no no", ">=": "? ? no", "=": "? ? no", "!=": "? ? yes"},
        ("2 kip", "3 kip", "4 kip")),
    "largest": ("largest(items, item.force)", {
        "<": "no no ?", "<=": "no ? ?", ">": "yes ? ?", ">=": "yes yes ?", "=": "no ? ?", "!=": "yes ? ?"},
        ("2 kip", "3 kip", "4 kip")),
}  # fmt: skip
TURNED = {"<": ">", "<=": ">=", ">": "<", ">=": "<=", "=": "=", "!=": "!="}


def bounds() -> Iterator[Row]:
    given: dict[str, object] = {"record": {"items": [{"gap": True, "force": "3 kip"}]}, "asks": {"items": 3}}
    for name, (text, signs, literals) in ENDS.items():
        field = "gap" if name == "count" else "force"
        still_open = f"?items[2].{field}, items[3].{field}"
        for sign, answers in signs.items():
            for literal, answer in zip(literals, answers.split(), strict=True):
                stated = still_open if answer == "?" else answer
                place = literal.partition(" ")[0]
                yield f"bound-{name}-{sign}-{place}", f"{text} {sign} {literal}", given, stated
                turned = f"{literal} {TURNED[sign]} {text}"
                yield f"bound-{name}-{sign}-{place}-turned", turned, given, stated
                through = f"(if yes then ({text}) else {literal}) {sign} {literal}"
                yield f"bound-{name}-{sign}-{place}-if", through, given, stated
                forgotten = f"{text} * 1 {sign} {literal}"
                yield f"bound-{name}-{sign}-{place}-forgotten", forgotten, given, still_open


def states() -> Iterator[Row]:
    """All rows of this module."""
    for rows in (strict, conditions, chains, lists, bounds):
        yield from rows()
