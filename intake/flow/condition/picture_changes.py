"""Two pictures of one book compared: files that a person names, or the earlier and the latest picture of a copy."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from pathlib import Path

from intake.covers.change_picture import covers_shown, place_shown, side_by_side, size_shown
from intake.covers.changes import find_changes
from intake.edges.colour_pictures import Colours, jpeg_of, load_colours, save_colours
from intake.edges.store.library import Library
from intake.edges.store.queries.condition import condition_reports, copy_pictures
from intake.edges.store.queries.sightings import sightings_of
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.resolve import find_copy
from intake.model.cover_changes import CompareVerdict, CoverChange, CoverChanges, SpineSide
from intake.model.editions import Copy, Edition
from intake.model.readings import Point

LATEST, EARLIEST = 3, 4
"""So many of the latest pictures are tried, each with so many of the earliest ones."""
KEPT = 64


@dataclass(frozen=True, slots=True)
class DatedPicture:
    """A picture of a copy, and when it shows it: the day of its condition report, else when it was taken in."""

    sha256: str
    at: datetime
    report: int | None


@dataclass(frozen=True, slots=True)
class PicturePair:
    """An earlier and a later picture of one side of a copy, and what changed between them."""

    copy: str
    earlier: DatedPicture
    later: DatedPicture
    found: CoverChanges


@dataclass(frozen=True, slots=True)
class ComparedPictures:
    """What the pictures of a copy show.

    Attributes:
        pair: the pictures that were compared; None where no two could be.
        pictures: how many there are of the copy.
        verdict: of the last comparison; None where there were no two to compare.
    """

    copy: Copy
    pair: PicturePair | None
    pictures: int
    verdict: CompareVerdict | None


def compare_files(
    before: Path, after: Path, *, size_mm: tuple[float, float] | None = None, spine: SpineSide | None = None
) -> CoverChanges:
    """Compare two picture files.

    Args:
        before: the earlier one.
        after: the later one.
        size_mm: width and height of the cover, where known.
        spine: the side of the spine in the earlier picture, where known.

    Raises:
        FileError: one cannot be opened.
    """
    return _compared(before, after, size_mm, spine)


@lru_cache(maxsize=KEPT)
def _compared(before: Path, after: Path, size_mm: tuple[float, float] | None, spine: SpineSide | None) -> CoverChanges:
    return find_changes(load_colours(before), load_colours(after), size_mm=size_mm, spine=spine)


def save_comparison(before: Path, after: Path, found: CoverChanges, target: Path) -> None:
    """Save the covers of two pictures that were compared, side by side, what changed outlined and numbered.

    Raises:
        FileError: a picture cannot be opened, or the file not be written.
    """
    shown = covers_shown(load_colours(before), load_colours(after), found)
    save_colours(side_by_side(*shown, found.changes), target)


def save_pair(library: Library, pair: PicturePair, target: Path) -> None:
    """Save the two pictures of a copy as `save_comparison` does."""
    save_comparison(*files_of(library, pair), pair.found, target)


def changes_of_copy(library: Library, copy_text: str) -> ComparedPictures:
    """Compare the latest picture of a copy with the earliest one that shows the same side.

    Raises:
        RefusedError: the copy does not exist.
        FileError: a picture cannot be opened.
    """
    with library.reading() as records:
        copy = find_copy(records, copy_text)
        shown = dated_pictures(records, copy.accession)
        size = cover_size(records.get(Edition, copy.edition_id))
    return compare_dated(library, copy, shown, size)


def compare_dated(
    library: Library, copy: Copy, shown: Sequence[DatedPicture], size_mm: tuple[float, float] | None
) -> ComparedPictures:
    """Compare the latest of these pictures, oldest first, with the earliest that shows the same side."""
    verdict = None
    for later, earlier in pairs_of(shown):
        paths = [library.picture_path(each.sha256) for each in (earlier, later)]
        if paths[0] is None or paths[1] is None:
            continue
        found = compare_files(paths[0], paths[1], size_mm=size_mm)
        verdict = found.verdict
        if verdict is CompareVerdict.COMPARED:
            pair = PicturePair(copy.accession, earlier, later, found)
            return ComparedPictures(copy, pair, len(shown), verdict)
    return ComparedPictures(copy, None, len(shown), verdict)


def pairs_of(shown: Sequence[DatedPicture]) -> Iterable[tuple[DatedPicture, DatedPicture]]:
    """Yield pairs to compare, the later one first: those of one report belong together and are none."""
    for later in shown[: -LATEST - 1 : -1]:
        for earlier in shown[:EARLIEST]:
            together = earlier.report is not None and earlier.report == later.report
            if earlier.at < later.at and not together:
                yield later, earlier


def dated_pictures(records: LibraryReader, accession: str) -> tuple[DatedPicture, ...]:
    """Return the pictures of a copy, oldest first: photographs, and those by which it was seen."""
    report_of = {each.picture: each.report for each in copy_pictures(records, accession)}
    days = {report.id: report.at for report in condition_reports(records, accession)}
    found: dict[str, DatedPicture] = {}
    for sighting in sightings_of(records, accession):
        if sighting.picture is not None:
            report = report_of.get(sighting.picture)
            at = days.get(report, sighting.at) if report is not None else sighting.at
            found.setdefault(sighting.picture, DatedPicture(sighting.picture, at, report))
    return tuple(sorted(found.values(), key=lambda each: each.at))


def cover_size(edition: Edition | None) -> tuple[float, float] | None:
    """Return width and height of an edition's cover in mm, where both are known."""
    if edition is None or not edition.width_mm or not edition.height_mm:
        return None
    return edition.width_mm, edition.height_mm


