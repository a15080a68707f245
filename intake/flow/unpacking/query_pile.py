"""The query pile: what could not be decided, decided later, with nothing lost."""

from dataclasses import dataclass, replace
from datetime import datetime

from intake.edges.store.library import Library
from intake.edges.store.queries.sightings import list_queries
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.identify import Identification, identify_any
from intake.flow.unpacking.book_scan import Disposition, Option, Scan, options_of, plan_booking
from intake.model.changes import Action, Change, LedgerEntry, made
from intake.model.editions import Copy, Edition
from intake.model.sightings import Picture, Query, QueryState

NOT_A_BOOK = "not a book"


@dataclass(frozen=True, slots=True)
class PileItem:
    """A query with what it may be, weighed against the library as it is now."""

    query: Query
    weighed: Identification
    options: tuple[Option, ...]


def pile(records: LibraryReader) -> tuple[PileItem, ...]:
    """List what waits, oldest first, each with the answers a person may give."""
    return tuple(_item(records, query) for query in list_queries(records, QueryState.WAITING))


def find_query(records: LibraryReader, query_id: int) -> PileItem:
    """Return one query that still waits.

    Raises:
        RefusedError: there is none, or it was decided before.
    """
    query = records.get(Query, query_id)
    if query is None:
        raise RefusedError(f"Query {query_id}", "is not on the pile", "list the pile with 'intake pile list'")
    if query.state is QueryState.DECIDED:
        raise RefusedError(f"Query {query_id}", f"was decided before ({query.decision})", "choose one that waits")
    return _item(records, query)


def decide(library: Library, query_id: int, option: Option, *, station: str, now: datetime) -> tuple[Copy, LedgerEntry]:
    """Book a query as one of its options.

    Raises:
        RefusedError: the query was decided meanwhile.
    """
    with library.writing() as work:
        query = find_query(work, query_id).query
        picture = work.get(Picture, query.picture) if query.picture else None
        scan = Scan(query.number or "", request="", methods=("person",), picture=picture)
        copy, changes = plan_booking(work, option, scan, box=query.box, station=station, now=now)
        decided = replace(query, state=QueryState.DECIDED, decision=f"{option.act} {copy.accession}")
        entry = work.apply(Action("decide query", str(query.id), station), [*changes, Change(query, decided)]).entry
        return copy, entry


def decide_new_edition(
    library: Library, query_id: int, edition: Edition, *, station: str, now: datetime
) -> tuple[Copy, LedgerEntry]:
    """Book a query as a copy of an edition that the catalog did not have; `edition.id` is replaced.

    Raises:
        RefusedError: the query was decided meanwhile.
    """
    with library.writing() as work:
        query = find_query(work, query_id).query
        new = replace(edition, id=work.new_id(Edition))
        option = Option(act=Disposition.NEW_COPY, edition=new, copy=None, words="a new edition")
        picture = work.get(Picture, query.picture) if query.picture else None
        scan = Scan(query.number or "", request="", methods=("person",), picture=picture)
        copy, changes = plan_booking(work, option, scan, box=query.box, station=station, now=now)
        decided = replace(query, state=QueryState.DECIDED, decision=f"new edition, copy {copy.accession}")
        entry = work.apply(
            Action("decide query", str(query.id), station), [*made(new), *changes, Change(query, decided)]
        ).entry
        return copy, entry


def set_aside(library: Library, query_id: int, decision: str = NOT_A_BOOK, *, station: str) -> LedgerEntry:
    """Take a query off the pile without booking anything; the decision says why.

    Raises:
        RefusedError: the query was decided meanwhile.
    """
    with library.writing() as work:
        query = find_query(work, query_id).query
        decided = replace(query, state=QueryState.DECIDED, decision=decision)
        return work.apply(Action("decide query", str(query.id), station, note=decision), [Change(query, decided)]).entry


def _item(records: LibraryReader, query: Query) -> PileItem:
    weighed = identify_any(records, (query.number or "", *(query.others or "").split()), query.box)
    return PileItem(query, weighed, options_of(weighed))
