"""A scan on a page that is not an open box's: what is offered, and what is put on the shelf without asking."""

from pathlib import Path

from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import ledger_head
from intake.edges.store.queries.shelves import copies_on_shelves, shelves_in_order
from intake.flow.lists.import_list import ListKind
from intake.flow.moving.box_lifecycle import finish
from intake.flow.moving.reconcile import reconcile
from intake.flow.papers.face_papers import gather_face_labels
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperFormat, PaperSource
from intake.flow.shelves.shelve_copy import Shelved, shelve
from intake.flow.undo import undo
from intake.flow.unpacking.scan_anywhere import ShelvedScan, Shown, look, scanned_text, shelve_scan
from intake.flow.unpacking.scan_results import LabelScan
from intake.flow.unpacking.station import book_line
from intake.model.editions import Copy, CopyState
from intake.model.identifiers import OwnKind
from tests.flow.conftest import NOW, booked, import_text

FERNS_1, FERNS_2, GULLS_1, GULLS_2 = "9780306406157", "9783161484100", "9780804429573", "9781857982183"


def shelf(library: Library, nth: int = 0) -> str:
    with library.reading() as records:
        return shelves_in_order(records)[nth].number


def shown(library: Library, text: str) -> Shown:
    result = look(library, text)
    assert isinstance(result, Shown), result
    return result


def put(library: Library, text: str, request: str = "r", on: str = "") -> object:
    return shelve_scan(library, on or shelf(library), text, request=request, station="test", now=NOW)


def unpacked(library: Library, text: str) -> Copy:
    return booked(book_line(library, "1", text, request=text, station="test", now=NOW)).copy


def row(library: Library, number: str) -> list[str]:
    with library.reading() as records:
        return [copy.accession for copy, _ in copies_on_shelves(records, [number])[number]]


def test_a_packed_copy_is_offered_to_its_box_once_that_has_come(library: Library) -> None:
    (offer,) = shown(library, FERNS_1).offers
    assert (offer.box, offer.waits_in, offer.room) == (None, "B1-56", None)


def test_what_is_offered_of_a_copy_is_what_can_be_done_with_it(arrived: Library) -> None:
    before = ledger_head_of(arrived)
    (offer,) = shown(arrived, FERNS_1).offers
    assert (offer.box, offer.waits_in, offer.room) == ("B1-56", None, None)
    (closed,) = shown(arrived, FERNS_2).offers
    assert (closed.box, closed.waits_in) == (None, "B2-47")
    assert ledger_head_of(arrived) == before, "looking changes nothing"
    copy = unpacked(arrived, FERNS_1)
    (loose,) = shown(arrived, FERNS_1).offers
    assert (loose.copy, loose.box, loose.waits_in) == (copy, None, None)
    assert loose.room is not None
    assert loose.room.shelf is not None
    assert loose.room.shelf.place.number == shelf(arrived), "the shelf of plants"


def test_a_missing_copy_that_turns_up_can_be_shelved_as_found_since(arrived: Library) -> None:
    finish(arrived, "1", station="test")
    (offer,) = shown(arrived, FERNS_1).offers
    assert (offer.copy.state, offer.box, offer.waits_in) == (CopyState.MISSING, None, None)
    assert offer.missing_from == "B1-56"
    assert offer.room is not None
    assert offer.room.shelf is not None
    assert offer.room.shelf.place.number == shelf(arrived), "the shelf of plants"
    on_a_shelf = put(arrived, FERNS_1, on=shelf(arrived, 1))
    assert isinstance(on_a_shelf, Shown), "its edition's number may be another book's: a person says it is found"
    assert on_a_shelf.shelf is not None
    assert on_a_shelf.shelf.number == shelf(arrived, 1)
    shelve(arrived, offer.copy.accession, shelf(arrived), station="test", now=NOW)
    with arrived.reading() as records:
        found = reconcile(records).found_since
    assert [line.number for line in found] == [offer.copy.accession]


