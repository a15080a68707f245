"""The shelves: what stands where, how full each is, where the next book goes."""

from starlette.requests import Request
from starlette.responses import Response

from intake.desk import desk_startup
from intake.desk.opened_forms import VERSION, both_shown, place_overlap
from intake.desk.rendering import back_to, begin_of, fields_of, list_query, page, text_of
from intake.desk.request_state import desk_of, session_of
from intake.flow.lookup.resolve import find_copy, find_shelf
from intake.flow.lookup.two_versions import version_of
from intake.flow.shelves.draw_bookcase import draw_shelves
from intake.flow.shelves.shelf_list import shelf_list
from intake.flow.shelves.shelf_overview import shelf_rows, standing_on
from intake.flow.shelves.shelve_copy import shelve, shelved_words
from intake.flow.unpacking.advice import room_words, waiting_copies

SHELVES_A_PAGE = 100
MOST_LINES = 200
"""Copies of one shelf that its page lists; the list of copies has the others."""


def show_shelves(request: Request) -> Response:
    """List some of the shelves, and where the unpacked copies go."""
    asked = text_of(request.query_params.get("q", ""))
    with desk_of(request).library.reading() as records:
        shelves = shelf_list(records, asked, begin_of(request), SHELVES_A_PAGE)
        unshelved = waiting_copies(records)
        version = version_of(records)
    return page(
        request,
        "shelves.html",
        shelves=shelves,
        count=SHELVES_A_PAGE,
        asked=asked,
        query=list_query(q=asked),
        unshelved=unshelved,
        words=room_words,
        version=version,
    )


def show_shelf(request: Request) -> Response:
    """Show what stands on one shelf, from the left."""
    with desk_of(request).library.reading() as records:
        shelf = find_shelf(records, text_of(request.path_params["shelf"]))
        standing = standing_on(records, shelf)
        (row,) = shelf_rows(records, [shelf.number])
        drawn = draw_shelves(records, [shelf])
    more = len(standing[MOST_LINES:])
    return page(request, "shelf.html", shelf=shelf, standing=standing[:MOST_LINES], more=more, row=row, drawn=drawn)


def put(request: Request) -> Response:
    """Put a copy on a shelf, both scanned or typed."""
    desk, fields = desk_of(request), fields_of(request)
    station = session_of(request).station
    if fields.get(VERSION):  # of a copy that the page showed; what is scanned or typed is of this moment
        with desk.library.reading() as records:
            copy = find_copy(records, fields.get("copy", ""))
            overlap = place_overlap(records, copy, fields, fields.get("shelf", ""))
        if overlap:
            return both_shown(request, overlap, fields, {"shelf": "Shelf"}, f"Copy {copy.accession}")
    shelved = shelve(
        desk.library, fields.get("copy", ""), fields.get("shelf", ""), station=station, now=desk_startup.now()
    )
    return back_to("/shelves", shelved_words(shelved))
