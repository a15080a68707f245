"""Volume designations as libraries and publishers write them; usage is common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.model.slips import is_slip
from intake.model.volumes import (
    Number,
    covers,
    designation_like,
    ends_with_volume,
    is_unclear,
    number_words,
    overlapping,
    split_volume,
    volume_number,
    volume_numbers,
    volume_spans,
)


@pytest.mark.parametrize(
    ("designation", "numbers"),
    [
        ("3", [(3,)]),
        ("Vol. XIV", [(14,)]),
        ("vol. iv", [(4,)]),
        ("Bd. 3", [(3,)]),
        ("1-3", [(1,), (2,), (3,)]),
        ("Vols. 1–3", [(1,), (2,), (3,)]),
        ("I-III", [(1,), (2,), (3,)]),
        ("1 bis 3", [(1,), (2,), (3,)]),
        ("1, 3", [(1,), (3,)]),
        ("1 & 2", [(1,), (2,)]),
        ("1-2, 5", [(1,), (2,), (5,)]),
        ("Bd. 1/2", [(1,), (2,)]),
        ("3/1", [(3, 1)]),
        ("2.1", [(2, 1)]),
        ("2,1", [(2, 1)]),
        ("vol. 3, part 2", [(3, 2)]),
        ("II/2", [(2, 2)]),
        ("12a", [(12, 1)]),
        ("2019/1", [(2019, 1)]),
        ("2019-4", [(2019, 4)]),
        ("2019/1-3", [(2019, 1), (2019, 2), (2019, 3)]),
        ("2019/2020", [(2019,), (2020,)]),
        ("2019/20", [(2019,), (2020,)]),
        ("1998-2000", [(1998,), (1999,), (2000,)]),
        ("Jg. 2019, H. 1", [(2019, 1)]),
        ("3: Mosses", [(3,)]),
        ("Atlas", []),
        ("Supplement 2", []),
        ("C", []),
        ("", []),
        ("1-99999", []),
    ],
)
def test_numbers(designation: str, numbers: list[Number]) -> None:
    assert list(volume_numbers(designation)) == numbers


def test_what_has_figures_and_no_meaning_is_unclear() -> None:
    assert [is_unclear(text) for text in ("1-99999", "Atlas", "3", "")] == [True, False, False, False]


@given(st.integers(1, 300), st.integers(0, 300))
def test_a_range_is_each_of_its_numbers(first: int, more: int) -> None:
    last = first + more
    assert volume_numbers(f"{first}-{last}") == tuple((nth,) for nth in range(first, last + 1))
    assert covers(f"{first}-{last}", (first + more // 2,))
    assert not covers(f"{first}-{last}", (last + 1,))


@given(st.text(max_size=12))
def test_any_text_is_answered(text: str) -> None:
    assert all(len(number) in (1, 2) for number in volume_numbers(text))
    assert all(span.first <= span.last for span in volume_spans(text))


@given(st.integers(1, 3999))
def test_a_number_in_roman_figures_is_read_as_that_number(number: int) -> None:
    assert volume_number(designation_like((number,), ["I", "XIV"])) == number


def test_overlaps_are_told() -> None:
    assert overlapping(["1-6", "3", "7", "6-8"]) == (("1-6", "3"), ("1-6", "6-8"), ("7", "6-8"))
    assert overlapping(["2019/1-3", "2019/4", "3", "3/1"]) == (("3", "3/1"),)
    assert number_words((2019, 1)) == "2019/1"


@pytest.mark.parametrize(
    ("typed", "words", "volumes"),
    [
        ("ferns 2", "ferns", ((2,),)),
        ("ferns vol. 2", "ferns", ((2,),)),
        ("ferns IV", "ferns", ((4,),)),
        ("quarterly 2019/1", "quarterly", ((2019, 1),)),
        ("ferns", "ferns", ()),
        ("2", "2", ()),
        ("ferns 1-3", "ferns", ((1,), (2,), (3,))),
        ("ferns 1-400", "ferns 1-400", ()),
    ],
)
def test_volumes_typed_behind_words(typed: str, words: str, volumes: tuple[Number, ...]) -> None:
    assert split_volume(typed) == (words, volumes)


@pytest.mark.parametrize(
    ("title", "volume", "named"),
    [
        ("Ferns of the Low Country, Volume 2", "2", True),
        ("Ferns of the Low Country, Volumes 7-8", "7-8", True),
        ("Jahrbuch der Moosfreunde 2019/1", "2019/1", True),
        ("Chronicle of Kilns, IV", "4", True),
        ("Flüsse und Moore, Band I", "I", True),
        ("The Clockmakers, part 3", "3", True),
        ("Room 2", "2", False),
        ("Ferns, 2 plates", "2", False),
        ("Ferns, Volume 12", "2", False),
        ("Ferns", "", False),
    ],
)
def test_a_title_that_names_its_volume(title: str, volume: str, *, named: bool) -> None:
    assert ends_with_volume(title, volume) is named


@given(st.text("abcde", min_size=1, max_size=8), st.text("abcde", min_size=1, max_size=8))
def test_a_slip_is_one_step_of_the_distance_with_swaps(typed: str, meant: str) -> None:
    """Against the plain table of Damerau's distance (optimal string alignment), worked out cell by cell."""
    rows = [[max(i, j) if not i or not j else 0 for j in range(len(meant) + 1)] for i in range(len(typed) + 1)]
    for i in range(1, len(typed) + 1):
        for j in range(1, len(meant) + 1):
            rows[i][j] = min(
                rows[i - 1][j] + 1, rows[i][j - 1] + 1, rows[i - 1][j - 1] + (typed[i - 1] != meant[j - 1])
            )
            if i > 1 and j > 1 and typed[i - 1] == meant[j - 2] and typed[i - 2] == meant[j - 1]:
                rows[i][j] = min(rows[i][j], rows[i - 2][j - 2] + 1)
    assert is_slip(typed, meant) == (rows[-1][-1] == 1)
