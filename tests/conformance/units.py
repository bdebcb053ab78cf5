"""Every unit: what it is exactly, which kind it belongs to, and that it belongs to no other.

International yard and pound agreement (1959): 1 yd = 0.9144 m, 1 lb = 0.45359237 kg. Standard gravity
9.80665 m/s2 (3rd General Conference on Weights and Measures, 1901). The products are worked out by hand.
"""

from collections.abc import Iterator

Row = tuple[str, str, dict[str, object], str]

# unit: field of its kind, and what one of it is
EXACT = {
    "lbf": ("force_a", "4.4482216152605 N"),
    "kip": ("force_a", "4.4482216152605 kN"),
    "N": ("force_a", "0.001 kN"),
    "kN": ("force_a", "1000 N"),
    "in": ("bolt.length", "25.4 mm"),
    "ft": ("bolt.length", "0.3048 m"),
    "mm": ("bolt.length", "0.1 cm"),
    "cm": ("bolt.length", "0.01 m"),
    "m": ("bolt.length", "1000 mm"),
    "ft-lbf": ("effort", "1.3558179483314004 N-m"),
    "in-lbf": ("effort", "0.1129848290276167 N-m"),
    "N-m": ("effort", "0.001 kN-m"),
    "kN-m": ("effort", "1000 N-m"),
    "psi": ("strength", "4.4482216152605 N / (645.16 mm * 1 mm)"),
    "ksi": ("strength", "4.4482216152605 kN / (25.4 mm * 25.4 mm)"),
    "MPa": ("strength", "1 N / (1 mm * 1 mm)"),
    "GPa": ("strength", "1000 MPa"),
    "degree": ("turned", "1 turn / 360"),
    "turn": ("turned", "360 degree"),
    "lb": ("weight", "0.45359237 kg"),
    "kg": ("weight", "1 lb / 0.45359237"),
    "second": ("elapsed", "1 minute / 60"),
    "minute": ("elapsed", "60 second"),
    "hour": ("elapsed", "3600 second"),
}
SAME_POINT = ("0 degC = 32 degF", "100 degC = 212 degF", "20 degC = 68 degF", "37 degC = 98.6 degF",
              "10 degC = 50 degF", "25 degC < 77.001 degF", "32.001 degF > 0 degC")  # fmt: skip
FIELDS = {
    "force": "force_a", "length": "bolt.length", "torque": "effort", "stress": "strength", "angle": "turned",
    "mass": "weight", "duration": "elapsed",
}  # fmt: skip
# Written so by hand often; none of them is a unit.
NOT_UNITS = """
    kips lbs lbsf pounds Kip KIP kn KN n newton inch inches In IN feet foot mms MM cms metre ftlbf PSI Psi Mpa
    MPA Gpa deg rev C F degc degf kgs KG sec s min hr hrs ton tonne percent
"""


def units() -> Iterator[Row]:
    """Rows as in pairs.py."""
    for unit, (field, exact) in EXACT.items():
        yield f"unit-exact-{unit}", f"1 {unit} = {exact}", {}, "yes"
        yield f"unit-exact-{unit}-less", f"0.999999999999 {unit} < {exact}", {}, "yes"
        yield f"unit-exact-{unit}-more", f"1.000000000001 {unit} <= {exact}", {}, "no"
        record: dict[str, object] = {"record": placed(field, f"2.5 {unit}")}
        yield f"unit-read-{unit}", field, record, f"2.5 {unit}"
        yield f"unit-equal-{unit}", f"{field} = 2.5 {unit}", record, "yes"
        yield f"unit-twice-{unit}", f"{field} + 2.5 {unit}", record, f"5 {unit}"
        yield f"unit-part-{unit}", f"{field} / 1 {unit}", record, "2.5"
        yield f"unit-fraction-{unit}", f"1-3/4 {unit} + 3/4 {unit} = {field}", record, "yes"
        for kind, other in FIELDS.items():
            if other != field:
                yield f"unit-{unit}-as-{kind}", f"{other} < 1 {unit}", {}, "error dimension"
        yield f"unit-{unit}-as-number", f"ratio = 1 {unit}", {}, "error dimension"
        yield f"unit-{unit}-as-date", f"tested + 1 {unit}", {}, "error kind"
    for n, text in enumerate(SAME_POINT, 1):
        yield f"unit-temperature-{n}", text, {}, "yes"
    for unit in ("degC", "degF"):
        yield f"unit-read-{unit}", "ambient", {"record": {"ambient": f"20.5 {unit}"}}, f"20.5 {unit}"
        yield f"unit-sum-{unit}", f"1 {unit} + 1 {unit}", {}, "error kind"
        yield f"unit-twice-{unit}", f"2 * 1 {unit}", {}, "error kind"
        yield f"unit-as-force-{unit}", f"force_a < 1 {unit}", {}, "error dimension"
    for word in NOT_UNITS.split():
        yield f"unit-unknown-{word}", f"force_a > 5 {word}", {}, "error unit-unknown"


def placed(path: str, value: object) -> dict[str, object]:
    """A record with one value."""
    first, _, rest = path.partition(".")
    return {first: placed(rest, value) if rest else value}
