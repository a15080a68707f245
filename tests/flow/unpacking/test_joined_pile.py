"""A number that waits twice is one question; whether it is one book is for a person to say."""

from stdnum import ean

from intake.edges.store.library import Library
from intake.edges.store.queries.sightings import list_queries
from intake.flow.lookup.status import waiting_queries
from intake.flow.undo import undo
from intake.flow.unpacking import query_pile
from intake.flow.unpacking.joined_pile import next_waiting, pile_page
from intake.flow.unpacking.station import book_line
from intake.model.changes import Action, ActionKind, made
from intake.model.sightings import Query, QueryDecision, QueryState
from tests.counting import count_statements
from tests.flow.conftest import NOW, queued

UNKNOWN = "9789999999991"


def _number(nth: int) -> str:
    """Return a number with a right check digit that no edition has."""
    return f"97899999999{nth}{ean.calc_check_digit(f'97899999999{nth}')}"


def wait(library: Library, text: str, request: str) -> int:
    return queued(book_line(library, "1", text, request=request, station="hall", now=NOW)).query.id


def states(library: Library) -> dict[int, tuple[QueryState, str, int | None]]:
    with library.reading() as records:
        return {query.id: (query.state, query.decision, query.same_as) for query in list_queries(records)}


def test_the_same_number_in_one_box_is_asked_once_and_leaves_the_pile_in_one_step(arrived: Library) -> None:
    first, other, again = wait(arrived, UNKNOWN, "a"), wait(arrived, "ferns", "b"), wait(arrived, UNKNOWN, "c")
    with arrived.reading() as records:
        page = pile_page(records, 0)
        option = next(joined for joined in page.questions if joined.item.query.id == other).item.options[0]
    assert (page.total, page.queries) == (2, 3)
    assert [(joined.item.query.id, [twin.query.id for twin in joined.twins]) for joined in page.questions] == [
        (first, [again]), (other, []),
    ]  # fmt: skip
    assert all(twin.likely for joined in page.questions for twin in joined.twins)
    decided = query_pile.decide(arrived, first, option, same=[again], station="hall", now=NOW)
    after = states(arrived)
    assert after[first][:2] == (QueryState.DECIDED, QueryDecision.LISTED_COPY)
    assert after[again] == (QueryState.DECIDED, QueryDecision.SAME_BOOK, first)
    assert after[other][0] is QueryState.WAITING
    with arrived.reading() as records:
        assert next_waiting(waiting_queries(records), first) == other
    undo(arrived, decided.entry.seq, station="hall")
    assert {state for state, _, _ in states(arrived).values()} == {QueryState.WAITING}, "one step takes all of it back"


def test_a_number_from_another_box_is_not_proposed_as_the_same_book(arrived: Library) -> None:
    first = wait(arrived, UNKNOWN, "a")
    query = Query(id=99, at=NOW, station="hall", reason="", number=UNKNOWN, box="B2-47")
    arrived.apply(Action(ActionKind.QUEUE_QUERY, "99", "hall"), made(query))
    with arrived.reading() as records:
        (joined,) = pile_page(records, 0).questions
    assert joined.item.query.id == first
    assert [(twin.query.id, twin.likely) for twin in joined.twins] == [(99, False)]


def test_a_page_of_questions_takes_no_more_statements_than_one(arrived: Library) -> None:
    wait(arrived, UNKNOWN, "a")
    with arrived.reading() as records, count_statements(arrived) as one:
        pile_page(records, 0)
    for nth in range(2, 9):
        query = Query(id=nth + 50, at=NOW, station="hall", reason="", number=_number(nth), box="B1-56")
        arrived.apply(Action(ActionKind.QUEUE_QUERY, str(nth), "hall"), made(query))
    with arrived.reading() as records, count_statements(arrived) as several:
        assert pile_page(records, 0).total == 8
    assert several.statements == one.statements
