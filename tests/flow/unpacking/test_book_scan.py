"""One thing after the other out of a box: what is booked, what is asked, what waits, and what never happens twice."""

from dataclasses import replace

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.editions import edition_by_key, editions_by_number
from intake.edges.store.queries.ledger_entries import latest_entries, ledger_head
from intake.edges.store.queries.sightings import list_queries, sightings_of
from intake.errors import RefusedError
from intake.flow.lookup.reason_words import query_reason, reasons_words
from intake.flow.moving import box_lifecycle
from intake.flow.undo import undo
from intake.flow.unpacking import query_pile
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.scan_results import (
    BookedBefore,
    Choose,
    Disposition,
    Option,
    Question,
    Scan,
    ScanResult,
    defer_to_queue,
    option_name,
    scan_of,
)
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import Copy, CopyState, Edition
from intake.model.identifiers import NumberKind, OwnKind
from intake.model.matches import MatchVerdict
from intake.model.readings import Reading
from intake.model.reasons import Reason, ReasonKind
from intake.model.sightings import Picture, QueryState
from tests.flow.conftest import NOW, booked, queued

FERNS_1, FERNS_2, GULLS_1, GULLS_2 = "9780306406157", "9783161484100", "9780804429573", "9781857982183"
UNKNOWN = "9780110002224"
PICTURE = Picture(sha256="0" * 64, name="back.jpg", media_type="image/jpeg", width_px=640, height_px=480)


def unpack(
    library: Library, text: str, request: str = "", *, trusted: bool = True, choose: Choose | None = None
) -> ScanResult:
    scan = Scan(text, request or text, trusted=trusted)
    return book_scan(library, "1", scan, choose=choose or defer_to_queue, station="test", now=NOW)


def copy_of(library: Library, key: str) -> Copy:
    with library.reading() as records:
        edition = edition_by_key(records, key)
        assert edition is not None
        (copy,) = copies_of_editions(records, [edition.id])
    return copy


def test_an_expected_copy_is_booked_without_asking(arrived: Library) -> None:
    outcome = booked(unpack(arrived, FERNS_1))
    assert outcome.act is Disposition.BOOK
    assert outcome.copy == copy_of(arrived, "F1")
    assert outcome.copy.state is CopyState.UNPACKED
    assert outcome.advice.where.startswith("Study · A · 1")
    assert any("Volume 2 is still in box" in remark for remark in outcome.advice.remarks)
    with arrived.reading() as records:
        (sighting,) = sightings_of(records, outcome.copy.accession)
    assert (sighting.at, sighting.station, sighting.number) == (NOW, "test", FERNS_1)


def test_the_same_request_twice_changes_nothing(arrived: Library) -> None:
    first = booked(unpack(arrived, FERNS_1, "scan-1"))
    with arrived.reading() as records:
        head = ledger_head(records)
    again = unpack(arrived, FERNS_1, "scan-1")
    assert isinstance(again, BookedBefore)
    assert again.entry == first.entry
    assert again.earlier is not None
    assert booked(again.earlier).copy == first.copy
    with arrived.reading() as records:
        assert ledger_head(records) == head


def test_a_second_book_with_the_number_is_never_booked_by_itself(arrived: Library) -> None:
    unpack(arrived, FERNS_1, "scan-1")
    second = queued(unpack(arrived, FERNS_1, "scan-2"))
    assert second.identification.verdict is MatchVerdict.SECOND_COPY


@pytest.mark.parametrize("text", [FERNS_1, "9780306406158"], ids=["the number", "a digit of it misread"])
def test_a_book_held_up_twice_is_first_of_all_that_book_again(arrived: Library, text: str) -> None:
    """Another copy of it is listed in box 2."""
    with arrived.reading() as records:
        edition = edition_by_key(records, "F1")
    assert edition is not None
    other = Copy(accession=Provisional().number(OwnKind.COPY), edition_id=edition.id, box=copy_of(arrived, "F2").box)
    arrived.apply(Action(ActionKind.RECORD_NEW_COPY, other.accession, "test"), made(other))
    first = booked(unpack(arrived, FERNS_1, "scan-1")).copy
    waiting = queued(unpack(arrived, text, "scan-2"))
    assert Reason(ReasonKind.SEEN_HERE, copy=first.accession) in waiting.identification.candidates[0].reasons
    with arrived.reading() as records:
        (item,) = query_pile.pile(records)
    assert option_name(item.options[0]) == f"again:{first.accession}"
    assert [option.act for option in item.options] == [Disposition.AGAIN, Disposition.BOOK, Disposition.NEW_COPY]
    seen = query_pile.decide(arrived, item.query.id, item.options[0], station="test", now=NOW).copy
    assert seen == first


def test_a_number_that_cannot_be_trusted_is_asked_about(arrived: Library) -> None:
    asked: list[Question] = []

    def first_option(question: Question) -> Option | None:
        asked.append(question)
        return question.options[0]

    booked(unpack(arrived, FERNS_1, trusted=False, choose=first_option))
    assert len(asked) == 1
    queued(unpack(arrived, GULLS_1, trusted=False))
    assert copy_of(arrived, "G1").state is CopyState.PACKED


