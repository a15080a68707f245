"""A book taken out of a box by its cover alone. The covers are drawn and invented."""

from pathlib import Path

import cv2
import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.editions import edition_by_key
from intake.edges.store.queries.sightings import sightings_of
from intake.edges.store.reader import LibraryReader
from intake.flow.condition.photograph_copy import photograph_copy
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.resolve import find_box, find_copy
from intake.flow.moving import box_lifecycle
from intake.flow.unpacking.book_pictures import book_pictures
from intake.flow.unpacking.cover_evidence import CoverLookup
from intake.flow.unpacking.query_pile import pile
from intake.flow.unpacking.scan_results import BookedBefore, ScanResult
from intake.model.editions import Copy
from intake.model.reasons import ReasonKind
from intake.reading.decoders import available
from tests.covers.drawn_covers import draw_cover, photograph
from tests.flow.conftest import NOW, booked, import_text, queued

CHARTS, FERNS = 3, 1
"""The covers of the atlas without a number, and of a volume of a set."""


def photographed(library: Library, copy: str, number: int, picture: int) -> None:
    """Keep a photograph of a copy that wears a drawn cover, taken before the move."""
    _, encoded = cv2.imencode(".png", photograph(draw_cover(number), picture))
    photograph_copy(library, copy, encoded.tobytes(), station="desk", now=NOW)


def take(library: Library, folder: Path, number: int, picture: int, box: str = "1") -> ScanResult:
    """Photograph a cover at the open box."""
    path = folder / f"{number}-{picture}.png"
    cv2.imwrite(str(path), photograph(draw_cover(number), picture))
    with library.reading() as records:
        box = find_box(records, box).number
    results = book_pictures(
        library, box, [path], decoders=available(), workers=1, covers=CoverLookup(library), station="test",
        now=lambda: NOW,
    )  # fmt: skip
    ((_, (outcome,)),) = results
    return outcome


def number_of(library: Library, key: str) -> str:
    with library.reading() as records:
        return find_copy(records, key).accession


def edition_of(records: LibraryReader, key: str) -> int:
    edition = edition_by_key(records, key)
    assert edition is not None
    return edition.id


def test_a_book_without_a_number_is_booked_by_its_cover_once(arrived: Library, tmp_path: Path) -> None:
    atlas = number_of(arrived, "O1")
    photographed(arrived, atlas, CHARTS, 1000)
    outcome = booked(take(arrived, tmp_path, CHARTS, CHARTS))
    assert outcome.copy.accession == atlas
    assert [reason.kind for reason in outcome.why] == [ReasonKind.COVER_SEEN, ReasonKind.LISTED_HERE]
    with arrived.reading() as records:
        sighting = sightings_of(records, atlas)[-1]
    assert (sighting.methods, sighting.number) == ("cover", None)
    assert isinstance(take(arrived, tmp_path, CHARTS, CHARTS), BookedBefore)


def test_a_book_whose_cover_was_never_photographed_waits(arrived: Library, tmp_path: Path) -> None:
    photographed(arrived, number_of(arrived, "O1"), CHARTS, 1000)
    outcome = queued(take(arrived, tmp_path, 12, 12))
    assert [reason.kind for reason in outcome.why] == [ReasonKind.EMPTY_PICTURE]


def test_a_book_listed_in_another_box_is_asked_about(arrived: Library, tmp_path: Path) -> None:
    photographed(arrived, number_of(arrived, "F2"), CHARTS, 1000)
    photographed(arrived, number_of(arrived, "F1"), FERNS, 1000)  # so that the volumes are told apart
    outcome = queued(take(arrived, tmp_path, CHARTS, CHARTS))
    assert [reason.kind for reason in outcome.why] == [ReasonKind.COVER_SEEN, ReasonKind.LISTED_ELSEWHERE]


def test_another_volume_that_was_not_photographed_may_wear_the_same_cover(arrived: Library, tmp_path: Path) -> None:
    first, second = number_of(arrived, "F1"), number_of(arrived, "F2")
    photographed(arrived, first, FERNS, 1000)
    outcome = queued(take(arrived, tmp_path, FERNS, FERNS))
    shared = next(reason for reason in outcome.why if reason.kind is ReasonKind.COVER_SHARED)
    assert shared.count == 2
    assert {"title", "volume", "year", "number"} <= set(shared.texts)
    with arrived.reading() as records:
        (item,) = pile(records)
    assert [option.copy.accession for option in item.options if option.copy][:2] == [first, second]


def test_a_volume_of_which_no_other_is_known_is_asked_about(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.EDITIONS, 'key,title\nL1,"Songs of the Low Country, volume 1"\n')
    import_text(library, tmp_path, ListKind.COPIES, "box,key\n1,L1\n")
    box_lifecycle.close_box(library, "1", station="test")
    box_lifecycle.check_in(library, "1", station="test")
    photographed(library, number_of(library, "L1"), CHARTS, 1000)
    outcome = queued(take(library, tmp_path, CHARTS, CHARTS))
    assert ReasonKind.COVER_OF_VOLUME in [reason.kind for reason in outcome.why]


def test_of_two_volumes_both_photographed_the_one_in_the_picture_is_booked(arrived: Library, tmp_path: Path) -> None:
    photographed(arrived, number_of(arrived, "F1"), FERNS, 1000)
    photographed(arrived, number_of(arrived, "F2"), CHARTS, 1000)
    assert booked(take(arrived, tmp_path, FERNS, FERNS)).copy.accession == number_of(arrived, "F1")


def test_two_copies_in_one_cover_are_a_question_that_says_what_tells_them_apart(
    library: Library, tmp_path: Path
) -> None:
    import_text(library, tmp_path, ListKind.COPIES, "box,key,jacket\n1,O1,none\n1,O1,Fine\n")
    box_lifecycle.close_box(library, "1", station="test")
    box_lifecycle.check_in(library, "1", station="test")
    with library.reading() as records:
        first, second = (copy.accession for copy in records.all(Copy) if copy.edition_id == edition_of(records, "O1"))
    photographed(library, first, CHARTS, 1000)
    outcome = queued(take(library, tmp_path, CHARTS, CHARTS))
    shared = next(reason for reason in outcome.why if reason.kind is ReasonKind.COVER_SHARED)
    assert (shared.count, shared.texts) == (2, ("dust jacket",))
    photographed(library, second, CHARTS, 1001)
    outcome = queued(take(library, tmp_path, CHARTS, CHARTS + 1000))
    assert ReasonKind.COVER_SHARED in [reason.kind for reason in outcome.why]


@pytest.mark.parametrize("lost", ["missing", "damaged"])
@pytest.mark.folder
def test_a_photograph_that_cannot_be_opened_stops_nothing(arrived: Library, tmp_path: Path, lost: str) -> None:
    photographed(arrived, number_of(arrived, "O1"), CHARTS, 1000)
    photographed(arrived, number_of(arrived, "G1"), 2, 1000)
    for path in (arrived.folder / "pictures").rglob("*.png"):
        path.unlink() if lost == "missing" else path.write_bytes(b"damaged")
    outcome = queued(take(arrived, tmp_path, CHARTS, CHARTS))
    assert [reason.kind for reason in outcome.why] == [ReasonKind.EMPTY_PICTURE]
