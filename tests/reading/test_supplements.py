"""A supplement that is in the picture is read, or told as not read; symbols by an encoder that is not ours (zint)."""

import numpy as np
import pytest
import zint

from intake.reading.decoders import available
from intake.reading.read import read
from tests.reading.drawing import Shot, photograph, symbol

BOOK = "9780306406157"
SHOT = Shot(module_px=3.0, size=(720, 480))


@pytest.mark.parametrize(
    ("text", "shown_modules", "add_on", "unread"),
    [
        (f"{BOOK}+51299", None, "51299", False),
        (f"{BOOK}+51299", 95 + 9 + 24, None, True),  # half of its 47 modules, after a gap of 9, are in the picture
        (BOOK, None, None, False),
    ],
)
def test_a_supplement_is_read_or_told_as_not_read(
    text: str, shown_modules: int | None, add_on: str | None, unread: bool
) -> None:
    drawn = symbol(zint.Symbology.EANX_CHK, text)
    grey, corners = photograph(drawn, SHOT)
    if shown_modules is not None:
        right = round(corners[0][0] + shown_modules * SHOT.module_px)
        grey = np.ascontiguousarray(grey[:, :right])
    (reading,) = read(grey, decoders=available())
    assert (reading.number, reading.accepted) == (BOOK, True)
    assert (reading.add_on, reading.add_on_unread) == (add_on, unread)
