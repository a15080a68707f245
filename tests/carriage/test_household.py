"""Relief for household effects, article by article, against days worked out by hand.

Regulation (EC) No 1186/2009, articles 4, 5, 7, 8 and 9, and 19 CFR 148.52 (both seen). The person of the examples left
Boston on 1 February 2026 after three years and settled in Lyon on 5 February 2026. No person is meant.
"""

from dataclasses import replace
from datetime import date

import pytest

from intake.carriage.household import Checked, Condition, Finding, Relief, RemovalDays, check_owned, check_removal

DAYS = RemovalDays(
    left=date(2026, 2, 1), settled=date(2026, 2, 5), abroad_since=date(2023, 2, 1), entry=date(2026, 4, 20)
)


def removal(relief: Relief, days: RemovalDays) -> dict[Condition, tuple[Finding, date | None]]:
    return {checked.condition: (checked.finding, checked.limit) for checked in check_removal(relief, days)}


@pytest.mark.parametrize(
    ("bought_by", "printed", "finding"),
    [
        (date(2025, 7, 31), None, Finding.MET),  # six months and a day
        (date(2025, 8, 1), None, Finding.MET),  # six months to the day
        (date(2025, 8, 2), None, Finding.OPEN),  # the day of a purchase value is not the day of purchase
        (date(2025, 9, 15), None, Finding.OPEN),
        (date(2026, 3, 1), None, Finding.OPEN),  # after leaving
        (date(2026, 3, 1), 2026, Finding.NOT_MET),
        (None, 2024, Finding.OPEN),  # nobody wrote down when it was bought
        (None, 2025, Finding.OPEN),  # printed in January at the earliest: possible
        (None, 2026, Finding.NOT_MET),  # nobody had it in July 2025
        (None, None, Finding.OPEN),
        (date(2020, 5, 1), 2026, Finding.MET),  # bought by then, so the year is wrong
    ],
)
def test_article_4_six_months_before_leaving(bought_by: date | None, printed: int | None, finding: Finding) -> None:
    checked = check_owned(Relief.EU, DAYS, bought_by=bought_by, printed=printed)
    assert (checked.condition, checked.finding) == (Condition.EU_OWNED_BEFORE, finding)


def test_article_4_without_the_day_of_leaving_is_open() -> None:
    days = replace(DAYS, left=None)
    open_check = Checked(Condition.EU_OWNED_BEFORE, Finding.OPEN)
    assert check_owned(Relief.EU, days, bought_by=date(2020, 1, 1), printed=None) == open_check


def test_article_5_twelve_months_outside() -> None:
    met = removal(Relief.EU, DAYS)[Condition.EU_LIVED_OUTSIDE]
    assert met == (Finding.MET, date(2024, 2, 1))
    exactly = replace(DAYS, abroad_since=date(2025, 2, 1))
    assert removal(Relief.EU, exactly)[Condition.EU_LIVED_OUTSIDE] == (Finding.MET, date(2026, 2, 1))
    short = replace(DAYS, abroad_since=date(2025, 2, 2))
    assert removal(Relief.EU, short)[Condition.EU_LIVED_OUTSIDE] == (Finding.NOT_MET, date(2026, 2, 2))
    for unknown in (replace(DAYS, abroad_since=None), replace(DAYS, left=None)):
        assert removal(Relief.EU, unknown)[Condition.EU_LIVED_OUTSIDE][0] is Finding.OPEN


def test_article_7_entry_within_twelve_months_of_settling() -> None:
    last = date(2027, 2, 5)
    assert removal(Relief.EU, DAYS)[Condition.EU_ENTRY_IN_TIME] == (Finding.MET, last)
    assert removal(Relief.EU, replace(DAYS, entry=last))[Condition.EU_ENTRY_IN_TIME] == (Finding.MET, last)
    late = replace(DAYS, entry=date(2027, 2, 6))
    assert removal(Relief.EU, late)[Condition.EU_ENTRY_IN_TIME] == (Finding.NOT_MET, last)
    assert removal(Relief.EU, replace(DAYS, entry=None))[Condition.EU_ENTRY_IN_TIME] == (Finding.OPEN, last)


def test_article_8_nothing_is_sold_for_twelve_months() -> None:
    assert removal(Relief.EU, DAYS)[Condition.EU_KEPT_AFTERWARDS] == (Finding.OPEN, date(2027, 4, 20))


def test_article_9_entry_before_settling() -> None:
    early = replace(DAYS, entry=date(2025, 8, 5))
    found = removal(Relief.EU, early)
    assert Condition.EU_ENTRY_IN_TIME not in found
    assert found[Condition.EU_ENTRY_BEFORE_SETTLING] == (Finding.OPEN, date(2026, 2, 5))
    too_early = replace(DAYS, entry=date(2025, 8, 4))
    assert removal(Relief.EU, too_early)[Condition.EU_ENTRY_BEFORE_SETTLING] == (Finding.NOT_MET, date(2026, 2, 4))


def test_19_cfr_148_52_a_year_of_use_and_ten_years() -> None:
    # Bought 1 March 2020 and entered 2026: a year of use is possible, and the importer's to state.
    owned = check_owned(Relief.US, DAYS, bought_by=date(2020, 3, 1), printed=None)
    assert (owned.condition, owned.finding) == (Condition.US_USED_A_YEAR, Finding.MET)
    new = check_owned(Relief.US, DAYS, bought_by=date(2025, 4, 21), printed=None)
    assert (new.finding, new.limit) == (Finding.OPEN, date(2026, 4, 21))
    # Arrived 2014, the box arrives in 2026: twelve years, to be explained.
    long_after = replace(DAYS, settled=date(2014, 2, 5))
    assert removal(Relief.US, long_after) == {Condition.US_WITHIN_TEN_YEARS: (Finding.NOT_MET, date(2024, 2, 5))}
    assert removal(Relief.US, DAYS) == {Condition.US_WITHIN_TEN_YEARS: (Finding.MET, date(2036, 2, 5))}
    assert removal(Relief.US, RemovalDays()) == {Condition.US_WITHIN_TEN_YEARS: (Finding.OPEN, None)}
