"""How far the move is, drawn: by day, by room, and the boxes that are being unpacked; and the same in words."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from intake.documents.progress_bars import lay_out_bars
from intake.edges import fonts, svg
from intake.edges.store.queries.sightings import unpacked_per_day
from intake.edges.store.reader import LibraryReader
from intake.flow.moving.box_list import BoxStage, room_of, stage_of
from intake.flow.moving.progress import BoxProgress, Progress
from intake.model.move_drawings import DrawnBar, DrawnBars
from intake.units.counts import counted

DAYS = 31
"""The latest days that are drawn."""
BOXES = 30
"""Boxes that are drawn, the ones with the most left first."""


@dataclass(frozen=True, slots=True)
class ProgressDrawing:
    """One drawing of bars.

    Attributes:
        drawing: as SVG, with its bars in words as the text alternative.
        left_out: what is not drawn, in words; empty where nothing is.
        empty: what is said where there is nothing to draw.
    """

    drawing: str
    left_out: str = ""
    empty: str = ""


def by_day(reader: LibraryReader) -> ProgressDrawing:
    """Draw how many copies came out of boxes on each of the latest days; days are those of UTC."""
    days = unpacked_per_day(reader)
    bars = [DrawnBar(day, count, 0, 0, f"{count} unpacked") for day, count in days[-DAYS:]]
    before = days[:-DAYS]
    earlier = sum(count for _, count in before)
    left_out = f"Not drawn: {earlier} unpacked on {counted(len(before), 'earlier day')}." if before else ""
    return _drawn("Unpacked by day (UTC)", bars, left_out, "Nothing has been unpacked yet.")


def by_room(move: Progress) -> ProgressDrawing:
    """Draw what is found, left and missing of the boxes meant for each room."""
    rooms: dict[tuple[bool, str], list[BoxProgress]] = {}
    for row in move.boxes:
        rooms.setdefault((not row.box.room, room_of(row)), []).append(row)
    bars = [_bar(key[1], rooms[key]) for key in sorted(rooms)]
    return _drawn("Listed copies by room", bars, "", "No box is recorded yet.")


def by_box(move: Progress) -> ProgressDrawing:
    """Draw the boxes that are being unpacked, those with the most left first."""
    begun = [row for row in move.boxes if stage_of(row) is BoxStage.BEGUN]
    begun.sort(key=lambda row: -row.waits)
    more = len(begun) - BOXES
    left_out = f"Not drawn: {counted(more, 'more box', 'more boxes')} being unpacked." if more > 0 else ""
    bars = [_bar(f"Box {row.box.number}", [row]) for row in begun[:BOXES]]
    return _drawn("Boxes that are being unpacked", bars, left_out, "No box is being unpacked now.")


def _bar(name: str, rows: Sequence[BoxProgress]) -> DrawnBar:
    found, left, missing = (sum(counts) for counts in zip(*map(_counts, rows), strict=True))
    words = f"{found} found, {left} left" + (f", {missing} missing" if missing else "")
    return DrawnBar(name, found, left, missing, words)


def _counts(row: BoxProgress) -> tuple[int, int, int]:
    return row.found, row.waits, row.missing


def _drawn(title: str, bars: Sequence[DrawnBar], left_out: str, empty: str) -> ProgressDrawing:
    if not bars:
        return ProgressDrawing("", "", empty)
    page = lay_out_bars(DrawnBars(title, tuple(bars)), measure=fonts.measure)
    return ProgressDrawing(svg.draw(page, title=". ".join(_words(title, bars))), left_out)


def _words(title: str, bars: Iterable[DrawnBar]) -> Iterator[str]:
    yield title
    yield from (f"{bar.name}: {bar.words}" for bar in bars)
