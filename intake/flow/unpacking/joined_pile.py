"""The query pile as questions: a number that waits twice is asked about once.

Whether two queries with one number show one book or two is for a person to say. Those of one box are proposed as one
book, those of different boxes are not: a book is in one box.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.covers_shown import covers_of
from intake.flow.lookup.status import waiting_queries
from intake.flow.unpacking.query_pile import PileItem, pile
from intake.model.sightings import Query
from intake.units.paging import first_of_page

A_PAGE = 20
"""Questions that are looked up for one page."""


@dataclass(frozen=True, slots=True)
class Twin:
    """Another query with the number of a question; `likely` where it is of the same box."""

    query: Query
    likely: bool


@dataclass(frozen=True, slots=True)
class JoinedQuestion:
    """One question: the oldest query with its answers, and the other queries with the same number."""

    item: PileItem
    twins: tuple[Twin, ...]


@dataclass(frozen=True, slots=True)
class PilePage:
    """Some of the questions, the oldest first.

    Attributes:
        questions: of this page; `begin` come before, `total` there are.
        queries: how many queries wait in all.
        covers: by edition, the picture of one of its copies.
    """

    questions: tuple[JoinedQuestion, ...]
    begin: int
    total: int
    queries: int
    covers: dict[int, str]


def pile_page(reader: LibraryReader, begin: int) -> PilePage:
    """Return a page of the questions that wait."""
    waiting = waiting_queries(reader)
    joined = joined_queries(waiting)
    begin = first_of_page(begin, len(joined), A_PAGE)
    page = joined[begin : begin + A_PAGE]
    items = pile(reader, [queries[0] for queries in page])
    questions = tuple(
        JoinedQuestion(item, twins_of(item.query, queries)) for item, queries in zip(items, page, strict=True)
    )
    editions = {option.edition.id for item in items for option in item.options}
    return PilePage(questions, begin, len(joined), len(waiting), covers_of(reader, editions))


def joined_queries(queries: Sequence[Query]) -> list[list[Query]]:
    """Put the queries together that have one number and one add-on; one without a number stays alone."""
    groups: dict[object, list[Query]] = {}
    for query in queries:
        groups.setdefault(_asks_for(query), []).append(query)
    return list(groups.values())


def twins_of(query: Query, queries: Sequence[Query]) -> tuple[Twin, ...]:
    """Return the others of these queries that have the number of one."""
    same = (other for other in queries if other.id != query.id and _asks_for(other) == _asks_for(query))
    return tuple(Twin(other, query.box is not None and other.box == query.box) for other in same)


def _asks_for(query: Query) -> object:
    return query.id if query.number is None else (query.number, query.add_on)


def next_waiting(waiting: Sequence[Query], after: int) -> int | None:
    """Return which of the queries that wait to go on with: the next one, else the first; None where nothing waits."""
    ids = [query.id for query in waiting]
    return next((query for query in ids if query > after), ids[0] if ids else None)
