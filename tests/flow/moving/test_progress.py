"""The progress of the move, box by box, on the small invented library."""

from pathlib import Path

from intake.edges.store.library import Library
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.details import copy_details
from intake.flow.lookup.find_lines import find_anything
from intake.flow.lookup.resolve import find_box
from intake.flow.lookup.wording import where_words
from intake.flow.moving import box_lifecycle
from intake.flow.moving.pace import estimate, pace_words
from intake.flow.moving.progress import Progress, box_progress, progress
from intake.flow.shelves.find_room import put
from intake.flow.unpacking import query_pile
from intake.flow.unpacking.book_scan import option_for
from intake.flow.unpacking.scan_results import Disposition
from intake.flow.unpacking.station import book_line
from intake.model.boxes import BoxState
from tests.flow.conftest import NOW, import_text, queued


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


def test_a_copy_found_in_another_box_than_its_list_says_is_told_so_wherever_it_is_named(arrived: Library) -> None:
    """It is listed in box 2 and came out of box 1: no screen may say that it was in box 2."""
    waits = queued(book_line(arrived, "1", "978-3-16-148410-0", request="r1", station="test", now=NOW)).query.id
    with arrived.reading() as records:
        listed = query_pile.find_query(records, waits).options[0]
    result = query_pile.decide(arrived, waits, listed, station="test", now=NOW)
    option = option_for(result.edition, result.copy)
    copy, box = result.copy.accession, "B2-47"
    first, second = now(arrived).boxes
    assert (second.box.number, second.listed, second.found, second.elsewhere) == (box, 1, 1, 1)
    assert (first.elsewhere, first.found, first.surplus) == (0, 0, 0)
    assert option.act is Disposition.AGAIN
    box_lifecycle.check_in(arrived, "2", station="test")
    waits = queued(book_line(arrived, "2", "978-3-16-148410-0", request="r2", station="test", now=NOW)).query.id
    query_pile.decide(arrived, waits, option, station="test", now=NOW)  # seen again: it stays where it came from
    with arrived.reading() as records:
        assert where_words(records, result.copy) == "out of box B1-56, listed in box B2-47"
        assert [line.where for line in find_anything(records, copy, 5).lines] == [where_words(records, result.copy)]
        details = copy_details(records, result.copy)
    assert details is not None
    assert details.out_of == "B1-56"
    put(arrived, copy, station="test", now=NOW)
    assert now(arrived).boxes[1].elsewhere == 1
