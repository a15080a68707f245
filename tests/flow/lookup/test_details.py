"""Everything recorded of one edition, one copy or one box; the state of the library. All invented."""

from pathlib import Path

import cv2
import numpy as np

from intake.edges.store.library import Library
from intake.edges.store.queries.editions import edition_by_key
from intake.edges.store.queries.ledger_entries import ledger_head
from intake.flow.condition.photograph_copy import photograph_copy
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.details import copy_details, edition_details, kept_picture, last_step
from intake.flow.lookup.resolve import find_box, find_copy
from intake.flow.lookup.status import entries_after, library_status, waiting_count, waiting_queries
from intake.flow.moving import box_lifecycle
from intake.flow.unpacking.station import book_line
from intake.model.changes import ActionKind
from intake.model.editions import Copy, CopyState
from tests.flow.conftest import NOW, import_text, queued


def picture(shade: int) -> bytes:
    return cv2.imencode(".png", np.full((30, 40), shade, np.uint8))[1].tobytes()


def test_an_edition_with_its_printings_its_set_and_its_history(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.PRINTINGS, "key,printing\nF1,1\nF1,2\n")
    import_text(library, tmp_path, ListKind.EDITIONS, "key,title,year\nF1,Ferns of the Outer Isles,1991\n")
    with library.reading() as records:
        ferns, gulls = edition_by_key(records, "F1"), edition_by_key(records, "G1")
        assert ferns is not None
        assert gulls is not None
        of_set, alone = edition_details(records, ferns.id), edition_details(records, gulls.id)
        assert edition_details(records, 999) is None
    assert of_set is not None
    assert alone is not None
    assert (of_set.edition, [copy.accession for copy in of_set.line.copies]) == (ferns, ["A1-59"])
    assert [printing.ordinal for printing in of_set.printings] == [1, 2]
    assert of_set.book_set is not None
    assert (of_set.book_set.title, [volume.key for volume in of_set.volumes]) == ("Ferns", ["F1", "F2"])
    assert len(of_set.entries) == 2, "it was imported, and altered by a later list"
    assert (alone.book_set, alone.volumes, alone.printings, len(alone.entries)) == (None, (), (), 1)


def test_a_copy_with_its_printing_its_values_and_its_pictures_each_once(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.PRINTINGS, "key,printing\nG2,2\n")
    import_text(library, tmp_path, ListKind.COPIES, "box,key,printing\n3,G2,2\n")
    for shade in (10, 200, 10):
        photograph_copy(library, "1", picture(shade), station="test", now=NOW)
    with library.reading() as records:
        valued, printed = (copy_details(records, find_copy(records, text)) for text in ("1", "6"))
        assert copy_details(records, Copy(accession="A9-95", edition_id=999, state=CopyState.PACKED)) is None
        assert valued is not None
        assert printed is not None
        kept = [kept_picture(records, sha256) for sha256 in valued.pictures]
        assert kept_picture(records, "0" * 64) is None
    assert (valued.edition.key, valued.printing, len(valued.valuations)) == ("F1", None, 1)
    assert printed.printing is not None
    assert (printed.printing.ordinal, printed.valuations, printed.pictures) == (2, (), ())
    assert [(one.width_px, one.height_px) for one in kept if one is not None] == [(40, 30), (40, 30)]


def test_the_last_step_of_a_box_is_its_own(arrived: Library) -> None:
    with arrived.reading() as records:
        first, second = (last_step(records, find_box(records, text)) for text in ("1", "2"))
    assert first is not None
    assert second is not None
    assert (first.action.kind, second.action.kind) == (ActionKind.CHECK_IN_BOX, ActionKind.IMPORT_COPIES)


def test_the_state_of_a_library(arrived: Library) -> None:
    query = queued(book_line(arrived, "1", "9790000000001", request="r1", station="test", now=NOW)).query
    with arrived.reading() as records:
        status = library_status(records)
        assert status.head == ledger_head(records)
        assert (status.counts.entries, status.counts.waiting, waiting_count(records)) == (6, 1, 1)
        assert waiting_queries(records) == (query,)
        assert [entry.seq for entry in entries_after(records, 3, 10)] == [4, 5, 6]
        assert [entry.seq for entry in entries_after(records, 3, 2)] == [5, 6]
        assert entries_after(records, 6, 10) == ()
    box_lifecycle.finish(arrived, "1", despite_queries=True, station="test")
    with arrived.reading() as records:
        assert [entry.seq for entry in entries_after(records, 6, 10)] == [7]