def ledger_head_of(library: Library) -> object:
    with library.reading() as records:
        return ledger_head(records)


def test_an_edition_without_a_copy_and_words_of_a_title(arrived: Library) -> None:
    nothing = shown(arrived, "9780110002224")
    assert (nothing.offers, nothing.editions) == ((), ())
    assert nothing.why
    of_its_title = shown(arrived, GULLS_2)
    assert [edition.key for edition in of_its_title.editions] == ["G2"]
    assert {offer.edition.key for offer in shown(arrived, "ferns outer").offers} >= {"F1"}


def test_of_many_copies_the_first_are_shown_and_the_rest_counted(arrived: Library, tmp_path: Path) -> None:
    import_text(arrived, tmp_path, ListKind.COPIES, "key\n" + "G2\n" * 9)
    result = shown(arrived, GULLS_2)
    assert len(result.offers) + result.more == 9
    assert result.more > 0


def test_labels_and_the_address_on_a_box_are_labels_everywhere(arrived: Library) -> None:
    number = shelf(arrived)
    for result in (look(arrived, number), put(arrived, number), look(arrived, f" {number.lower()} ")):
        assert isinstance(result, LabelScan)
        assert (result.kind, result.number, bool(result.words)) == (OwnKind.PLACE, number, True)
    with arrived.reading() as records:
        options = PaperOptions(boxes=("1",), desk_address="http://192.168.0.20:8710")
        (label,) = gather_face_labels(PaperSource(arrived, records, NOW.date(), PaperFormat.PDF), options)
    assert scanned_text(label.opens) == "B1-56"
    box = look(arrived, label.opens)
    assert isinstance(box, LabelScan)
    assert (box.kind, box.number) == (OwnKind.BOX, "B1-56")


def test_the_one_copy_of_a_number_is_put_on_the_shelf_and_taken_back_as_one(arrived: Library) -> None:
    copy = unpacked(arrived, FERNS_1)
    done = put(arrived, FERNS_1, "first")
    assert isinstance(done, ShelvedScan)
    assert isinstance(done.shelved, Shelved)
    assert row(arrived, shelf(arrived)) == [copy.accession]
    again = put(arrived, FERNS_1, "second")
    assert isinstance(again, ShelvedScan)
    assert (again.entry, again.shelved) == (None, None), "it stands there already"
    repeated = put(arrived, FERNS_1, "first")
    assert isinstance(repeated, ShelvedScan)
    assert repeated.entry == done.entry, "a request that comes twice"
    assert done.entry is not None
    undo(arrived, done.entry.seq, station="test")
    assert row(arrived, shelf(arrived)) == []


def test_its_own_flag_names_the_copy_where_its_number_names_two(arrived: Library, tmp_path: Path) -> None:
    copy = unpacked(arrived, FERNS_1)
    import_text(arrived, tmp_path, ListKind.COPIES, "key\nF1\n")
    asked = put(arrived, FERNS_1)
    assert isinstance(asked, Shown)
    assert len(asked.offers) == 2
    assert row(arrived, shelf(arrived)) == []
    assert isinstance(put(arrived, copy.accession), ShelvedScan)
    assert row(arrived, shelf(arrived)) == [copy.accession]


def test_what_is_packed_missing_or_only_like_a_number_is_never_shelved_unasked(
    arrived: Library, tmp_path: Path
) -> None:
    """The check digits of 9780306406157 and 9780306401657 agree: 6 and 1, which differ by 5, swapped (GS1 7.9.1)."""
    unpacked(arrived, FERNS_1)
    twin = "9780306401657"
    import_text(arrived, tmp_path, ListKind.EDITIONS, f"key,number,title\nT1,{twin},Another Book\n")
    for text in (FERNS_1, GULLS_1, FERNS_2, "ferns of the outer isles", "9780306406158"):
        result = put(arrived, text)
        assert isinstance(result, Shown), text
    with arrived.reading() as records:
        states = {copy.state for copy in records.all(Copy)}
    assert CopyState.SHELVED not in states
