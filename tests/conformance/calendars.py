"""Days and spans by each policy for the end of a month, the edges of bands, and points of a curve.

Rows as in pairs.py. Months are added first and the day is then clamped, rolled over or refused; days come
after that.
"""

from collections.abc import Iterator

Row = tuple[str, str, dict[str, object], str]

# date, span, clamp, roll over, refuse
SPANS = """2026-01-31 | 1 month    | 2026-02-28 | 2026-03-03 | !
2026-01-30 | 1 month    | 2026-02-28 | 2026-03-02 | !
2026-01-29 | 1 month    | 2026-02-28 | 2026-03-01 | !
2026-01-28 | 1 month    | 2026-02-28 | 2026-02-28 | 2026-02-28
2024-01-31 | 1 month    | 2024-02-29 | 2024-03-02 | !
2024-01-29 | 1 month    | 2024-02-29 | 2024-02-29 | 2024-02-29
2026-08-31 | 6 months   | 2027-02-28 | 2027-03-03 | !
2023-08-31 | 6 months   | 2024-02-29 | 2024-03-02 | !
2026-08-30 | 6 months   | 2027-02-28 | 2027-03-02 | !
2026-08-28 | 6 months   | 2027-02-28 | 2027-02-28 | 2027-02-28
2026-03-31 | 1 month    | 2026-04-30 | 2026-05-01 | !
2026-05-31 | 1 month    | 2026-06-30 | 2026-07-01 | !
2026-07-31 | 1 month    | 2026-08-31 | 2026-08-31 | 2026-08-31
2026-12-31 | 2 months   | 2027-02-28 | 2027-03-03 | !
2026-12-15 | 1 month    | 2027-01-15 | 2027-01-15 | 2027-01-15
2026-10-31 | 13 months  | 2027-11-30 | 2027-12-01 | !
2024-02-29 | 1 year     | 2025-02-28 | 2025-03-01 | !
2024-02-29 | 4 years    | 2028-02-29 | 2028-02-29 | 2028-02-29
2096-02-29 | 4 years    | 2100-02-28 | 2100-03-01 | !
2096-02-29 | 8 years    | 2104-02-29 | 2104-02-29 | 2104-02-29
2023-02-28 | 1 year     | 2024-02-28 | 2024-02-28 | 2024-02-28
2026-04-14 | 12 months  | 2027-04-14 | 2027-04-14 | 2027-04-14
2026-04-14 | 0 months   | 2026-04-14 | 2026-04-14 | 2026-04-14
2026-01-31 | 1 day      | 2026-02-01 | 2026-02-01 | 2026-02-01
2026-02-28 | 1 day      | 2026-03-01 | 2026-03-01 | 2026-03-01
2024-02-28 | 2 days     | 2024-03-01 | 2024-03-01 | 2024-03-01
2026-12-31 | 1 day      | 2027-01-01 | 2027-01-01 | 2027-01-01
2026-01-01 | 365 days   | 2027-01-01 | 2027-01-01 | 2027-01-01
2024-01-01 | 365 days   | 2024-12-31 | 2024-12-31 | 2024-12-31
2026-04-14 | 0 days     | 2026-04-14 | 2026-04-14 | 2026-04-14"""

# later, earlier, whole days between
DAYS = """2026-04-14 2026-04-13 1
2026-03-01 2026-02-28 1
2024-03-01 2024-02-28 2
2027-01-01 2026-01-01 365
2025-01-01 2024-01-01 366
2000-03-01 2000-02-28 2
2100-03-01 2100-02-28 1
2026-04-14 2026-04-14 0"""

# Bands: the number, then the turn that it gives.
BANDS = """-1 !
0 !
0.000001 1/3 turn
3.999999 1/3 turn
4 1/3 turn
4.000001 1/2 turn
7.999999 1/2 turn
8 1/2 turn
8.000001 2/3 turn
12 2/3 turn
12.000001 !
1000 !"""
# Bands that leave a gap, by grade: the force, then what A325 and A490 allow.
GAPS = """0 kip 2 4
10 kip 2 4
10.000001 kip 3 !
20 kip 3 !
20.000001 kip ! 6
9999 kip ! 6
-5 kip 2 4"""

CURVE = ("10 kip 12 kip", "30 kip 28 kip", "20 kip 20 kip", "60 kip 55 kip")
# reading, corrected: on the points, between them, and beyond.
READINGS = """9.999999 kip !
10 kip 12 kip
15 kip 16 kip
20 kip 20 kip
20.1 kip 20.08 kip
25 kip 24 kip
30 kip 28 kip
40 kip 37 kip
59 kip 54.1 kip
60 kip 55 kip
60.000001 kip !"""

# x, step, nearest ties up, nearest ties even, up, down
ROUNDED = """29.4 1 29 29 30 29
29.5 1 30 30 30 29
30.5 1 31 30 31 30
0.25 0.5 0.5 0 0.5 0
0.75 0.5 1 1 1 0.5
-0.25 0.5 0 0 0 -0.5
-0.75 0.5 -0.5 -1 -0.5 -1
2.5 5 5 0 5 0
7.5 5 10 10 10 5
-7.5 5 -5 -10 -5 -10
0.15 0.1 0.2 0.2 0.2 0.1
0.25 0.1 0.3 0.2 0.3 0.2
1.005 0.01 1.01 1 1.01 1
1.015 0.01 1.02 1.02 1.02 1.01
0.3 0.1 0.3 0.3 0.3 0.3
1.1 0.1 1.1 1.1 1.1 1.1"""

