"""What stations send: once each, whoever sends it twice, and never two copies of one."""

import threading
from pathlib import Path

import cv2
import numpy as np
import pytest
import zxingcpp

from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.ledger_entries import count_records, ledger_head
from intake.edges.store.queries.shelves import shelves_in_order
from intake.edges.store.queries.sightings import count_waiting, sightings_of
from intake.errors import FileError, RefusedError
from intake.flow.condition.photograph_copy import photograph_copy
from intake.flow.lookup.resolve import find_copy
from intake.flow.unpacking.cover_evidence import CoverLookup
from intake.flow.unpacking.scan_results import Booked, BookedBefore, Disposition, LabelScan, Queued, ScanResult
from intake.flow.unpacking.station import book_frame, book_line, book_picture
from intake.model.editions import CopyState
from intake.model.matches import MatchVerdict
from intake.model.reasons import ReasonKind
from intake.reading.decoders import Decoded, Decoder, available
from tests.covers.drawn_covers import draw_cover, photograph
from tests.flow.conftest import NOW, booked, queued

FERNS = "9780306406157"
DECODERS = available()


def picture_of(number: str) -> bytes:
    """Draw a symbol as a picture, by the encoder of another library than ours."""
    bars = np.asarray(zxingcpp.create_barcode(number, zxingcpp.BarcodeFormat.EAN13).to_image(scale=4))
    canvas = np.full((400, 700), 255, np.uint8)
    canvas[100 : 100 + bars.shape[0], 100 : 100 + bars.shape[1]] = bars
    return cv2.imencode(".jpg", canvas)[1].tobytes()


def blank() -> bytes:
    return cv2.imencode(".jpg", np.full((300, 400), 200, np.uint8))[1].tobytes()


def line(library: Library, text: str, request: str, station: str = "phone-1") -> ScanResult:
    return book_line(library, "1", text, request=request, station=station, now=NOW)


def answer_again(result: ScanResult) -> Booked | Queued:
    assert isinstance(result, BookedBefore)
    assert result.earlier is not None
    return result.earlier


def test_a_line_is_booked_and_its_repetition_is_answered_alike(arrived: Library) -> None:
    first = booked(line(arrived, FERNS, "r1"))
    again = booked(answer_again(line(arrived, FERNS, "r1")))
    assert (again.copy, again.entry, again.advice.where) == (first.copy, first.entry, first.advice.where)
    with arrived.reading() as records:
        assert len(sightings_of(records, first.copy.accession)) == 1


def test_a_repeated_question_is_the_same_question(arrived: Library) -> None:
    first, again = line(arrived, "9790000000001", "r1"), line(arrived, "9790000000001", "r1")
    assert queued(answer_again(again)).query == queued(first).query


def test_two_stations_with_one_copy_do_not_make_two(arrived: Library) -> None:
    outcomes: list[ScanResult] = []
    stations = [
        threading.Thread(target=lambda nth=nth: outcomes.append(line(arrived, FERNS, f"r{nth}", f"phone-{nth}")))
        for nth in range(6)
    ]
    for station in stations:
        station.start()
    for station in stations:
        station.join()
    (taken,) = (outcome for outcome in outcomes if isinstance(outcome, Booked))
    assert taken.act is Disposition.BOOK
    asked = [outcome for outcome in outcomes if isinstance(outcome, Queued)]
    assert [outcome.identification.verdict for outcome in asked] == [MatchVerdict.SECOND_COPY] * 5
    with arrived.reading() as records:
        assert count_records(records).copies[CopyState.UNPACKED] == 1


def test_a_picture_is_kept_and_taken_once(arrived: Library) -> None:
    data = picture_of(FERNS)

    def send() -> ScanResult:
        frame = book_picture(arrived, "1", data, decoders=DECODERS, request="p1", station="phone-1", now=NOW)
        (taken,) = frame.taken
        return taken

    first, again = booked(send()), booked(answer_again(send()))
    assert first.copy == again.copy
    assert first.scan.picture is not None
    assert arrived.picture_path(first.scan.picture.sha256) is not None


def test_a_picture_without_a_symbol_waits_for_a_person(arrived: Library) -> None:
    frame = book_picture(arrived, "1", blank(), decoders=DECODERS, request="p1", station="phone-1", now=NOW)
    (taken,) = frame.taken
    assert queued(taken).query.picture is not None


def test_a_frame_takes_what_is_sure_and_leaves_no_trace_otherwise(arrived: Library) -> None:
    def show(data: bytes, request: str, *held: str) -> tuple[ScanResult, ...]:
        frame = book_frame(
            arrived, "1", data, answered=held, decoders=DECODERS, request=request, station="phone-1", now=NOW
        )
        return frame.taken

    assert show(blank(), "f1") == ()
    (taken,) = show(picture_of(FERNS), "f2")
    booked(taken)
    assert show(picture_of(FERNS), "f3", FERNS) == ()
    (repeated,) = show(picture_of(FERNS), "f2")
    assert isinstance(repeated, BookedBefore)
    with arrived.reading() as records:
        assert count_waiting(records) == 0


