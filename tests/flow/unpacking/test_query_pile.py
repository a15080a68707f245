"""The query pile: what a decision writes, what it answers, and what may not be decided."""

from dataclasses import replace

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.editions import edition_by_key
from intake.edges.store.queries.ledger_entries import latest_entries, ledger_head
from intake.edges.store.queries.sightings import list_queries, sightings_of
from intake.errors import RefusedError
from intake.flow.unpacking import query_pile
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.query_pile import Decided, PileItem
from intake.flow.unpacking.scan_results import Disposition, Scan
from intake.model.changes import ActionKind
from intake.model.editions import Copy, CopyState, Edition
from intake.model.matches import MatchVerdict
from intake.model.sightings import Picture, Query, QueryDecision, QueryState, ReadingMethod
from tests.flow.conftest import NOW, booked, queued

FERNS_1, GULLS_1, GULLS_2, UNKNOWN = "9780306406157", "9780804429573", "9781857982183", "9780110002224"
SHOWN = Picture(sha256="0" * 64, name="back.jpg", media_type="image/jpeg", width_px=640, height_px=480)


def ask(library: Library, text: str, **more: object) -> int:
    """Scan what cannot be booked without asking; return the number of its query."""
    scan = Scan(text, f"{text} {more}", trusted=False, **more)  # type: ignore[arg-type] # fields by name
    return queued(book_scan(library, "1", scan, station="phone", now=NOW)).query.id


def item(library: Library, query: int) -> PileItem:
    with library.reading() as records:
        return query_pile.find_query(records, query)


def decide(library: Library, query: int, act: Disposition, key: str) -> Decided:
    option = next(one for one in item(library, query).options if one.act is act and one.edition.key == key)
    return query_pile.decide(library, query, option, station="desk", now=NOW)


def record(library: Library, query: int) -> Query:
    with library.reading() as records:
        found = records.get(Query, query)
    assert found is not None
    return found


def copy_of(library: Library, key: str) -> Copy:
    with library.reading() as records:
        edition = edition_by_key(records, key)
        assert edition is not None
        return copies_of_editions(records, [edition.id])[0]


def test_a_query_is_found_by_its_number_with_what_it_may_be(arrived: Library) -> None:
    first, second = ask(arrived, FERNS_1), ask(arrived, GULLS_1)
    assert item(arrived, second).query == record(arrived, second)
    assert item(arrived, second).identification.candidates[0].edition.key == "G1"
    with arrived.reading() as records:
        assert [one.query.id for one in query_pile.pile(records)] == [first, second]


def test_a_query_without_a_number_may_be_anything(arrived: Library) -> None:
    found = item(arrived, ask(arrived, "", picture=SHOWN))
    assert (found.query.number, found.query.picture) == (None, SHOWN.sha256)
    assert (found.identification.verdict, found.options) == (MatchVerdict.UNKNOWN, ())


@pytest.mark.parametrize(
    ("act", "key", "decision", "kind"),
    [
        (Disposition.BOOK, "G1", QueryDecision.LISTED_COPY, ActionKind.DECIDE_AS_LISTED_COPY),
        (Disposition.NEW_COPY, "G1", QueryDecision.NEW_COPY, ActionKind.DECIDE_AS_NEW_COPY),
        (Disposition.AGAIN, "F1", QueryDecision.COPY_SEEN_AGAIN, ActionKind.DECIDE_AS_COPY_SEEN_AGAIN),
    ],
)
def test_what_a_decision_writes(
    arrived: Library, act: Disposition, key: str, decision: QueryDecision, kind: ActionKind
) -> None:
    booked(book_scan(arrived, "1", Scan(FERNS_1, "before"), station="phone", now=NOW))
    query = ask(arrived, FERNS_1 if key == "F1" else GULLS_1, picture=SHOWN)
    made = decide(arrived, query, act, key)
    assert (made.edition.key, made.copy.state, made.copy.box) == (key, CopyState.UNPACKED, "B1-56")
    decided = record(arrived, query)
    assert (decided.state, decided.decision, decided.copy, decided.same_as) == (
        QueryState.DECIDED, decision, made.copy.accession, None,
    )  # fmt: skip
    with arrived.reading() as records:
        entry = latest_entries(records, 1)[0]
        sighting = sightings_of(records, made.copy.accession)[-1]
        assert records.get(Copy, made.copy.accession) == made.copy
    assert (entry.seq, entry.digest) == (made.entry.seq, made.entry.digest)
    assert (entry.action.kind, entry.action.subject) == (kind, str(query))
    # It was a person who decided, at the desk, by the picture that was taken at the trolley.
    assert (sighting.methods, sighting.station, sighting.picture) == (ReadingMethod.PERSON, "desk", SHOWN.sha256)
    assert (sighting.number, sighting.box) == (record(arrived, query).number, "B1-56")


