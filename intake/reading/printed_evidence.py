"""How much a printed number counts beside the bars: where to look for it, and the rule by which it is counted.

**The rule.** A printed number alone is a question, never accepted. It is looked for only if nothing was accepted, and
an accepted reading is never changed: where the two differ, the reason is a price sticker, the ISBN beside a UPC, or a
second book in the picture. Where a number is printed around the bars of a doubtful reading:

- If it is the reading's *best* number, its votes are added to the reading's (`intake.reading.fuse`), and the number is
  accepted where the sum is sufficient.
- If it is another number, even one of the reading's candidates, the bars contradict it: nothing is accepted, and the
  person is shown both, the one with more votes first.

Where votes and grey profile were each sufficient and contradict each other, the reading is doubtful too, and a printed
number equal to the reading's decides between them.

A catalog affects only the order of what is shown: on a copyright page its numbers come before those of other volumes
and bindings.

**How many votes.** Bars and digits are printed separately, in different shapes and at different places, so that blur
causes one error in the bars and another in the digits. For a wrong number to be accepted, both would have to be wrong
in the same way. From crops of 155 real photographs, text recognition gave a number with a right check digit in 60, all
of them right: 45 as printed and 15 repaired; from the same crops blurred by 2 and 3 pixels in 40 and 21, all right
(`tests.benchmarks.print_table`). If the sharp ones were independent, which pictures of few symbols are not, less than
7 % of the former and less than 20 % of the latter would be wrong, with 95 % confidence (rule of three). The nearest
numbers with a right check digit differ in two digits, and there are about 700 of them; since both sides make likely
errors first, the probability that two wrong ones are equal is taken to be one in fifty. That gives about one in a
thousand, three decades, for a number as printed, and one in 250, counted as two decades, for a repaired one. With
decades counted as for the grey profile, the doubtful reading must contribute the rest of the five decades: a
probability of error of 1 in 100 beside a number as printed, of 1 in 1,000 beside a repaired one. One vote of one
decoder is not sufficient.
"""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from intake.model.readings import Point, Reading
from intake.reading.code_book import CodeBook
from intake.reading.fuse import DECADES, SHOWN, interleave, lead_of_reading, score_of
from intake.reading.geometry import Grey, centre_of, contains, height_of, map_points, width_of
from intake.reading.grey_profile import margin_contrast, profile
from intake.reading.locate import count_edges_across, locate
from intake.reading.printed import PrintedNumber
from intake.reading.rectify import Crop, rectify
from intake.reading.symbol_forms import kind_of
from intake.reading.vote import ENOUGH

AS_IT_STANDS = 3.0 * ENOUGH / DECADES
"""Votes of a printed number."""
REPAIRED = 2.0 * ENOUGH / DECADES
REACH = 0.8
"""How far above and below its middle a symbol's digits and its ISBN may be, as a share of its width: bars are 0.73 as
tall as wide (GS1 General Specifications, 5.2), and decoders report a few rows of a symbol as often as all."""
SIDE = 0.25
"""How far to the left and right, likewise: the outer digits, and the ends of the ISBN above the bars."""
CLEAR_PAPER, FEWEST_EDGES = 0.2, 20
"""Greatest contrast beside bars as a share of theirs, and least edges across them, where print is looked for about them
although nothing was read there. Of 25 photographs without a symbol two have such a region, and no page of text has."""
CUT_PX = 720
"""Width of a crop: 5 pixels per module, digits 35 pixels tall, about the size that text recognition works at."""


def votes_of_print(printed: PrintedNumber) -> float:
    """Return how many votes a printed number counts."""
    return REPAIRED if printed.repaired else AS_IT_STANDS


def surroundings(corners: Sequence[Point]) -> tuple[Point, ...]:
    """Return the quadrilateral around a symbol that contains its digits and its ISBN, above or below the bars."""
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
    """Return a crop of a symbol and its surroundings, upright and enlarged so that its digits can be read."""
    return rectify(grey, surroundings(corners), CUT_PX, side=0.0, tallest_px=4 * CUT_PX)


def framed_bars(grey: Grey) -> tuple[Point, ...] | None:
    """Return the corners of the strongest bars of a picture if paper clearly frames them; None if there are none.

    Bars no wider than they are tall may be a part of a symbol, whose digits would not all be about them.
    """
    corners = next((region.corners for region in locate(grey, most=1)), None)
    if not corners or width_of(corners) < height_of(corners) or count_edges_across(grey, corners) < FEWEST_EDGES:
        return None
    pooled = profile(grey, corners)
    return corners if pooled and margin_contrast(pooled, grey) <= CLEAR_PAPER else None


def in_picture(printed: PrintedNumber, crop: Crop) -> PrintedNumber:
    """Return a number found in a crop with its corners in pixels of the picture."""
    return replace(printed, corners=map_points(printed.corners, crop.to_picture))


def with_printed(
    readings: Sequence[Reading], printed: Sequence[PrintedNumber], known: CodeBook | None = None
) -> tuple[Reading, ...]:
    """Combine printed numbers with the readings of the same picture, by the rule above, best first.

    Args:
        readings: of the bars.
        printed: with corners in pixels of the picture.
        known: the numbers of the catalog.
    """
    if any(reading.accepted for reading in readings):
        return tuple(readings)
    listed = {number.number for number in printed if known is not None and number.number in known}
    ordered = sorted(printed, key=lambda number: (number.number not in listed, number.repaired, number.label == "ISSN"))
    named = {reading.number for reading in readings}
    result, unmatched = [], [number for number in ordered if number.number not in named]
    for reading in readings:
        near = [number for number in ordered if contains(surroundings(reading.corners), centre_of(number.corners))]
        result.append(combine(reading, near) if near else reading)
        unmatched = [number for number in unmatched if number not in near]
    if unmatched:
        result.append(print_reading(unmatched))
    return tuple(sorted(result, key=lambda reading: (not reading.accepted, -reading.score)))


def print_reading(printed: Sequence[PrintedNumber]) -> Reading:
    """Return a reading, not accepted, with all numbers printed in a picture as candidates."""
    first, *others = printed
    return Reading(
        number=first.number,
        kind=kind_of(first.number),
        accepted=False,
        score=score_of(votes_of_print(first)),
        methods=("print",),
        runner_up=others[0].number if others else None,
        corners=first.corners,
        candidates=tuple(number.number for number in printed),
        beside=tuple(number.words for number in printed),
    )


def combine(reading: Reading, printed: Sequence[PrintedNumber]) -> Reading:
    """Combine a doubtful reading with the numbers printed around its bars."""
    matching = next((number for number in printed if number.number == reading.number), None)
    if matching is not None:
        lead = lead_of_reading(reading) + votes_of_print(matching)
        return replace(reading, accepted=lead >= ENOUGH, score=score_of(lead), methods=(*reading.methods, "print"))
    print_first = votes_of_print(printed[0]) > lead_of_reading(reading)
    apart = [reading, print_reading(printed[:SHOWN])]
    first, second = apart[::-1] if print_first else apart
    shown = interleave(first.candidates or (first.number,), second.candidates or (second.number,))
    return replace(first, corners=reading.corners, runner_up=shown[1], candidates=shown, beside=())
