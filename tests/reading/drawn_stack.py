"""Pictures of many books, drawn: covers and spines in rows, each with its symbol, small, turned, among print.

Symbols are those of an encoder that is not ours (zint); every number, and where it stands, is known by construction.
Titles are invented words.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import zint

from tests.reading.drawing import Grey, Shot, photograph, symbol

WORDS = ("MARSH LIGHTS", "The Salt Roads", "Herons at Low Water", "Peat and Ash", "Orla Venn", "A Winter Almanac")


@dataclass(frozen=True)
class Placed:
    """A symbol and where its middle is."""

    number: str
    at: tuple[int, int]


def drawn_books(
    numbers: Sequence[str], *, columns: int, module_px: float, seed: int, cell: tuple[int, int] = (560, 420)
) -> tuple[Grey, list[Placed]]:
    """Draw books in rows, a cell of `cell` pixels each, and return the picture and where each number stands.

    Args:
        numbers: 13 digits each, in the order of the rows.
        columns: books in a row.
        module_px: of a module; a symbol has 95.
        seed: for tones, turns and places.
    """
    random = np.random.default_rng(seed)
    rows = -(-len(numbers) // columns)
    page = np.full((rows * cell[1], columns * cell[0]), 90, np.uint8)
    placed = []
    for nth, number in enumerate(numbers):
        top, left = nth // columns * cell[1], nth % columns * cell[0]
        book = page[top + 12 : top + cell[1] - 12, left + 12 : left + cell[0] - 12]
        book[:] = int(random.integers(120, 235))
        ink = int(random.integers(10, 80))
        for line in range(4):
            word = str(random.choice(WORDS))
            cv2.putText(book, word, (20, 40 + 30 * line), cv2.FONT_HERSHEY_COMPLEX, 0.7, ink, 1, cv2.LINE_AA)
        side = round(95 * module_px * 1.7)
        at = (left + int(random.integers(240, cell[0] - 130)), top + int(random.integers(250, cell[1] - 110)))
        y, x = at[1] - side // 2, at[0] - side // 2
        patch = page[y : y + side, x : x + side]
        shot = Shot(
            size=(patch.shape[1], patch.shape[0]),
            module_px=module_px,
            angle=float(random.choice([0, 90, 180, 270]) + random.normal(0, 5)),
            blur_px=0,
            noise=0,
            paper=int(random.integers(200, 245)),
        )
        # A book's symbol is 73 modules tall at most; here it is cut to 45, as on many covers.
        page[y : y + side, x : x + side] = photograph(
            symbol(zint.Symbology.EANX, number[:12])[: 45 * 8], shot, onto=patch
        )[0]
        placed.append(Placed(number, at))
    soft = cv2.GaussianBlur(page, (0, 0), 0.5).astype(np.float32) + random.normal(0, 2.5, page.shape)
    return np.clip(np.rint(soft), 0, 255).astype(np.uint8), placed
