"""A serial made ready to be drawn: places of its lines, ticks at round numbers, gaps in words, a bar an edition."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from math import floor

from intake.documents.rulers import lay_out_whole
from intake.edges import fonts, svg
from intake.flow.lookup.wording import edition_words, title_ending
from intake.flow.runs.run_view import (
    gap_places,
    gap_texts,
    half_words,
    held_words,
    outside_words,
    places_text,
    stated_text,
)
from intake.flow.runs.serial_map import Holding, SerialEdition, SerialMap
from intake.model.rulers import BarFill, DrawnSerial, RulerBar, RulerLine, RulerTick
from intake.runs.captions import LEVELS
from intake.runs.part_order import Stretch
from intake.runs.spans import Span, Spans, intersection, shifted
from intake.runs.written_pieces import write_number
from intake.units.language import say

TICKS = 12
"""About as many ticks as a line gets."""
SCREEN_MM = 190.0
FILLS = {Holding.OWNED: BarFill.FILLED, Holding.BOXED: BarFill.HATCHED, Holding.WANTED: BarFill.OUTLINED}


def drawn_serial(found: SerialMap) -> DrawnSerial:
    """Return what a drawing of a serial shows."""
    held, gaps = held_words(found), gap_texts(found)
    words = say("{held}; missing: {gaps}.", held=held, gaps=", ".join(gaps)) if gaps else f"{held}."
    lines = tuple(_line(found, line) for line in found.order.lines())
    return DrawnSerial(found.title, words, lines, (*outside_words(found), *half_words(found)))


def serial_svg(found: SerialMap) -> str:
    """Return the drawing of a serial for a page of HTML, which says its remarks; empty where nothing of it is known."""
    if not found.order.size:
        return ""
    drawn = replace(drawn_serial(found), remarks=())
    page = lay_out_whole(drawn, measure=fonts.measure, width_mm=SCREEN_MM)
    return svg.draw(page, title=f"{drawn.title}: {drawn.words}")


def _line(found: SerialMap, line: Span) -> RulerLine:
    stretches = [one for one in found.order.stretches if line[0] <= one.place <= line[1]]
    gaps = intersection((line,), gap_places(found))
    names = Counter(one.name for one in found.editions)
    bars = (
        _bar(found, one, line, shifted(places, -line[0]), alone=names[one.name] == 1)
        for one in found.editions
        if (places := intersection(one.places, (line,)))
    )
    return RulerLine(
        name=found.order.line_at(line[0]),
        size=line[1] - line[0] + 1,
        ticks=tuple(_ticks(stretches, line)),
        gaps=tuple(zip(shifted(gaps, -line[0]), (places_text(found, (gap,)) for gap in gaps), strict=True)),
        bars=tuple(bars),
    )


def _bar(found: SerialMap, one: SerialEdition, line: Span, spans: Spans, *, alone: bool) -> RulerBar:
    """Return the bar of an edition; one that is not alone with its name says which it is."""
    which = "" if alone else edition_words(one.edition)
    return RulerBar(
        name=f"{one.name} ({which})" if which else one.name,
        parts=stated_text(found, one, line),
        fill=FILLS[one.holding],
        spans=spans,
        ending=f"({which})" if which else title_ending(one.edition),
    )


def _ticks(stretches: list[Stretch], line: Span) -> Iterator[RulerTick]:
    """Yield a tick at the first part of each run, and at round numbers."""
    step = _round_step((line[1] - line[0] + 1) / TICKS)
    before = None
    for one in stretches:
        place = one.place - line[0]
        if one.key != before:
            yield RulerTick(place, _tick_label(one, one.first, begins=True), begins=True)
        whole = one.first.denominator == 1
        for number in range(-(-one.first // step) * step, floor(one.first) + one.numbers, step) if whole else ():
            if number != one.first or one.key == before:
                beside = 0 if one.is_combined else number - floor(one.first)
                yield RulerTick(place + beside, _tick_label(one, Fraction(number), begins=False))
                if one.is_combined:
                    break
        before = one.key


def _tick_label(one: Stretch, number: Fraction, *, begins: bool) -> str:
    volume = f"v.{one.key[1]}:" if begins and len(one.key) > 1 and one.key[0] in LEVELS else ""
    numbers = f"/{write_number(one.first + one.numbers - 1)}" if one.is_combined else ""
    return f"{volume}{write_number(one.first if one.is_combined else number)}{numbers}"


def _round_step(least: float) -> int:
    """Return the least of 1, 2, 5, 10, 20 … that is no smaller.

    >>> _round_step(0.3), _round_step(7), _round_step(31)
    (1, 10, 50)
    """
    step = 1
    while True:
        for times in (1, 2, 5):
            if step * times >= least:
                return step * times
        step *= 10
