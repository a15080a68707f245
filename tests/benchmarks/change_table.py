"""What the comparison of two pictures of one cover finds, and what it finds where nothing is.

    python -m tests.benchmarks.change_table [COVERS [FIRST]]

Each drawn cover is photographed twice, the second time from another side and in another light, and with glare, shrink
wrap or blur: once damaged, with one of four kinds of damage of known place and size, and once not. Wanted: at most one
false place a picture. What was told at the place of the damage is a find, whatever it was called.
"""

import os
import sys
import time
from collections import Counter

import cv2
import numpy as np

from intake.covers.changes import find_changes
from intake.model.cover_changes import CompareVerdict, CoverChange
from tests.covers.drawn_damage import HEIGHT, SIZE_MM, WIDTH, Damage, Difference, Drawn, damaged, draw_coloured, seen

NEAR_MM = 8.0


def is_at(change: CoverChange, drawn: Drawn) -> bool:
    """Return whether a place is that of the damage."""
    outline = (np.array(change.outline) * (WIDTH, HEIGHT)).astype(np.float32)
    reach = max(drawn.reach / 2, NEAR_MM / SIZE_MM[0] * WIDTH)
    return cv2.pointPolygonTest(outline, drawn.middle, measureDist=True) > -reach


def main(covers: int = 40, first: int = 100) -> None:
    """Print the table."""
    cv2.setNumThreads(1)
    count: Counter[tuple[object, str]] = Counter()
    took = []
    for number in range(first, first + covers):
        cover = draw_coloured(number)
        before = seen(cover, 2 * number)
        for nth, difference in enumerate(Difference):
            kind = list(Damage)[(number + nth) % len(Damage)]
            hurt, drawn = damaged(cover, kind, number)
            for shown, is_hurt in ((hurt, True), (cover, False)):
                after = seen(shown, 2 * number + 1, difference)
                started = time.process_time()
                result = find_changes(before, after, size_mm=SIZE_MM)
                took.append(time.process_time() - started)
                if result.verdict is not CompareVerdict.COMPARED:
                    count[difference, "not compared"] += 1
                    continue
                finds = [change for change in result.changes if is_hurt and is_at(change, drawn)]
                for what in (difference, kind) if is_hurt else ():
                    count[what, "hurt"] += 1
                    count[what, "found"] += bool(finds)
                count[difference, "pairs"] += 1
                count[difference, "false"] += len(result.changes) - len(finds)
    print(f"{covers} covers, each twice in five ways; load {os.getloadavg()[0]:.1f}")
    print("seen through       found          false places a picture   not compared")
    for difference in Difference:
        of, found, pairs = (count[difference, what] for what in ("hurt", "found", "pairs"))
        false, none = count[difference, "false"], count[difference, "not compared"]
        print(f"{difference.value:18} {found:3} of {of:3}     {false / max(pairs, 1):.2f}                     {none}")
    for kind in Damage:
        print(f"{kind.value:18} {count[kind, 'found']:3} of {count[kind, 'hurt']:3}")
    print(f"a comparison       median {np.median(took):.1f} s, longest {max(took):.1f} s of one core's time")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
