"""A bookcase as a drawing, and the shelves as a list that is filtered and grouped by bookcase."""

from starlette.requests import Request
from starlette.responses import Response

from intake.desk.desk_startup import LibraryReader
from intake.desk.refusals import refusal
from intake.desk.rendering import page, text_of
from intake.desk.request_state import desk_of
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_copy, own_number
from intake.flow.lookup.wording import path_words
from intake.flow.shelves.draw_bookcase import draw_case
from intake.flow.shelves.shelf_list import case_path
from intake.model.identifiers import OwnKind
from intake.model.places import Place, PlaceKind


def show_bookcase(request: Request) -> Response:
    """Draw one bookcase with what stands in it; a copy that is named is pointed at."""
    marked = text_of(request.query_params.get("copy", ""))
    with desk_of(request).library.reading() as records:
        number = own_number(text_of(request.path_params["case"]), OwnKind.PLACE)
        case = records.get(Place, number)
        if case is None or case.kind is not PlaceKind.BOOKCASE:
            return refusal(request, 404, f"Place {number}", "is not a bookcase", "look at the list of shelves")
        copy = _named(records, marked)
        drawn = draw_case(records, case, marked=[copy] if copy else [])
        name = path_words(case_path(records, case))
    return page(request, "bookcase.html", case=case, name=name, drawn=drawn, copy=copy)


def _named(records: LibraryReader, text: str) -> str:
    """Return the number of the copy that an address names; empty where it names none."""
    try:
        return find_copy(records, text).accession if text else ""
    except RefusedError:
        return ""
