"""Photographs of the demonstration through the flow: kept, read, booked once."""

from pathlib import Path

import pytest

from intake.edges import clock
from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import ledger_head
from intake.edges.store.queries.sightings import sightings_of
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.resolve import find_box
from intake.flow.moving import box_lifecycle
from intake.flow.unpacking.book_pictures import book_pictures, is_second_line
from intake.flow.unpacking.scan_results import BookedBefore, ScanResult
from intake.model.identifiers import NumberKind
from intake.model.readings import PictureReadings, Reading
from intake.model.sightings import Picture
from intake.reading.decoders import available
from tests.flow.conftest import booked, import_text, queued

DEMO = Path(__file__).parents[3] / "demo_scans"


@pytest.fixture
def demo_box(library: Library, tmp_path: Path) -> Library:
    """The demonstration's catalog and box lists on top of the small library; its box 2 would clash, so they are 12 …"""
    import_text(library, tmp_path, ListKind.EDITIONS, (DEMO / "catalog.csv").read_text(encoding="utf-8"))
    import_text(library, tmp_path, ListKind.COPIES, "box,key\n12,CCO-07\n12,TBC\n")
    box_lifecycle.close_box(library, "12", station="test")
    box_lifecycle.check_in(library, "12", station="test")
    return library


def take(library: Library, *paths: Path) -> list[ScanResult]:
    with library.reading() as records:
        number = find_box(records, "12").number
    results = book_pictures(library, number, paths, decoders=available(), workers=2, station="test", now=clock.now)
    return [outcome for _, outcomes in results for outcome in outcomes]


def test_a_photograph_is_kept_and_its_book_booked_once(demo_box: Library) -> None:
    photograph = DEMO / "photographs" / "box-2" / "05.jpg"
    outcome = booked(*take(demo_box, photograph))
    assert outcome.scan.picture is not None
    kept = demo_box.picture_path(outcome.scan.picture.sha256)
    assert kept is not None
    assert kept.read_bytes() == photograph.read_bytes()
    (again,) = take(demo_box, photograph)
    assert isinstance(again, BookedBefore)
    with demo_box.reading() as records:
        assert len(sightings_of(records, outcome.copy.accession)) == 1
        assert records.get(Picture, outcome.scan.picture.sha256) == outcome.scan.picture


def test_a_picture_with_nothing_to_read_waits_with_its_picture(demo_box: Library) -> None:
    outcome = queued(*take(demo_box, DEMO / "photographs" / "box-1" / "14.jpg"))
    assert outcome.query.picture is not None


def test_a_file_that_is_no_picture_changes_nothing(demo_box: Library, tmp_path: Path) -> None:
    (tmp_path / "note.jpg").write_text("not a picture", encoding="utf-8")
    with demo_box.reading() as records:
        head = ledger_head(records)
    assert take(demo_box, tmp_path / "note.jpg") == []
    with demo_box.reading() as records:
        assert ledger_head(records) == head


def test_the_second_line_of_a_japanese_book_is_no_book() -> None:
    isbn = Reading("9784000000000", NumberKind.ISBN, accepted=True, score=1.0, methods=("zxing",))
    second = Reading("1920000012345", NumberKind.GTIN, accepted=True, score=1.0, methods=("zxing",))
    result = PictureReadings("a.jpg", 1.0, (isbn, second))
    assert [is_second_line(reading, result.readings) for reading in result.readings] == [False, True]
    assert not is_second_line(second, (second,))
