"""Ranges and outliers, worked by hand; the modified z-score is Iglewicz and Hoaglin's (1993), from memory."""

from decimal import Decimal
from math import log

import pytest

from intake.valuing.likeness import CopyTraits, estimate_ranges, find_outliers, modified_z


def kin(copy: str, amount: str | None, edition: int = 1, **more: object) -> CopyTraits:
    printing, subject = more.get("printing"), str(more.get("subject", ""))
    assert printing is None or isinstance(printing, int)
    value = None if amount is None else Decimal(amount)
    return CopyTraits(copy=copy, edition=edition, printing=printing, subject=subject, amount=value)


def test_the_same_printing_comes_before_the_same_edition() -> None:
    held = [kin("A1", "500", printing=1), kin("A2", "40", printing=3), kin("A3", None, printing=3)]
    found, alone = estimate_ranges(held, "EUR")
    assert (found["A3"].low, found["A3"].high, found["A3"].alike) == (Decimal(40), Decimal(40), "printing")
    assert alone == ()


def test_few_span_all_and_many_their_quartiles() -> None:
    three = [kin(f"A{n}", amount, edition=n, subject="Birds") for n, amount in enumerate(("10", "30", "20"))]
    found, _ = estimate_ranges([*three, kin("A9", None, edition=9, subject="Birds")], "EUR")
    assert (found["A9"].low, found["A9"].high) == (Decimal(10), Decimal(30))
    # Tukey's hinges of 1 2 3 4 5 6 7 8 are 2.5 and 6.5; of 1 … 5 they are 2 and 4.
    eight = [kin(f"A{n}", str(n), edition=n, subject="Birds") for n in range(1, 9)]
    found, _ = estimate_ranges([*eight, kin("B", None, edition=99, subject="Birds")], "EUR")
    assert (found["B"].low, found["B"].high, found["B"].count) == (Decimal("2.50"), Decimal("6.50"), 8)


def test_a_copy_like_no_other_is_not_estimated() -> None:
    found, alone = estimate_ranges([kin("A1", "5"), kin("A2", None, edition=2)], "EUR")
    assert (found, alone) == ({}, ("A2",))


def test_a_misplaced_point_is_asked_about_and_a_dear_book_among_dear_ones_is_not() -> None:
    cheap = [kin(f"A{n}", str(20 + n), edition=n, subject="Birds") for n in range(8)]
    dear = [kin(f"B{n}", str(900 + 60 * n), edition=100 + n, subject="Atlases") for n in range(8)]
    wrong = kin("C", "2400.00", edition=50, subject="Birds")
    assert [one.copy for one in find_outliers([*cheap, *dear, wrong])] == ["C"]
    assert find_outliers([*cheap, *dear]) == ()


def test_the_score_by_hand() -> None:
    # Logarithms 0 1 2 3 4: middle 2, deviations 2 1 0 1 2, their middle 1; value e^9: 0.6745 * 7.
    others = [2.718281828459045**n for n in range(5)]
    assert modified_z(2.718281828459045**9, others) == pytest.approx(0.6745 * 7)
    assert modified_z(110, [100] * 5) == pytest.approx(0.6745 * log(1.1) / 0.05)
