"""The progress of the move: every box with its copies found and missing, and the hours that are left."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from intake.edges.store.queries.boxes import count_found_elsewhere, list_boxes
from intake.edges.store.queries.copies import BoxCount, counts_per_box
from intake.edges.store.queries.sightings import unpacking_times
from intake.edges.store.reader import LibraryReader
from intake.flow.moving.pace import LATEST, estimate, pace_words
from intake.identifiers.own import serial_of
from intake.model.boxes import Box, BoxState
from intake.model.editions import SEEN, CopyState


@dataclass(frozen=True, slots=True)
class BoxProgress:
    """One box in numbers.

    Attributes:
        listed: copies on its list; `found` of them were seen, `missing` are recorded as missing.
        elsewhere: of those found, the ones that came out of another box.
        surplus: copies that came out of it and are on no list.
    """

    box: Box
    listed: int
    found: int
    missing: int
    surplus: int
    elsewhere: int = 0

    @property
    def waits(self) -> int:
        """Return how many were neither seen nor recorded as missing."""
        return self.listed - self.found - self.missing


@dataclass(frozen=True, slots=True)
class Progress:
    """The whole move."""

    boxes: tuple[BoxProgress, ...]
    pace: str

    @property
    def listed(self) -> int:
        """Return the number of copies on all lists."""
        return sum(box.listed for box in self.boxes)

    @property
    def found(self) -> int:
        """Return how many of them were seen."""
        return sum(box.found for box in self.boxes)

    @property
    def missing(self) -> int:
        """Return how many of them are recorded as missing."""
        return sum(box.missing for box in self.boxes)

    @property
    def surplus(self) -> int:
        """Return how many copies came out of the boxes that are on no list."""
        return sum(box.surplus for box in self.boxes)

    def of(self, *states: BoxState) -> tuple[BoxProgress, ...]:
        """Return the boxes that are in one of these states."""
        return tuple(box for box in self.boxes if box.box.state in states)


def progress(records: LibraryReader) -> Progress:
    """Count every box, and estimate the hours that are left."""
    counts = counts_per_box(records)
    boxes = sorted(list_boxes(records), key=lambda box: serial_of(box.number))
    elsewhere = count_found_elsewhere(records)
    rows = tuple(_row(box, counts.get(box.number, BoxCount({})), elsewhere[box.number]) for box in boxes)
    pace = estimate(unpacking_times(records, LATEST), sum(row.waits for row in rows))
    return Progress(rows, pace_words(pace))


def box_progress(records: LibraryReader, box: Box) -> BoxProgress:
    """Count one box."""
    count = counts_per_box(records, box.number).get(box.number, BoxCount({}))
    return _row(box, count, count_found_elsewhere(records, box.number)[box.number])


def _row(box: Box, count: BoxCount, elsewhere: int) -> BoxProgress:
    return BoxProgress(
        box=box,
        listed=sum(count.listed.values()),
        found=_sum(count.listed, SEEN),
        missing=_sum(count.listed, (CopyState.MISSING,)),
        surplus=count.surplus,
        elsewhere=elsewhere,
    )


def _sum(counts: Mapping[CopyState, int], states: Iterable[CopyState]) -> int:
    return sum(counts.get(state, 0) for state in states)
