"""What reading text makes of the development photographs: the figures that the worth of a printed number rests on.

    python -m tests.benchmarks.print_table [EVERY]

Text is read about the bars of every photograph, read or doubtful, as it would be if they were doubtful; `EVERY` takes
only each so-manieth picture. "right" numbers are printed in the picture, "wrong" ones passed their check digit and are
not; either as they stood or repaired. The same again with the cut-outs blurred, as text is read mostly in bad pictures.
"""

import sys
from collections import Counter
from collections.abc import Iterator

import cv2
import numpy as np

from intake.edges import ocr
from intake.edges.pictures import load
from intake.flow.pictures.read_files import numbers_in
from intake.reading.decoders import available
from intake.reading.geometry import Grey
from intake.reading.printed import PrintedNumber
from intake.reading.printed_evidence import cut_out
from intake.reading.read import read
from tests.reading.photographs import ABSENT, FOLDER, Photograph, photographs

BLURS_PX = (0.0, 2.0, 3.0)
"""Of the cut-out, in which a digit is about 35 pixels tall."""
ALSO_PRINTED = frozenset({"9780812026016", "9780425198681"})
"""ISBN beside the UPC-A in two pairs of photographs, which the list of truth does not name."""


def cut_outs(every: int = 1) -> Iterator[tuple[Photograph, Grey]]:
    """Cut the symbols and their surroundings out of the photographs, where any bars were found."""
    decoders = available()
    for photograph in [each for each in photographs() if each.number][::every]:
        grey = load(photograph.path).grey
        for reading in read(grey, decoders=decoders)[:1]:
            yield photograph, cut_out(grey, reading.corners).grey


def blurred(grey: Grey, blur_px: float) -> Grey:
    """Blur a cut-out and add noise, the same each time."""
    if not blur_px:
        return grey
    soft = cv2.GaussianBlur(grey.astype(np.float32), (0, 0), blur_px)
    return np.asarray(np.clip(soft + np.random.default_rng(1).normal(0, 4, soft.shape), 0, 255), np.uint8)


def judged(photograph: Photograph, numbers: tuple[PrintedNumber, ...]) -> Counter[str]:
    """Count the numbers of one picture as right or wrong; of the right ones only the best."""
    right = [one for one in numbers if photograph.shows(one.number) or one.number in ALSO_PRINTED]
    counts = Counter("wrong, repaired" if one.repaired else "wrong" for one in numbers if one not in right)
    if right:
        counts["right" if any(not one.repaired for one in right) else "right, repaired"] += 1
    return counts


def main() -> int:
    """Print the table."""
    if not FOLDER.is_dir() or not ocr.is_installed():
        print(ABSENT if not FOLDER.is_dir() else "the part that reads text is not installed")
        return 1
    shown = list(cut_outs(int(sys.argv[1]) if len(sys.argv) > 1 else 1))
    for blur_px in BLURS_PX:
        counts = sum(
            (judged(photograph, numbers_in(blurred(grey, blur_px), under_bars=True)) for photograph, grey in shown),
            Counter(),
        )
        print(f"blur {blur_px:3.1f} px, {len(shown)} pictures: {dict(sorted(counts.items()))}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
