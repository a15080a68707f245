"""The ledger told: everything, newest first, or one copy, oldest first."""

from intake.edges.store.library import Library
from intake.flow.lookup.history import history
from intake.flow.unpacking.station import book_line
from tests.flow.conftest import NOW, booked


def test_one_copy_is_told_from_its_first_entry_and_nothing_else(arrived: Library) -> None:
    found = booked(book_line(arrived, "1", "9780306406157", request="r1", station="hall", now=NOW))
    with arrived.reading() as records:
        told = history(records, found.copy.accession, 1)
    assert [line.what for line in told] == ["import copies", "unpack copy"]
    assert [line.changed for line in told] == ["", "state: 'packed' to 'unpacked'"]
    assert told[1].station == "hall"


def test_everything_is_told_from_the_newest_entry_as_far_as_asked(arrived: Library) -> None:
    with arrived.reading() as records:
        whole = history(records, None, 1000)
        assert history(records, None, 2) == whole[:2]
    assert [line.seq for line in whole] == list(range(len(whole), 0, -1))