# Sums and products that binary floating point gets wrong.
EXACT = """0.1 + 0.2 = 0.3
0.1 * 3 = 0.3
0.3 / 0.1 = 3
1 / 3 + 1 / 3 + 1 / 3 = 1
0.9 * 350.1 = 315.09
1.05 * 28 kip = 29.4 kip
1.05 * 39 kip = 40.95 kip
1.1 * 1.1 = 1.21
4.35 * 100 = 435
1.005 * 1000 = 1005
100 - 99.9 = 0.1
10 % * 10 % = 1 %
7 / 10 * 10 = 7
0.1 kN = 100 N
0.1 in * 10 = 25.4 mm
1/3 turn = 120 degree
1/3 in * 3 = 1 in
1.000000000000000000001 > 1
0.000000000000000000001 > 0
99999999999999999999 + 1 = 100000000000000000000
not 0.1 + 0.2 > 0.3
not 1.05 * 28 kip > 29.4 kip"""


def spans() -> Iterator[Row]:
    for line in SPANS.splitlines():
        day, span, *stated = (part.strip() for part in line.split("|"))
        for policy, gives in zip(("clamp", "roll over", "refuse"), stated, strict=True):
            name = f"span-{day}-{span}-{policy}".replace(" ", "-")
            answer = gives if gives != "!" else "!date refused"
            yield name, f"{day} + {span}", {"months": policy}, answer
            record: dict[str, object] = {"calibrated": day, "valid_for": span}
            yield f"{name}-read", "calibrated + valid_for", {"record": record, "months": policy}, answer
    for line in DAYS.splitlines():
        later, earlier, days = line.split()
        minus = days if days == "0" else f"-{days}"
        yield f"days-{later}-{earlier}", f"{later} - {earlier}", {}, days
        yield f"days-{earlier}-{later}-back", f"{earlier} - {later}", {}, minus


def bands() -> Iterator[Row]:
    def stated(gives: str) -> str:
        return "!no rule" if gives == "!" else gives

    for line in BANDS.splitlines():
        key, _, gives = line.partition(" ")
        yield f"band-turn-{key}", "turn_for[ratio]", {"record": {"ratio": key}}, stated(gives)
    for line in GAPS.splitlines():
        number, unit, *both = line.split()
        record: dict[str, object] = {"force_a": f"{number} {unit}"}
        for grade, gives in zip(("A325", "A490"), both, strict=True):
            name = f"band-allowed-{grade}-{number}"
            yield name, f'allowed["{grade}", force_a]', {"record": record}, stated(gives)


def readings() -> Iterator[Row]:
    points = [dict(zip(("dial", "actual"), (" ".join(p.split()[:2]), " ".join(p.split()[2:])), strict=True))
              for p in CURVE]  # fmt: skip
    for line in READINGS.splitlines():
        number, unit, gives = line.split(" ", 2)
        stated = "!outside the points" if gives == "!" else gives
        given: dict[str, object] = {"record": {"force_a": f"{number} {unit}", "curve": points}}
        yield f"interpolate-at-{number}", "interpolate(curve, force_a)", given, stated
    one: dict[str, object] = {"curve": [{"dial": "10 kip", "actual": "12 kip"}]}
    yield "interpolate-one-on", "interpolate(curve, 10 kip)", {"record": one}, "12 kip"
    yield "interpolate-one-off", "interpolate(curve, 11 kip)", {"record": one}, "!outside the points"
    asked: dict[str, object] = {"record": one, "asks": {"curve": 2}}
    padded = "?curve[2].dial, curve[2].actual"
    yield "interpolate-padded", "interpolate(curve, 10 kip)", asked, padded
    yield "interpolate-stuck", "interpolate(curve, 1 kip / 0)", {"record": one}, "!division by zero"


def rounded() -> Iterator[Row]:
    ways = (
        "nearest(ratio, {}, ties up)",
        "nearest(ratio, {}, ties even)",
        "up(ratio, {})",
        "down(ratio, {})",
    )
    for line in ROUNDED.splitlines():
        x, step, *answers = line.split()
        for n, (form, stated) in enumerate(zip(ways, answers, strict=True), 1):
            yield f"rounded-{x}-{step}-{n}", form.format(step), {"record": {"ratio": x}}, stated
    inches: dict[str, object] = {"record": {"bolt": {"length": "3 in", "diameter": "7/8 in"}}}
    yield "rounded-inch-1", "nearest(bolt.diameter, 1/4 in, ties up)", inches, "1 in"
    yield "rounded-inch-2", "nearest(bolt.diameter, 1/4 in, ties even)", inches, "1 in"
    yield "rounded-inch-3", "up(bolt.length + 1/64 in, 1/16 in)", inches, "3-1/16 in"
    yield "rounded-inch-4", "down(bolt.length - 1/64 in, 1/16 in)", inches, "2-15/16 in"
    yield "rounded-mm", "nearest(bolt.length, 1 mm, ties up)", inches, "76 mm"
    yield "rounded-kip-to-kn", "nearest(28 kip, 1 kN, ties even)", {}, "125 kN"


def calendars() -> Iterator[Row]:
    """All rows of this module."""
    for rows in (spans, bands, readings, rounded):
        yield from rows()
    for n, text in enumerate(EXACT.splitlines(), 1):
        yield f"exact-{n:02}", text, {}, "yes"
