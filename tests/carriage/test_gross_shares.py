"""The gross mass of a box shared among its contents: shares add up to the gram, and follow the masses."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from intake.carriage.gross_shares import share_gross


def test_a_box_worked_by_hand() -> None:
    # 10 kg over 1, 2 and 4 kg: 1428.57, 2857.14 and 5714.29 g; the gram left goes to the largest remainder.
    assert share_gross(10_000, [1000, 2000, 4000]) == [1429, 2857, 5714]
    assert share_gross(21_000, [3000]) == [21_000]


@given(st.integers(1, 60_000), st.lists(st.integers(1, 6000), min_size=1, max_size=40))
def test_shares_add_up_and_none_is_a_gram_off(gross_g: int, net_g: list[int]) -> None:
    shares = share_gross(gross_g, net_g)
    assert sum(shares) == gross_g
    exact = [Fraction(gross_g * mass, sum(net_g)) for mass in net_g]
    assert all(abs(share - one) < 1 for share, one in zip(shares, exact, strict=True))