@dataclass(frozen=True, slots=True)
class ShownPlace:
    """A place that changed, as it is drawn over both covers: its outline, and where its number stands, in px."""

    change: CoverChange
    outline: tuple[Point, ...]
    number_at: Point


def places_shown(found: CoverChanges) -> tuple[tuple[int, int], tuple[ShownPlace, ...]]:
    """Return the size of the covers as they are shown, in px, and the places on them."""
    width, height = size_shown(found)
    places = []
    for change in found.changes:
        outline = tuple((round(x * width, 1), round(y * height, 1)) for x, y in place_shown(change.outline))
        right, top = max(x for x, _ in outline), min(y for _, y in outline)
        beside = (min(right + 0.012 * width, 0.95 * width), max(top, 0.04 * height))
        places.append(ShownPlace(change, outline, beside))
    return (width, height), tuple(places)


def covers_as_jpeg(library: Library, pair: PicturePair, longest_px: int) -> tuple[bytes, bytes]:
    """Return the covers of a pair, point on point, as JPEG files.

    Raises:
        FileError: a picture is no longer there or cannot be opened.
    """
    return _as_jpeg(*files_of(library, pair), longest_px, pair.found.frame_before, pair.found.frame_after)


@lru_cache(maxsize=8)
def _as_jpeg(
    before: Path, after: Path, longest_px: int, frame_before: tuple[Point, ...], frame_after: tuple[Point, ...]
) -> tuple[bytes, bytes]:
    frames = CoverChanges(CompareVerdict.COMPARED, frame_before=frame_before, frame_after=frame_after)
    first, second = covers_shown(load_colours(before), load_colours(after), frames)
    return jpeg_of(first, longest_px), jpeg_of(second, longest_px)


def covers_of(library: Library, pair: PicturePair) -> tuple[Colours, Colours]:
    """Return the covers of a pair, point on point."""
    before, after = map(load_colours, files_of(library, pair))
    return covers_shown(before, after, pair.found)


def files_of(library: Library, pair: PicturePair) -> tuple[Path, Path]:
    """Return where the pictures of a pair are; one that is gone is called by its SHA-256 when it cannot be opened."""
    before, after = (library.picture_path(each.sha256) or Path(each.sha256) for each in (pair.earlier, pair.later))
    return before, after
