"""The progress of the move, box by box, on the small invented library."""

from pathlib import Path

from intake.edges.store.library import Library
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.resolve import find_box
from intake.flow.moving import box_lifecycle
from intake.flow.moving.pace import estimate, pace_words
from intake.flow.moving.progress import Progress, box_progress, progress
from intake.flow.shelves.find_room import put
from intake.flow.unpacking.station import book_line
from intake.model.boxes import BoxState
from tests.flow.conftest import NOW, import_text


def now(library: Library) -> Progress:
    with library.reading() as records:
        return progress(records)


def test_what_was_seen_shelved_or_not_and_what_is_missing(arrived: Library) -> None:
    for text in ("9780306406157", "0-8044-2957-X"):
        book_line(arrived, "1", text, request=text, station="test", now=NOW)
    put(arrived, "1", station="test", now=NOW)
    first, second = now(arrived).boxes
    assert (first.listed, first.found, first.missing, first.waits) == (4, 2, 0, 2)
    box_lifecycle.finish(arrived, "1", station="test")
    whole = now(arrived)
    first, second = whole.boxes
    assert (first.listed, first.found, first.missing, first.waits) == (4, 2, 2, 0)
    assert (second.listed, second.found, second.missing, second.waits) == (1, 0, 0, 1)
    assert (whole.listed, whole.found, whole.missing) == (5, 2, 2)
    assert whole.of(BoxState.UNPACKED) == (first,)
    assert whole.of(BoxState.UNPACKED, BoxState.OPEN) == (first, second)
    assert whole.of(BoxState.CLOSED) == ()
    assert whole.pace == pace_words(estimate([], 1))
    with arrived.reading() as records:
        assert [box_progress(records, find_box(records, text)) for text in ("1", "2")] == [first, second]


def test_boxes_come_by_their_serials_and_an_empty_one_counts_nothing(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.BOXES, "box\n" + "".join(f"{n}\n" for n in range(3, 12)))
    boxes = now(library).boxes
    assert [box.box.number.split("-")[0] for box in boxes] == [f"B{n}" for n in range(1, 12)]
    assert (boxes[-1].listed, boxes[-1].found, boxes[-1].waits) == (0, 0, 0)
