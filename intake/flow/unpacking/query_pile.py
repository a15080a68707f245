"""The query pile: what could not be decided, decided later, with nothing lost."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from intake.edges.store.library import Library
from intake.edges.store.queries.names import set_of_title
from intake.edges.store.queries.sightings import list_queries
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.identify import Doubtful, Identification, identify_each
from intake.flow.lookup.reason_words import query_decision
from intake.flow.lookup.resolve import find_copy, refuse_withdrawn
from intake.flow.unpacking.advice import Advice
from intake.flow.unpacking.book_scan import BookingPlan, option_for, options_of, plan_booking
from intake.flow.unpacking.scan_results import ANSWERS, Disposition, Option, Scan, option_words
from intake.model.changes import Action, ActionKind, Change, LedgerEntry, Provisional, made
from intake.model.editions import BookSet, Copy, Edition
from intake.model.sightings import Picture, Query, QueryDecision, QueryState, ReadingMethod


@dataclass(frozen=True, slots=True)
class PileItem:
    """A query with what it may be, as the library is now."""

    query: Query
    identification: Identification
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class Decided:
    """What a query was booked as."""

    copy: Copy
    edition: Edition
    advice: Advice
    entry: LedgerEntry


LONGEST_ID = 16
"""Digits of a key that every part of the way keeps exactly."""

_BY_ACT = {
    Disposition.BOOK: (QueryDecision.LISTED_COPY, ActionKind.DECIDE_AS_LISTED_COPY),
    Disposition.AGAIN: (QueryDecision.COPY_SEEN_AGAIN, ActionKind.DECIDE_AS_COPY_SEEN_AGAIN),
    Disposition.NEW_COPY: (QueryDecision.NEW_COPY, ActionKind.DECIDE_AS_NEW_COPY),
}


def pile(records: LibraryReader, queries: Sequence[Query] | None = None) -> tuple[PileItem, ...]:
    """List what waits, oldest first, or some of it, each with the answers a person may give."""
    return _items(records, list_queries(records, QueryState.WAITING) if queries is None else queries)


def find_query(records: LibraryReader, query_id: int) -> PileItem:
    """Return one query that still waits.

    Raises:
        RefusedError: there is none, or it was decided before.
    """
    return _items(records, [_waiting(records, query_id)])[0]


def named_option(records: LibraryReader, name: str) -> Option:
    """Return the answer that a list has shown under a name (`option_name`), if it is still possible.

    It need not be among those that are offered now: a query may be booked as any copy, or as a new one of any edition.

    Raises:
        RefusedError: the name means nothing, or something else was booked of that copy since it was shown.
    """
    remedy = "look at the query pile again, and take an answer as it is named there"
    answer, _, thing = name.partition(":")
    option: Option | None = None
    if answer == ANSWERS[Disposition.NEW_COPY]:
        edition = records.get(Edition, int(thing)) if thing.isdecimal() and len(thing) < LONGEST_ID else None
        option = option_for(edition, None) if edition else None
    elif answer in ANSWERS.values():
        copy = find_copy(records, thing)
        refuse_withdrawn(copy)
        edition = records.get(Edition, copy.edition_id)
        option = option_for(edition, copy) if edition else None
    if option is None:
        raise RefusedError(f"{name!r}", "is no answer to a query", remedy)
    if ANSWERS[option.act] != answer:
        raise RefusedError(
            f"The answer {name!r}", f"is not possible any more: now it is {option_words(option)}", remedy
        )
    return option


def decide(
    library: Library, query_id: int, option: Option, *, same: Sequence[int] = (), station: str, now: datetime
) -> Decided:
    """Book a query as one of its options.

    Args:
        library: the library.
        query_id: of the query.
        option: the answer.
        same: other queries that show the same book: they leave the pile in the same entry of the ledger.
        station: who does it.
        now: when.

    Raises:
        RefusedError: one of the queries was decided meanwhile.
    """
    decision, kind = _BY_ACT[option.act]
    with library.reading() as records:
        plan, change = _planned(records, query_id, option, decision, station, now)
        joined = _same_book(records, same, query_id)
    return _booked(library, plan, Action(kind, str(query_id), station), (*plan.changes, change, *joined))


def decide_new_edition(
    library: Library,
    query_id: int,
    edition: Edition,
    *,
    set_title: str = "",
    note: str = "",
    same: Sequence[int] = (),
    station: str,
    now: datetime,
) -> Decided:
    """Book a query as a copy of an edition that the catalog did not have; `edition.id` is replaced.

    Args:
        library: the library.
        query_id: of the query.
        edition: as a person described it.
        set_title: of the set that the edition is of; the set is made where it is new.
        note: for the ledger, such as the server that the description is from.
        same: other queries that show the same book.
        station: who does it.
        now: when.

    Raises:
        RefusedError: the query was decided meanwhile, or the edition has no title.
    """
    if not edition.title.strip():
        raise RefusedError("The new edition", "has no title", "type it as the title page has it")
    keys = Provisional()
    new = replace(edition, id=keys.id())
    with library.reading() as records:
        of_set: Sequence[Change] = ()
        if set_title:
            book_set = set_of_title(records, set_title)
            if book_set is None:
                book_set = BookSet(id=keys.id(), title=set_title)
                of_set = made(book_set)
            new = replace(new, set_id=book_set.id)
        option = option_for(new, None)
        plan, change = _planned(records, query_id, option, QueryDecision.NEW_EDITION, station, now, new=keys)
        joined = _same_book(records, same, query_id)
    action = Action(ActionKind.DECIDE_AS_NEW_EDITION, str(query_id), station, note=note)
    return _booked(library, plan, action, (*of_set, *made(new), *plan.changes, change, *joined))


def set_aside(
    library: Library, query_id: int, *, same_as: int | None = None, same: Sequence[int] = (), station: str
) -> LedgerEntry:
    """Take a query off the pile without booking anything: no book, or the one that another query shows.

    Args:
        library: the library.
        query_id: of the query.
        same_as: the other query, where both show one book.
        same: other queries that show the same thing as this one: they leave the pile with it.
        station: who does it.

    Raises:
        RefusedError: one of the queries was decided meanwhile, or the other query does not exist.
    """
    with library.reading() as records:
        query = _waiting(records, query_id)
        if same_as is not None and (same_as == query_id or records.get(Query, same_as) is None):
            raise RefusedError(f"Query {same_as}", "is not another query of this library", "name another one")
        joined = _same_book(records, same, query_id)
    decision = QueryDecision.NOT_A_BOOK if same_as is None else QueryDecision.SAME_BOOK
    decided = replace(query, state=QueryState.DECIDED, decision=decision.value, same_as=same_as)
    action = Action(ActionKind.SET_QUERY_ASIDE, str(query_id), station)
    return library.apply(action, [Change(query, decided), *joined]).entry


def _planned(
    records: LibraryReader,
    query_id: int,
    option: Option,
    decision: QueryDecision,
    station: str,
    now: datetime,
    *,
    new: Provisional | None = None,
) -> tuple[BookingPlan, Change]:
    query = _waiting(records, query_id)
    picture = records.get(Picture, query.picture) if query.picture else None
    scan = Scan(query.number or "", request="", methods=(ReadingMethod.PERSON,), picture=picture)
    plan = plan_booking(records, option, scan, box=query.box, station=station, now=now, new=new)
    decided = replace(query, state=QueryState.DECIDED, decision=decision.value, copy=plan.copy.accession)
    return plan, Change(query, decided)


def _same_book(records: LibraryReader, queries: Sequence[int], shown_by: int) -> list[Change]:
    """Plan that queries leave the pile that show the same book as another."""
    decision = QueryDecision.SAME_BOOK.value
    waiting = [_waiting(records, query_id) for query_id in dict.fromkeys(queries) if query_id != shown_by]
    return [
        Change(query, replace(query, state=QueryState.DECIDED, decision=decision, same_as=shown_by))
        for query in waiting
    ]


def _booked(library: Library, plan: BookingPlan, action: Action, changes: Sequence[Change]) -> Decided:
    applied = library.apply(action, changes)
    copy, edition = plan.copy, plan.option.edition
    copy = replace(copy, accession=applied.key(copy.accession), edition_id=applied.key(copy.edition_id))
    return Decided(copy, replace(edition, id=applied.key(edition.id)), plan.advice, applied.entry)


def _waiting(records: LibraryReader, query_id: int) -> Query:
    query = records.get(Query, query_id)
    if query is None:
        raise RefusedError(f"Query {query_id}", "is not on the pile", "look at the query pile again")
    if query.state is QueryState.DECIDED:
        was = query_decision(query)
        raise RefusedError(f"Query {query_id}", f"was decided before ({was})", "choose one that waits")
    return query


def _items(records: LibraryReader, queries: Sequence[Query]) -> tuple[PileItem, ...]:
    things = [Doubtful((query.number or "", *(query.others or "").split()), query.box) for query in queries]
    identified_queries = zip(queries, identify_each(records, things), strict=True)
    return tuple(PileItem(query, identified, options_of(identified)) for query, identified in identified_queries)