def test_a_doubtful_reading_is_asked_about_with_all_that_it_may_be(arrived: Library) -> None:
    """The number that fits best is in no catalog, the second is expected in the box, the third was seen elsewhere."""
    reading = Reading(UNKNOWN, NumberKind.ISBN, False, 0.9, ("grey",), candidates=(UNKNOWN, FERNS_1, GULLS_1))
    assert scan_of(replace(reading, accepted=True), PICTURE, "sure").others == ()
    outcome = queued(book_scan(arrived, "1", scan_of(reading, PICTURE, "one"), station="test", now=NOW))
    assert outcome.query.others == f"{FERNS_1} {GULLS_1}"
    with arrived.reading() as records:
        (item,) = query_pile.pile(records)
    assert [candidate.edition.key for candidate in item.identification.candidates][:2] == ["F1", "G1"]
    assert "978-0-306-40615-7" in query_reason(item.query)
    option = item.options[0]
    copy = query_pile.decide(arrived, item.query.id, option, station="test", now=NOW).copy
    assert (copy.state, option.edition.key) == (CopyState.UNPACKED, "F1")


def test_verdicts_are_told_apart(arrived: Library) -> None:
    def asked(text: str) -> MatchVerdict:
        return queued(unpack(arrived, text)).identification.verdict

    assert asked(FERNS_2) is MatchVerdict.ELSEWHERE
    assert asked(GULLS_2) is MatchVerdict.OTHER_EDITION
    assert asked(UNKNOWN) is MatchVerdict.UNKNOWN
    assert asked("977026435900-8 06") is MatchVerdict.OTHER_EDITION
    expected = booked(unpack(arrived, "977026435900-8 05"))
    assert expected.identification.verdict is MatchVerdict.EXPECTED


def test_a_title_is_a_question_with_the_open_box_first(arrived: Library) -> None:
    asked: list[Question] = []

    def first_option(question: Question) -> Option | None:
        asked.append(question)
        return question.options[0]

    outcome = booked(unpack(arrived, "old charts", choose=first_option))
    assert asked[0].options[0].edition.key == "O1"
    assert outcome.copy.state is CopyState.UNPACKED


def test_a_wrong_digit_is_explained_and_the_catalogs_number_offered(arrived: Library) -> None:
    outcome = queued(unpack(arrived, "978-0-306-40615-8"))
    assert "978-0-306-40615-7 would be valid (7 instead of 8 at digit 13)" in reasons_words(outcome.why)
    assert outcome.identification.candidates[0].edition.key == "F1"


def test_a_swap_that_the_check_digit_misses_is_asked_about(arrived: Library) -> None:
    """9783161484100 and 9783611484100 both pass modulo 10: neighbours that differ by 5 (GS1 General Specifications)."""
    outcome = queued(unpack(arrived, "9783611484100"))
    assert outcome.identification.candidates[0].edition.key == "F2"


def test_the_pile_is_decided_later_and_undone(arrived: Library) -> None:
    queued(unpack(arrived, GULLS_2))
    with arrived.reading() as records:
        (item,) = query_pile.pile(records)
    option = next(option for option in item.options if option.act is Disposition.NEW_COPY)
    copy = query_pile.decide(arrived, item.query.id, option, station="test", now=NOW).copy
    assert copy.state is CopyState.UNPACKED
    with pytest.raises(RefusedError, match="decided before"):
        query_pile.decide(arrived, item.query.id, option, station="test", now=NOW)
    undo(arrived, station="test")
    with arrived.reading() as records:
        assert records.get(Copy, copy.accession) is None
        assert [query.state for query in list_queries(records)] == [QueryState.WAITING]


def test_a_query_becomes_a_new_edition_or_no_book(arrived: Library) -> None:
    unknown, nothing = queued(unpack(arrived, UNKNOWN)), queued(unpack(arrived, "zzz"))
    edition = Edition(id=0, title="Lichens by Lamplight", number=UNKNOWN)
    copy = query_pile.decide_new_edition(arrived, unknown.query.id, edition, station="test", now=NOW).copy
    query_pile.set_aside(arrived, nothing.query.id, station="test")
    with arrived.reading() as records:
        assert not query_pile.pile(records)
        assert [held.title for held in editions_by_number(records, UNKNOWN)] == ["Lichens by Lamplight"]
        assert records.get(Copy, copy.accession) == copy


def test_a_copys_own_flag_books_it(arrived: Library) -> None:
    accession = copy_of(arrived, "O1").accession
    assert booked(unpack(arrived, accession)).copy == copy_of(arrived, "O1")


def test_a_box_that_has_not_arrived_is_refused(library: Library) -> None:
    with pytest.raises(RefusedError, match="checked in"):
        unpack(library, FERNS_1)
    assert copy_of(library, "F1").state is CopyState.PACKED


def test_finishing_says_what_is_missing_and_a_find_brings_it_back(arrived: Library) -> None:
    unpack(arrived, FERNS_1)
    _, missing = box_lifecycle.finish(arrived, "1", station="test")
    assert {copy.accession for copy in missing} == {copy_of(arrived, key).accession for key in ("G1", "P5", "O1")}
    with pytest.raises(RefusedError, match="finished"):
        unpack(arrived, GULLS_1)
    undo(arrived, station="test")
    assert copy_of(arrived, "G1").state is CopyState.PACKED
    booked(unpack(arrived, GULLS_1))


def test_every_step_is_in_the_ledger_and_the_chain_is_whole(arrived: Library) -> None:
    unpack(arrived, FERNS_1)
    with arrived.reading() as records:
        kinds = [entry.action.kind for entry in latest_entries(records)]
        assert kinds[:3] == [ActionKind.UNPACK_COPY, ActionKind.CHECK_IN_BOX, ActionKind.CLOSE_BOX]
        assert verify_chain(records) is None
