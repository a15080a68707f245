"""A gross mass that the empty box, or the books alone, exceed: at the limits, by hand."""

import pytest

from intake.model.boxes import Box
from intake.model.editions import Copy, CopyState, Edition
from intake.weighing.plausible import GrossFault, TooLight, packed_g, too_light

BOX = Box(number="B1-75", tare_g=900.0)


@pytest.mark.parametrize(
    ("gross_g", "found"),
    [
        (900, TooLight(GrossFault.NOT_ABOVE_TARE, 900)),
        (901, TooLight(GrossFault.BELOW_BOOKS, 5000)),
        (4999, TooLight(GrossFault.BELOW_BOOKS, 5000)),
        (5000, None),
    ],
)
def test_the_limits(gross_g: float, found: TooLight | None) -> None:
    assert too_light(BOX, gross_g, 5000) == found


def test_a_box_of_unknown_tare_and_books_of_unknown_mass_are_not_judged() -> None:
    assert too_light(Box(number="B1-75"), 1, 0) is None


def test_what_was_taken_out_and_what_is_missing_is_not_in_the_box() -> None:
    weighed, unweighed = Edition(id=1, title="Ferns", mass_g=1200), Edition(id=2, title="Gulls")
    contents = [
        (Copy(accession=f"A{n}-00", edition_id=1, state=state), edition)
        for n, (state, edition) in enumerate(
            [(state, weighed) for state in CopyState] + [(CopyState.PACKED, unweighed)]
        )
    ]
    assert packed_g(contents) == 1200
