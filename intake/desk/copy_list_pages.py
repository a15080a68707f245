"""The list of all copies, with covers, by number or state; and the catalog, searched or read from its beginning."""

from starlette.requests import Request
from starlette.responses import Response

from intake.desk.rendering import begin_of, list_query, page, text_of
from intake.desk.request_state import desk_of
from intake.flow.lookup.copy_list import catalog_page, copy_list
from intake.flow.lookup.covers_shown import copy_covers, covers_of
from intake.flow.lookup.reason_words import reasons_words
from intake.flow.lookup.search import search
from intake.flow.lookup.status import library_status
from intake.model.editions import CopyState

COPIES_A_PAGE = 100
EDITIONS_A_PAGE = 60
GROUPINGS = (("number", "number"), ("state", "state"))


def show_copies(request: Request) -> Response:
    """List some of the copies."""
    query = {name: text_of(value) for name, value in request.query_params.items()}
    state = next((state for state in CopyState if state == query.get("state")), None)
    by = "state" if query.get("by") == "state" else "number"
    asked, begin = query.get("q", ""), begin_of(request)
    with desk_of(request).library.reading() as records:
        copies = copy_list(records, asked, state, begin, COPIES_A_PAGE, by_state=by == "state")
    offered = [one for one in CopyState if one is not CopyState.WITHDRAWN or one is state]
    return page(
        request,
        "copies.html",
        copies=copies,
        asked=asked,
        state=state,
        by=by,
        groupings=GROUPINGS,
        states=[("", "any"), *((one.value, f"{one} ({copies.by_state.get(one, 0)})") for one in offered)],
        query=list_query(q=asked, state=state or "", by=by if by == "state" else ""),
        count=COPIES_A_PAGE,
    )


def show_catalog(request: Request) -> Response:
    """Search the catalog, or list it by title."""
    asked = text_of(request.query_params.get("q", ""))
    begin = begin_of(request)
    with desk_of(request).library.reading() as records:
        result = search(records, asked)
        total = library_status(records).counts.editions
        lines, begin = (result.editions, 0) if asked else catalog_page(records, begin, EDITIONS_A_PAGE, total)
        covers = covers_of(records, [line.edition.id for line in lines])
        shown = copy_covers(records, [line.copy for line in result.copies])
    return page(
        request,
        "catalog.html",
        asked=asked,
        result=result,
        lines=lines,
        begin=begin,
        count=EDITIONS_A_PAGE,
        editions=total,
        covers=covers,
        copy_covers=shown,
        why=reasons_words(result.why),
    )
