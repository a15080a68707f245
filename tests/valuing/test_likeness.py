"""Ranges and find_outliers, worked by hand; the modified z-score is Iglewicz and Hoaglin's (1993), from memory."""

from dataclasses import replace
from decimal import Decimal
from math import log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.valuing.likeness import (
    CopyTraits,
    Outlier,
    estimate_ranges,
    find_outliers,
    modified_z,
    unlike_peers,
)


def kin(
    copy: str,
    amount: str | None,
    edition: int = 1,
    *,
    printing: int | None = None,
    subject: str = "",
    of: int | None = None,
) -> CopyTraits:
    value = None if amount is None else Decimal(amount)
    return CopyTraits(copy=copy, edition=edition, printing=printing, set=of, subject=subject, amount=value)


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


def alike_in(valued: list[CopyTraits], unvalued: CopyTraits) -> tuple[str, int] | None:
    found, _ = estimate_ranges([*valued, unvalued], "EUR")
    return (found[unvalued.copy].alike, found[unvalued.copy].count) if unvalued.copy in found else None


def test_how_many_have_to_be_alike_in_what() -> None:
    # One of a printing or an edition, two of a set, three of a subject, five of anything; the closest likeness counts.
    def made(count: int, **fields: object) -> list[CopyTraits]:
        return [kin(f"A{n}", "10", 100 + n, **fields) for n in range(count)]  # type: ignore[arg-type] # by name

    assert alike_in([kin("A", "10", 1, printing=2)], kin("B", None, 1, printing=2)) == ("printing", 1)
    assert alike_in([kin("A", "10", 1, printing=2)], kin("B", None, 1, printing=3)) == ("edition", 1)
    assert alike_in([kin("A", "10", 1, printing=2)], kin("B", None, 2, printing=2)) is None
    assert alike_in(made(1, of=7), kin("B", None, of=7)) is None
    assert alike_in(made(2, of=7), kin("B", None, of=7)) == ("set", 2)
    assert alike_in(made(2, of=7), kin("B", None, of=8)) is None
    assert alike_in(made(2, subject="Birds"), kin("B", None, subject="Birds")) is None
    assert alike_in(made(3, subject="Birds"), kin("B", None, subject="Birds")) == ("subject", 3)
    assert alike_in(made(4), kin("B", None)) is None
    assert alike_in(made(5), kin("B", None)) == ("collection", 5)


def test_four_are_enough_for_quartiles_and_an_amount_is_rounded_to_its_currency() -> None:
    # Tukey's hinges of 1 2 3 5 are 1.5 and 4; of 1 2 3 4 5 they are 2 and 4; of three the lowest and the highest count.
    for amounts, low, high in ((["1", "2", "3", "5"], "1.50", "4.00"), (["5", "4", "3", "2", "1"], "2.00", "4.00")):
        found, _ = estimate_ranges([*(kin(f"A{n}", one) for n, one in enumerate(amounts)), kin("B", None)], "EUR")
        assert (str(found["B"].low), str(found["B"].high)) == (low, high)
    yen, _ = estimate_ranges(
        [*(kin(f"A{n}", one) for n, one in enumerate(("1", "2", "3", "5"))), kin("B", None)], "JPY"
    )
    assert (yen["B"].low, yen["B"].high) == (Decimal(2), Decimal(4))


def test_a_copy_like_no_other_is_not_estimated() -> None:
    found, alone = estimate_ranges([kin("A1", "5"), kin("A2", None, edition=2)], "EUR")
    assert (found, alone) == ({}, ("A2",))


def test_a_misplaced_point_is_asked_about_and_a_dear_book_among_dear_ones_is_not() -> None:
    cheap = [kin(f"A{n}", str(20 + n), edition=n, subject="Birds") for n in range(8)]
    dear = [kin(f"B{n}", str(900 + 60 * n), edition=100 + n, subject="Atlases") for n in range(8)]
    wrong = kin("C", "2400.00", edition=50, subject="Birds")
    assert [one.copy for one in find_outliers([*cheap, *dear, wrong])] == ["C"]
    assert find_outliers([*cheap, *dear]) == ()
    (asked,) = find_outliers([*cheap, wrong])
    # The others are 20 to 27, their middle 23.5: 2400 is 102.13 times as much.
    assert (asked.amount, asked.middle, asked.alike, asked.count) == (Decimal(2400), Decimal("23.5"), "subject", 8)
    assert asked.times == pytest.approx(102.13, abs=0.01)


def test_the_most_unlike_comes_first_and_both_ways_count() -> None:
    many = [kin(f"A{n}", str(20 + n), edition=n) for n in range(9)]
    odd = [kin("tenth", "2.4"), kin("hundredth", "0.24"), kin("tenfold", "250")]
    assert [one.copy for one in find_outliers([*many, *odd])] == ["hundredth", "tenfold", "tenth"]


def test_five_others_are_enough_and_nothing_worth_nothing_is_among_them() -> None:
    others = [kin(f"A{n}", "20") for n in range(5)]
    assert [one.copy for one in find_outliers([*others, kin("C", "2000")])] == ["C"]
    assert find_outliers([*others[:4], kin("C", "2000")]) == ()
    assert find_outliers([*others[:4], kin("Z", "0"), kin("C", "2000")]) == ()
    assert find_outliers([*others, kin("Z", "0")]) == ()


def test_the_limit_is_three_and_a_half_deviations() -> None:
    # Five equal values, so the least spread of 0.05 holds: 0.6745 ln(x) / 0.05 = 3.5 at x = e^(0.25945) = 1.2962.
    others = [kin(f"A{n}", "100") for n in range(5)]
    assert find_outliers([*others, kin("C", "129.60")]) == ()
    assert [one.copy for one in find_outliers([*others, kin("C", "129.64")])] == ["C"]


def test_the_score_by_hand() -> None:
    # Logarithms 0 1 2 3 4: middle 2, deviations 2 1 0 1 2, their middle 1; value e^9: 0.6745 * 7.
    others = [2.718281828459045**n for n in range(5)]
    assert modified_z(2.718281828459045**9, others) == pytest.approx(0.6745 * 7)
    assert modified_z(110, [100] * 5) == pytest.approx(0.6745 * log(1.1) / 0.05)


amounts = st.one_of(st.none(), st.integers(0, 40).map(Decimal), st.sampled_from([Decimal("0.01"), Decimal(90_000)]))
drawn = st.lists(
    st.builds(
        CopyTraits,
        copy=st.just(""),
        edition=st.integers(1, 4),
        printing=st.none() | st.integers(1, 2),
        set=st.none() | st.just(1),
        subject=st.sampled_from(["", "Birds", "Ferns"]),
        amount=amounts,
    ),
    max_size=40,
)


@given(drawn)
def test_a_value_is_asked_about_as_if_it_were_compared_with_its_like_one_by_one(rows: list[CopyTraits]) -> None:
    """By definition: the closest likeness in which five others have a value, each value against the others of it."""
    everyone = [replace(one, copy=f"A{nth}") for nth, one in enumerate(rows)]
    expected: dict[str, Outlier] = {}
    for one in everyone:
        if not one.amount:
            continue
        for alike, trait in one.traits().items():
            others = [
                other.amount
                for other in everyone
                if other is not one and other.amount and other.traits().get(alike) == trait
            ]
            if len(others) >= 5:
                if (question := unlike_peers(one.copy, one.amount, others, alike)) is not None:
                    expected[one.copy] = question
                break
    assert {one.copy: one for one in find_outliers(everyone)} == expected
