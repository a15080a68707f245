"""The two pictures that tests of surfaces share: one drawn cover before, and after with a crushed corner. Invented."""

from functools import cache

import cv2

from tests.covers.drawn_damage import Damage, Drawn, damaged, draw_coloured, seen

NUMBER = 3


@cache
def crushed_pair() -> tuple[bytes, bytes, Drawn]:
    """Return both pictures as PNG files, a third as large as usual, and the damage."""
    cover = draw_coloured(NUMBER)
    hurt, drawn = damaged(cover, Damage.CORNER, NUMBER, scale=1.5)
    pictures = (seen(cover, 6, scale=0.38), seen(hurt, 7, scale=0.38))
    before, after = (cv2.imencode(".png", picture[..., ::-1])[1].tobytes() for picture in pictures)
    return before, after, drawn
