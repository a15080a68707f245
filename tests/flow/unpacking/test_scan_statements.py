"""What one scan asks of the library; and what two stations that show one copy at the same moment are told."""

from dataclasses import replace

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.sightings import sightings_of
from intake.errors import ChangedMeanwhileError
from intake.flow.undo import undo
from intake.flow.unpacking import query_pile
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.scan_results import Booked, BookedBefore, Disposition, Option, Question, Scan
from intake.model.editions import Copy
from intake.model.matches import MatchVerdict
from tests.counting import count_statements
from tests.flow.conftest import NOW, booked, queued

FERNS, GULLS, QUARTERLY = "9780306406157", "0-8044-2957-X", "977026435900-8 05"


AT_MOST = 12


@pytest.mark.parametrize("text", [GULLS, QUARTERLY, "978-0-306-40615-8", "9790000000001", FERNS])
def test_one_scan(arrived: Library, text: str) -> None:
    with count_statements(arrived) as count:
        book_scan(arrived, "B1-56", Scan(text, "r1"), station="test", now=NOW)
    assert (count.transactions, count.writing) == (2, 1)
    assert count.statements <= AT_MOST, count.asked


def test_one_decision_of_the_query_pile(arrived: Library) -> None:
    query = queued(book_scan(arrived, "1", Scan("1-85798-218-5", "r1"), station="test", now=NOW)).query
    with arrived.reading() as records:
        option = query_pile.find_query(records, query.id).options[-1]
    with count_statements(arrived) as count:
        query_pile.decide(arrived, query.id, option, station="test", now=NOW)
    assert (count.transactions, count.writing) == (2, 1)
    assert count.statements <= 2 * AT_MOST, count.asked


def test_the_pile_asks_no_more_for_many_queries_than_for_one(arrived: Library) -> None:
    def pile() -> int:
        with count_statements(arrived) as count, arrived.reading() as records:
            query_pile.pile(records)
        return count.statements

    few = 0
    for nth in range(30):
        scan = Scan((FERNS, GULLS, "1-85798-218-5")[nth % 3], f"r{nth}", trusted=False)
        queued(book_scan(arrived, "1", scan, station="test", now=NOW))
        few = few or pile()
    assert pile() == few


def test_taking_back_asks_no_more_in_a_long_ledger(arrived: Library) -> None:
    def back(nth: int) -> int:
        booked(book_scan(arrived, "1", Scan(FERNS, f"scan-{nth}"), station="test", now=NOW))
        with count_statements(arrived) as count:
            undo(arrived, station="test")
        return count.statements

    assert len({back(nth) for nth in range(12)}) == 1


def test_a_doubtful_reading_asks_no_more(arrived: Library) -> None:
    scan = Scan(FERNS, "r1", trusted=False, others=("9783161484100", "9781857982183"))
    with count_statements(arrived) as count:
        queued(book_scan(arrived, "B1-56", scan, station="test", now=NOW))
    assert (count.transactions, count.writing) == (2, 1)
    assert count.statements <= 12


def test_the_second_of_two_stations_is_asked_about_what_the_first_has_booked(arrived: Library) -> None:
    """The first books the copy while the second station's person is answering."""
    questions: list[Question] = []

    def other_station_first(question: Question) -> Option | None:
        questions.append(question)
        if len(questions) == 1:
            booked(book_scan(arrived, "1", Scan(FERNS, "first"), station="phone-1", now=NOW))
            return question.options[0]
        return None

    second = Scan(FERNS, "second", trusted=False)
    result = queued(book_scan(arrived, "1", second, choose=other_station_first, station="phone-2", now=NOW))
    assert result.identification.verdict is MatchVerdict.SECOND_COPY
    assert [question.options[0].act for question in questions] == [Disposition.BOOK, Disposition.AGAIN]
    copy = questions[0].options[0].copy
    assert isinstance(copy, Copy)
    with arrived.reading() as records:
        assert [sighting.station for sighting in sightings_of(records, copy.accession)] == ["phone-1"]


def test_a_copy_that_changes_again_and_again_is_refused_with_a_reason(arrived: Library) -> None:
    def stale(question: Question) -> Option | None:
        option = question.options[0]
        assert option.copy is not None
        return replace(option, copy=replace(option.copy, note="as another station has it"))

    with pytest.raises(ChangedMeanwhileError, match="was changed meanwhile by another station"):
        book_scan(arrived, "1", Scan(FERNS, "r1", trusted=False), choose=stale, station="test", now=NOW)


def test_the_same_request_sent_twice_at_once_is_answered_as_booked_before(arrived: Library) -> None:
    def sent_again(question: Question) -> Option | None:
        booked(book_scan(arrived, "1", Scan(FERNS, "r1"), station="test", now=NOW))
        return None

    result = book_scan(arrived, "1", Scan(FERNS, "r1", trusted=False), choose=sent_again, station="test", now=NOW)
    assert isinstance(result, BookedBefore)
    assert isinstance(result.earlier, Booked)
