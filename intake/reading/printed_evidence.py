"""What a printed number is worth beside the bars: where to look for it, and the rule by which it is counted.

**The rule.** A printed number alone is a question, never accepted. It is looked for only where nothing was accepted,
and an accepted reading is never touched: where the two differ, a price sticker, the ISBN beside a UPC, or a second book
in the picture explains it. Where a doubtful reading has a number printed about its bars:

- The printed number is the reading's *best* number: its votes are added to the reading's (`intake.reading.fuse`), and
  the sum is accepted where it is enough.
- It is another one, be it one that the reading considers too: the bars speak against it, nothing is accepted, and the
  person is shown both, that with the more votes first.

Where votes and grey profile were each enough and contradict each other, the reading is doubtful too, and the print, if
it names the reading's number, decides between them.

A catalog only orders what is shown: on a copyright page its numbers come before the other volumes' and bindings'.

**How many votes.** Bars and digits are printed apart, in different shapes and at different places, so that blur makes
one mistake of the bars and another of the digits. Both would have to be wrong, and wrong alike. Of the cut-outs of 155
real photographs text reading gave a number that passed its check digit in 60, all of them right: 45 as they stood and
15 repaired; of the same blurred by 2 and 3 pixels in 40 and 21, all right (`tests.benchmarks.print_table`). Were the
sharp ones independent, which pictures of few symbols are not, fewer than 7 % of the former would be wrong and fewer
than 20 % of the latter, with 95 % certainty (rule of three). The nearest numbers that pass a check digit differ in two
digits, and there are some 700 of them; as either side makes likely mistakes first, the chance that two wrong ones are
the same is taken for one in fifty. That makes about one in a thousand, three decades, for a number as it stands, and
one in 250, counted as two decades, for a repaired one. With decades counted as for the grey profile, the doubtful
reading must contribute the rest of the five decades: a chance of error of one in a hundred beside a number as it
stands, of one in a thousand beside a repaired one. One vote of one decoder is not enough.
"""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from intake.model.readings import Point, Reading
from intake.reading.code_book import CodeBook
from intake.reading.fuse import DECADES, SHOWN, candidates, scored, votes_of
from intake.reading.geometry import Grey, centre_of, contains, height_of, mapped, width_of
from intake.reading.printed import PrintedNumber
from intake.reading.rectify import Crop, rectify
from intake.reading.symbol_forms import kind_of
from intake.reading.vote import ENOUGH

AS_IT_STANDS = 3.0 * ENOUGH / DECADES
"""Votes of a printed number."""
REPAIRED = 2.0 * ENOUGH / DECADES
REACH = 0.8
"""How far above and below its middle a symbol's digits and its ISBN may stand, as a share of its width: bars are 0.73
as tall as wide (GS1 General Specifications, 5.2), and decoders see few rows of a symbol as often as all."""
SIDE = 0.25
"""How far to the left and right, likewise: the outer digits, and the ends of the ISBN above the bars."""
CUT_PX = 720
"""Width of a cut-out: 5 pixels to a module, digits 35 pixels tall, and about as large as readers of text look at."""


def votes(printed: PrintedNumber) -> float:
    """Return what a printed number is worth."""
    return REPAIRED if printed.repaired else AS_IT_STANDS


def surroundings(corners: Sequence[Point]) -> tuple[Point, ...]:
    """Return the quadrilateral in which a symbol's digits and its ISBN stand, above or below, in its own direction."""
    a, b, c, d = (np.array(corner, np.float64) for corner in corners)
    down = (d - a + c - b) / 2
    if math.hypot(*down) < 1e-6:  # one scan line
        down = np.array([a[1] - b[1], b[0] - a[0]])
    reach = max(REACH * width_of(corners), height_of(corners) / 2 + 0.25 * width_of(corners))
    down *= reach / max(math.hypot(*down), 1e-6)
    left, right = (a + d) / 2, (b + c) / 2
    left, right = left - SIDE * (right - left), right + SIDE * (right - left)
    return tuple((float(x), float(y)) for x, y in (left - down, right - down, right + down, left + down))


def cut_out(grey: Grey, corners: Sequence[Point]) -> Crop:
    """Turn a symbol and its surroundings upright, enlarged so that its digits can be read."""
    return rectify(grey, surroundings(corners), CUT_PX, side=0.0, tallest_px=4 * CUT_PX)


def in_picture(printed: PrintedNumber, crop: Crop) -> PrintedNumber:
    """Carry a number found in a cut-out back to the picture."""
    return replace(printed, corners=mapped(printed.corners, crop.to_picture))


def with_printed(
    readings: Sequence[Reading], printed: Sequence[PrintedNumber], known: CodeBook | None = None
) -> tuple[Reading, ...]:
    """Bring printed numbers together with the readings of the same picture, by the rule above, best first.

    Args:
        readings: of the bars.
        printed: corners in pixels of the picture.
        known: the numbers of the catalog.
    """
    if any(reading.accepted for reading in readings):
        return tuple(readings)
    listed = {one.number for one in printed if known is not None and one.number in known}
    ordered = sorted(printed, key=lambda one: (one.number not in listed, one.repaired, one.label == "ISSN"))
    named = {reading.number for reading in readings}
    result, left = [], [one for one in ordered if one.number not in named]
    for reading in readings:
        near = [one for one in ordered if contains(surroundings(reading.corners), centre_of(one.corners))]
        result.append(joined(reading, near) if near else reading)
        left = [one for one in left if one not in near]
    if left:
        result.append(alone(left))
    return tuple(sorted(result, key=lambda one: (not one.accepted, -one.score)))


def alone(printed: Sequence[PrintedNumber]) -> Reading:
    """Make a question of the numbers printed in a picture: of one copyright page all are shown."""
    first, *others = printed
    return Reading(
        number=first.number,
        kind=kind_of(first.number),
        accepted=False,
        score=scored(votes(first)),
        methods=("print",),
        runner_up=others[0].number if others else None,
        corners=first.corners,
        candidates=tuple(one.number for one in printed),
        beside=tuple(one.words for one in printed),
    )


def joined(reading: Reading, printed: Sequence[PrintedNumber]) -> Reading:
    """Bring a doubtful reading and the numbers printed about its bars together."""
    same = next((one for one in printed if one.number == reading.number), None)
    if same is not None:
        lead = votes_of(reading) + votes(same)
        return replace(reading, accepted=lead >= ENOUGH, score=scored(lead), methods=(*reading.methods, "print"))
    print_first = votes(printed[0]) > votes_of(reading)
    apart = [reading, alone(printed[:SHOWN])]
    first, second = apart[::-1] if print_first else apart
    shown = candidates(first.candidates or (first.number,), second.candidates or (second.number,))
    return replace(first, corners=reading.corners, runner_up=shown[1], candidates=shown, beside=())
