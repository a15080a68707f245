"""Deciding a query: an answer is what was shown, whatever became of the library since."""

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.errors import QueriesWaitError, RefusedError
from intake.flow.moving import box_lifecycle
from intake.flow.undo import undo
from intake.flow.unpacking import query_pile
from intake.flow.unpacking.query_pile import named_option
from intake.flow.unpacking.scan_results import Disposition, option_name
from intake.flow.unpacking.station import book_line
from intake.model.editions import Copy, CopyState
from tests.flow.conftest import NOW, booked, queued

GULLS = "0-8044-2957-X"


def names(library: Library, query: int) -> list[str]:
    with library.reading() as records:
        return [option_name(option) for option in query_pile.find_query(records, query).options]


def accession(library: Library, key: str) -> str:
    with library.reading() as records:
        return next(copy.accession for copy, edition in all_copies(records) if edition.key == key)


def test_an_answer_keeps_its_name_when_others_come_before_it(arrived: Library) -> None:
    """What stood first on the pile when it was shown stands second now; its name still books what was shown."""
    waiting = queued(book_line(arrived, "1", "ferns", request="r1", station="hall", now=NOW)).query.id
    before = names(arrived, waiting)
    assert before[0] == f"listed:{accession(arrived, 'F1')}"
    # Another station takes that very copy out of the box: the list moves, its first place is another book now.
    booked(book_line(arrived, "1", "9780306406157", request="r2", station="door", now=NOW))
    after = names(arrived, waiting)
    assert after[0] != before[0], "the place in the list would name another book"
    with arrived.reading() as records, pytest.raises(RefusedError, match="not possible any more"):
        named_option(records, before[0])
    other = f"listed:{accession(arrived, 'F2')}"
    assert other in before
    assert other in after
    assert before.index(other) != after.index(other)
    with arrived.reading() as records:
        option = named_option(records, other)
    decided = query_pile.decide(arrived, waiting, option, station="hall", now=NOW)
    assert (decided.copy.accession, decided.edition.key) == (accession(arrived, "F2"), "F2")


def test_any_copy_and_a_new_one_of_any_edition_may_be_named(arrived: Library) -> None:
    gulls = accession(arrived, "G1")
    with arrived.reading() as records:
        edition = records.get(Copy, gulls).edition_id  # type: ignore[union-attr] # it is recorded
        assert named_option(records, f"listed:{gulls}").act is Disposition.BOOK
        assert named_option(records, f"listed:{gulls[1:].partition('-')[0]}").copy is not None, (
            "typed without its letter"
        )
        assert named_option(records, f"new:{edition}").act is Disposition.NEW_COPY
        for name in (
            "2",
            "new:99999",
            "new:x",
            "new:" + "9" * 40,
            f"again:{gulls}",
            f"other:{gulls}",
            "listed:A99-70",
            "",
        ):
            with pytest.raises(RefusedError):
                named_option(records, name)


def test_a_box_is_not_finished_over_queries_that_may_be_what_is_missing(arrived: Library) -> None:
    queued(book_line(arrived, "1", "something illegible", request="r1", station="hall", now=NOW))
    with pytest.raises(RefusedError, match="query 1 waiting, which may be among the 4"):
        box_lifecycle.finish(arrived, "1", now=NOW, station="hall")
    _, missing = box_lifecycle.finish(arrived, "1", despite_queries=True, now=NOW, station="hall")
    assert len(missing) == 4


def test_a_check_in_is_not_taken_back_under_what_was_taken_out(arrived: Library) -> None:
    with arrived.reading() as records:
        seq = records.connection.exec_driver_sql("SELECT max(seq) FROM ledger").scalar_one()
    found = booked(book_line(arrived, "1", GULLS, request="r1", station="hall", now=NOW))
    with pytest.raises(RefusedError, match="something was taken out of box B1-56"):
        undo(arrived, seq, station="hall")
    undo(arrived, found.entry.seq, station="hall")
    waits = queued(book_line(arrived, "1", "illegible", request="r2", station="hall", now=NOW))
    with pytest.raises(RefusedError, match="something was taken out"):
        undo(arrived, seq, station="hall")
    undo(arrived, waits.entry.seq, station="hall")
    _, by = undo(arrived, seq, station="hall")
    undo(arrived, by.seq, station="hall")  # it has arrived after all
    booked(book_line(arrived, "1", GULLS, request="r3", station="hall", now=NOW))
    with arrived.reading() as records:
        copy = records.get(Copy, found.copy.accession)
    assert copy is not None
    assert copy.state is CopyState.UNPACKED


def test_finishing_over_queries_is_a_refusal_of_its_own(arrived: Library) -> None:
    """A surface can name its own way to finish the box in spite of them."""
    queued(book_line(arrived, "1", "something illegible", request="r1", station="hall", now=NOW))
    with pytest.raises(QueriesWaitError):
        box_lifecycle.finish(arrived, "1", now=NOW, station="hall")