def test_a_listed_copy_is_the_copy_that_was_listed_and_a_new_one_is_not(arrived: Library) -> None:
    listed = copy_of(arrived, "G1")
    first, second = ask(arrived, GULLS_1), ask(arrived, f"{GULLS_1} ")
    assert decide(arrived, first, Disposition.BOOK, "G1").copy.accession == listed.accession
    new = decide(arrived, second, Disposition.NEW_COPY, "G1").copy
    assert new.accession != listed.accession
    assert new.edition_id == listed.edition_id


def test_a_book_of_no_catalog_becomes_an_edition_and_its_first_copy(arrived: Library) -> None:
    query = ask(arrived, UNKNOWN)
    typed = Edition(id=99, title="Lichens by Lamplight", number=UNKNOWN)
    made = query_pile.decide_new_edition(arrived, query, typed, station="desk", now=NOW)
    assert made.edition == replace(typed, id=made.edition.id)
    assert made.copy.edition_id == made.edition.id != 99
    assert made.entry.action.kind is ActionKind.DECIDE_AS_NEW_EDITION
    with arrived.reading() as records:
        assert records.get(Edition, made.edition.id) == made.edition
        assert records.get(Copy, made.copy.accession) == made.copy
    assert record(arrived, query).decision == QueryDecision.NEW_EDITION


@pytest.mark.parametrize("title", ["", "  "])
def test_an_edition_needs_a_title(arrived: Library, title: str) -> None:
    query = ask(arrived, UNKNOWN)
    with pytest.raises(RefusedError):
        query_pile.decide_new_edition(arrived, query, Edition(id=0, title=title), station="desk", now=NOW)
    assert record(arrived, query).state is QueryState.WAITING


def test_a_query_that_shows_the_book_of_another_is_set_aside_with_its_number(arrived: Library) -> None:
    first, second, third = ask(arrived, GULLS_1), ask(arrived, GULLS_2), ask(arrived, UNKNOWN)
    entry = query_pile.set_aside(arrived, second, same_as=first, station="desk")
    assert (entry.action.kind, entry.action.subject) == (ActionKind.SET_QUERY_ASIDE, str(second))
    query_pile.set_aside(arrived, third, station="desk")
    same, none = record(arrived, second), record(arrived, third)
    assert (same.state, same.decision, same.same_as) == (QueryState.DECIDED, QueryDecision.SAME_BOOK, first)
    assert (none.state, none.decision, none.same_as) == (QueryState.DECIDED, QueryDecision.NOT_A_BOOK, None)
    with arrived.reading() as records:
        assert [one.id for one in list_queries(records, QueryState.WAITING)] == [first]


@pytest.mark.parametrize("other", [0, 999])
def test_a_query_is_the_book_of_another_one_that_there_is(arrived: Library, other: int) -> None:
    query = ask(arrived, GULLS_1)
    with pytest.raises(RefusedError):
        query_pile.set_aside(arrived, query, same_as=other or query, station="desk")
    assert record(arrived, query).state is QueryState.WAITING


def test_what_is_on_no_pile_or_was_decided_is_refused_and_changes_nothing(arrived: Library) -> None:
    query = ask(arrived, GULLS_1)
    option = item(arrived, query).options[0]
    query_pile.set_aside(arrived, query, station="desk")
    with arrived.reading() as records:
        head = ledger_head(records)
        for number in (query, 999):
            with pytest.raises(RefusedError):
                query_pile.find_query(records, number)
    with pytest.raises(RefusedError):
        query_pile.decide(arrived, query, option, station="desk", now=NOW)
    with pytest.raises(RefusedError):
        query_pile.set_aside(arrived, query, station="desk")
    with arrived.reading() as records:
        assert ledger_head(records) == head
