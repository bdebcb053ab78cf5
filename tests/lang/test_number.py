"""Numbers: what is read, what is refused, and texts that say a value in full."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tautbook.lang.number import LONGEST, about, clip, exact, ratio, read_number

READ = {
    "0": Fraction(0),
    "-0": Fraction(0),
    "41": Fraction(41),
    "0.40": Fraction(2, 5),
    "-12.50": Fraction(-25, 2),
    "1e3": Fraction(1000),
    "1.5e-2": Fraction(3, 200),
    "1e+003": Fraction(1000),
    "9" * LONGEST: Fraction(10**LONGEST - 1),
}
REFUSED = [
    "", " 1", "1 ", "1\n", "010", "00", "-01", "+5", ".5", "5.", "1_000", "1,5", "1/3", "٣", "４", "1e1000",
    "1E3", "1e",
    "nan", "inf", "0x1", "--1", "−1", "1.5.2", "9" * (LONGEST + 1),
]  # fmt: skip


@pytest.mark.parametrize("text", READ)
def test_read(text: str) -> None:
    assert read_number(text) == READ[text]


@pytest.mark.parametrize("text", REFUSED)
def test_refused(text: str) -> None:
    assert read_number(text) is None


@given(st.text(alphabet="0123456789.-+e_ ", max_size=12))
def test_what_is_read_is_what_decimal_reads(text: str) -> None:
    value = read_number(text)
    if value is not None:
        assert value == Fraction(Decimal(text))


@given(st.decimals(allow_nan=False, allow_infinity=False, places=6, min_value=-(10**12), max_value=10**12))
def test_exact_decimal_is_read_back(value: Decimal) -> None:
    text = exact(Fraction(value))
    assert read_number(text) == Fraction(value)
    assert "." not in text or not text.endswith(("0", "."))


@given(st.fractions())
def test_exact_says_the_whole_value(value: Fraction) -> None:
    text = exact(value)
    assert Fraction(text) == value
    # A decimal ends exactly where a power of ten is a multiple of the denominator.
    ends = 10 ** value.denominator.bit_length() % value.denominator == 0
    assert ("/" in text) is not ends


def test_exact_examples() -> None:
    assert exact(Fraction("0.40")) == "0.4"
    assert exact(Fraction(-1, 8)) == "-0.125"
    assert exact(Fraction(-100, 3)) == "-100/3"
    assert exact(Fraction(3000)) == "3000"
    assert ratio(Fraction(-7, 8)) == "-7/8"
    assert ratio(Fraction(4)) == "4"


def test_numbers_of_any_length_are_written() -> None:
    # Python itself refuses to write more than 4300 digits.
    assert exact(Fraction(10**5000)) == "1" + "0" * 5000
    assert exact(Fraction(-(10**4999) - 7)) == "-1" + "0" * 4998 + "7"
    assert exact(Fraction(1, 10**5000)) == "0." + "0" * 4999 + "1"


@pytest.mark.parametrize(
    ("value", "digits", "shown"),
    [
        (Fraction(0), 4, "0"),
        (Fraction("29.4"), 4, "29.4"),
        (Fraction(100, 3), 4, "≈33.33"),
        (Fraction(-100, 3), 4, "≈-33.33"),
        (Fraction(-200, 3), 2, "≈-67"),
        (Fraction(1, 3000), 4, "≈0.0003333"),
        (Fraction("41234.5"), 4, "≈41235"),
        (Fraction("2.99996"), 4, "≈3"),
        (Fraction("0.125"), 2, "≈0.13"),
        (Fraction("0.125"), 3, "0.125"),
        (Fraction(123456), 2, "123456"),
    ],
)
def test_about(value: Fraction, digits: int, shown: str) -> None:
    assert about(value, digits) == shown


@given(st.fractions(), st.integers(1, 8))
def test_about_is_marked_exactly_where_it_rounds(value: Fraction, digits: int) -> None:
    shown = about(value, digits)
    said = Fraction(shown.removeprefix("≈"))
    assert shown.startswith("≈") == (said != value)
    # Half of the last digit kept, which is at most one in 10 ** (digits - 1), and at most a whole one.
    last = max(abs(value) / 10 ** (digits - 1), 1 if abs(value) >= 1 else 0)
    assert abs(said - value) * 2 <= last


def test_clip() -> None:
    assert clip("x" * LONGEST) == "x" * LONGEST
    assert clip("x" * (LONGEST + 1)) == "x" * LONGEST + "..."