@pytest.mark.parametrize("data", [b"", b"no picture", b"\xff\xd8\xff\xe0 cut short"])
def test_what_is_no_picture_changes_nothing(arrived: Library, data: bytes) -> None:
    with arrived.reading() as records:
        before = ledger_head(records)
    with pytest.raises(FileError) as caught:
        book_picture(arrived, "1", data, decoders=DECODERS, request="p1", station="phone-1", now=NOW)
    assert caught.value.thing == "The picture"
    with arrived.reading() as records:
        assert ledger_head(records) == before


def test_labels_of_shelves_and_boxes_are_what_they_are(arrived: Library) -> None:
    with arrived.reading() as records:
        shelf, box, head = shelves_in_order(records)[0], list_boxes(records)[1], ledger_head(records)
    for number, words in (
        (shelf.number, "shelf Study · A · 1"),
        (box.number, f"box {box.number}, Study"),
        ("S99-93", ""),
    ):
        label = book_line(arrived, "1", number, request=number, station="phone-1", now=NOW)
        assert isinstance(label, LabelScan), number
        assert (label.number, label.words) == (number, words)
    with arrived.reading() as records:
        assert ledger_head(records) == head


def test_a_box_that_has_not_arrived_is_refused(arrived: Library) -> None:
    with pytest.raises(RefusedError):
        book_line(arrived, "2", FERNS, request="r1", station="phone-1", now=NOW)


def test_a_picture_of_a_copy(arrived: Library, tmp_path: Path) -> None:
    copy = booked(line(arrived, FERNS, "r1")).copy
    photograph_copy(arrived, copy.accession, blank(), request="d1", station="phone-1", now=NOW)
    photograph_copy(arrived, copy.accession, blank(), request="d1", station="phone-1", now=NOW)
    with arrived.reading() as records:
        assert [sighting.methods for sighting in sightings_of(records, copy.accession)].count("photograph") == 1


class Stubborn:
    """A decoder that cannot work on any picture."""

    name = "stubborn"

    def decode(self, grey: object, *, own: bool = False) -> tuple[Decoded, ...]:
        raise SystemError


def files_kept(library: Library) -> list[Path]:
    return [path for path in (library.folder / "pictures").rglob("*") if path.is_file()]


@pytest.mark.folder
def test_a_refused_picture_leaves_no_file(arrived: Library) -> None:
    good = picture_of(FERNS)

    def send(box: str, data: bytes, *decoders: Decoder) -> None:
        book_picture(arrived, box, data, decoders=decoders, request="p", station="phone", now=NOW)

    with pytest.raises(FileError):
        send("1", good, Stubborn())
    with pytest.raises(FileError):
        book_frame(
            arrived, "1", good, answered=(), decoders=[Stubborn()], request="f", station="phone", now=NOW
        )  # fmt: skip
    with pytest.raises(FileError):
        send("1", good[:60], *DECODERS)
    with pytest.raises(RefusedError):
        send("2", good, *DECODERS)  # it has not arrived
    with pytest.raises(RefusedError):
        photograph_copy(arrived, "C99-00", good, station="phone", now=NOW)
    assert files_kept(arrived) == []
    send("1", good, *DECODERS)
    assert len(files_kept(arrived)) == 1


def test_a_picture_without_a_symbol_is_answered_by_its_cover(arrived: Library) -> None:
    """The photograph is kept after the desk was opened: the next picture is compared with it too."""
    covers = CoverLookup(arrived)

    def send(picture: int) -> ScanResult:
        _, encoded = cv2.imencode(".png", photograph(draw_cover(3), picture))
        frame = book_picture(
            arrived, "1", encoded.tobytes(), decoders=DECODERS, covers=covers, request=f"p{picture}", station="phone-1",
            now=NOW,
        )  # fmt: skip
        return frame.taken[0]

    assert [reason.kind for reason in queued(send(1000)).why] == [ReasonKind.EMPTY_PICTURE]
    with arrived.reading() as records:
        atlas = find_copy(records, "O1").accession
    _, encoded = cv2.imencode(".png", photograph(draw_cover(3), 1001))
    photograph_copy(arrived, atlas, encoded.tobytes(), station="desk", now=NOW)
    outcome = booked(send(3))
    assert outcome.copy.accession == atlas
    assert ReasonKind.COVER_SEEN in [reason.kind for reason in outcome.why]
