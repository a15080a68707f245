"""Sets, each as a strip of its volumes with the gaps."""

from starlette.requests import Request
from starlette.responses import Response

from intake.desk.refusals import refusal
from intake.desk.rendering import begin_of, id_of, list_query, page, text_of
from intake.desk.request_state import desk_of
from intake.flow.values.draw_set import set_list, set_strip

SETS_A_PAGE = 30


def show_sets(request: Request) -> Response:
    """List some of the sets."""
    asked = text_of(request.query_params.get("q", ""))
    with desk_of(request).library.reading() as records:
        sets = set_list(records, asked, begin_of(request), SETS_A_PAGE)
    return page(request, "sets.html", sets=sets, asked=asked, query=list_query(q=asked), count=SETS_A_PAGE)


def show_set(request: Request) -> Response:
    """Show one set with where each of its volumes is."""
    with desk_of(request).library.reading() as records:
        strip = set_strip(records, id_of(request.path_params["set"]))
    if strip is None:
        return refusal(request, 404, "This set", "is not in the library", "look at the list of sets")
    return page(request, "set.html", strip=strip)
