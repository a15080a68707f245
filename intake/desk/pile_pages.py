"""The query pile: what could not be decided, with its picture and the answers a person may give."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from intake.desk import desk_startup
from intake.desk.lookup_pages import lookup_offer
from intake.desk.refusals import refusal
from intake.desk.rendering import back_to, begin_of, fields_of, id_of, page, text_of
from intake.desk.request_state import desk_of, session_of
from intake.flow.lookup.covers_shown import covers_of
from intake.flow.lookup.identify import edition_number
from intake.flow.lookup.reason_words import query_decision
from intake.flow.lookup.search import search
from intake.flow.lookup.status import waiting_queries
from intake.flow.unpacking import query_pile
from intake.flow.unpacking.advice import goes_words
from intake.flow.unpacking.book_scan import option_for
from intake.flow.unpacking.joined_pile import A_PAGE, next_waiting, pile_page, twins_of
from intake.flow.unpacking.scan_results import Option, option_name
from intake.model.changes import LedgerEntry
from intake.model.editions import Copy, Edition
from intake.model.sightings import Query, QueryState
from intake.units.counts import noun

OFFERED = 3
"""Answers that the list shows beside a question; its own page has all of them."""
SAME = "same-"
"""How the name of a field begins that says of another query that it shows the same book."""
MOST_ASKED = 20
"""Queries that a page may ask about at once."""
FOUND = 12
"""Most editions that a search beside a query shows."""


def show_pile(request: Request) -> Response:
    """List the questions that wait, each with its likeliest answers."""
    with desk_of(request).library.reading() as records:
        pile = pile_page(records, begin_of(request))
    asked = [(joined, _named(joined.item.options)) for joined in pile.questions]
    undo = id_of(request.query_params.get("undo", ""))
    return page(request, "pile.html", pile=pile, asked=asked, most=OFFERED, count=A_PAGE, undo=undo)


def show_query(request: Request) -> Response:
    """Show one query with everything a person needs to decide it."""
    asked = text_of(request.query_params.get("q", ""))
    with desk_of(request).library.reading() as records:
        item = query_pile.find_query(records, id_of(request.path_params["query"]))
        waiting = waiting_queries(records)
        others = [query for query in waiting if query.id != item.query.id]
        follows = next_waiting(waiting, item.query.id)
        result = search(records, asked, FOUND)
        copies = records.get_many(Copy, [line.copy for line in result.copies])
        editions = records.get_many(Edition, [copy.edition_id for copy in copies.values()])
        offered = (*(option.edition.id for option in item.options), *(line.edition.id for line in result.editions))
        covers = covers_of(records, (*offered, *(copy.edition_id for copy in copies.values())))
    return page(
        request,
        "query.html",
        item=item,
        options=_named(item.options),
        others=others,
        twins=twins_of(item.query, others),
        follows=follows if follows != item.query.id else None,
        covers=covers,
        undo=id_of(request.query_params.get("undo", "")),
        asked=asked,
        result=result,
        found=_named(
            (
                *(option_for(line.edition, copy) for line in result.editions for copy in (*line.copies, None)),
                *(option_for(editions[copy.edition_id], copy) for copy in copies.values()),
            )
        ),
        lookup=lookup_offer(request, item),
    )


def show_decisions(request: Request) -> Response:
    """Tell how queries that a page lists were answered; of those that wait still, nothing."""
    asked = [id_of(text) for text in request.query_params.getlist("query")[:MOST_ASKED]]
    with desk_of(request).library.reading() as records:
        queries = records.get_many(Query, asked)
    answers = {
        number: query_decision(queries[number]) if number in queries else "taken back"
        for number in asked
        if number not in queries or queries[number].state is QueryState.DECIDED
    }
    return JSONResponse({"answers": answers})


def decide_query(request: Request) -> Response:
    """Decide a query by one of the answers that were shown, be it its own or a search result's."""
    desk, fields, query = desk_of(request), fields_of(request), id_of(request.path_params["query"])
    with desk.library.reading() as records:
        query_pile.find_query(records, query)  # one that was decided meanwhile is said to be so, whatever the answer
        option = query_pile.named_option(records, fields.get("option", ""))
    station, same = session_of(request).station, _same(fields)
    decided = query_pile.decide(desk.library, query, option, same=same, station=station, now=desk_startup.now())
    message = (
        f"Query {query} is copy {decided.copy.accession}{_same_words(same)}. {goes_words(decided.copy, decided.advice)}"
    )
    return _go_on(request, query, message, decided.entry)


def decide_new(request: Request) -> Response:
    """Book a query as a copy of an edition that the catalog did not have."""
    desk, fields, query = desk_of(request), fields_of(request), id_of(request.path_params["query"])
    title = fields.get("title", "")
    if not title:
        return refusal(
            request, 400, "The new edition", "has no title", "type it as the title page has it", field="title"
        )
    number = edition_number(fields.get("number", ""))
    edition = Edition(id=0, title=title, statement=fields.get("statement", ""))
    people = tuple(filter(None, (name.strip() for name in fields.get("contributors", "").split(";"))))
    edition = replace(edition, contributors=people, publisher=fields.get("publisher", ""))
    if number is not None:
        edition = replace(edition, number=number.number, add_on=number.add_on)
    elif fields.get("number"):
        why = "is not a number of a book or a periodical"
        remedy = "correct it, or leave the number empty"
        return refusal(request, 400, f"{fields['number']!r}", why, remedy, field="number")
    station, same = session_of(request).station, _same(fields)
    decided = query_pile.decide_new_edition(
        desk.library, query, edition, same=same, station=station, now=desk_startup.now()
    )
    booked = f"Query {query} is copy {decided.copy.accession} of a new edition{_same_words(same)}."
    return _go_on(request, query, f"{booked} {goes_words(decided.copy, decided.advice)}", decided.entry)


def set_aside(request: Request) -> Response:
    """Take a query off the pile: not a book, or the same book as another query shows."""
    desk, fields, query = desk_of(request), fields_of(request), id_of(request.path_params["query"])
    same_as, same = id_of(fields.get("same_as", "")) or None, _same(fields)
    entry = query_pile.set_aside(desk.library, query, same_as=same_as, same=same, station=session_of(request).station)
    why = "not a book" if same_as is None else f"the same book as query {same_as}"
    return _go_on(request, query, f"Query {query} is off the pile: {why}{_same_words(same)}.", entry)


def _same(fields: Mapping[str, str]) -> list[int]:
    """Return the other queries that a form says show the same book."""
    named = (id_of(name.removeprefix(SAME)) for name, value in fields.items() if name.startswith(SAME) and value)
    return [query for query in named if query]


def _same_words(same: Sequence[int]) -> str:
    return f"; so {noun(len(same), 'is query', 'are queries')} {', '.join(map(str, same))}" if same else ""


def _go_on(request: Request, query: int, message: str, entry: LedgerEntry) -> Response:
    """Go to the next question, or to the list that the answer came from."""
    with desk_of(request).library.reading() as records:
        follows = next_waiting(waiting_queries(records), query)
    is_listed = fields_of(request).get("then") == "list" or follows is None
    return back_to(f"{'/pile' if is_listed else f'/pile/{follows}'}?undo={entry.seq}", message)


def _named(options: Iterable[Option]) -> list[tuple[str, Option]]:
    """Put its name beside each answer: what a button sends."""
    return [(option_name(option), option) for option in options]
