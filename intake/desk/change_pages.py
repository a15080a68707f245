"""The earlier and the latest picture of a copy, laid over each other, with the places to look at."""

from starlette.requests import Request
from starlette.responses import Response

from intake.desk.refusals import refusal
from intake.desk.rendering import page, text_of
from intake.desk.request_state import desk_of
from intake.flow.condition.change_words import NOT_PROOF, copy_change_lines, hidden_lines, place_words
from intake.flow.condition.picture_changes import changes_of_copy, covers_as_jpeg, places_shown

LONGEST_PX = 1400
SIDES = ("earlier", "later")


def show_changes(request: Request) -> Response:
    """Show the two covers, and where they differ."""
    changes = changes_of_copy(desk_of(request).library, text_of(request.path_params["copy"]))
    if changes.pair is None:
        return page(request, "changes.html", copy=changes.copy, pair=None, lines=copy_change_lines(changes))
    size, places = places_shown(changes.pair.found)
    return page(
        request,
        "changes.html",
        copy=changes.copy,
        pair=changes.pair,
        size=size,
        places=[(place, place_words(place.change)) for place in places],
        lines=copy_change_lines(changes),
        caution=NOT_PROOF,
        hidden=hidden_lines(changes.pair.found),
    )


def show_cover(request: Request) -> Response:
    """Show one of the two covers."""
    library, side = desk_of(request).library, text_of(request.path_params["side"])
    changes = changes_of_copy(library, text_of(request.path_params["copy"]))
    if changes.pair is None or side not in SIDES:
        return refusal(request, 404, "This picture", "is not one of two that were compared", "look at its copy again")
    covers = covers_as_jpeg(library, changes.pair, LONGEST_PX)
    # The latest picture may be another one tomorrow, under the same address.
    return Response(covers[SIDES.index(side)], media_type="image/jpeg")
