"""The boxes: how far each is, what was found in it and what was not, and how long the rest will take."""

from starlette.requests import Request
from starlette.responses import Response

from intake.desk.rendering import back_to, page, text_of
from intake.desk.request_state import desk_of, session_of
from intake.edges.store.queries.ledger_entries import history_of_record
from intake.flow.lookup.find_lines import box_lines
from intake.flow.lookup.resolve import find_box
from intake.flow.moving import box_lifecycle
from intake.flow.moving.progress import box_progress, progress
from intake.model.boxes import BoxState
from intake.model.editions import CopyState


def show_boxes(request: Request) -> Response:
    """List all boxes."""
    with desk_of(request).library.reading() as records:
        found = progress(records)
    return page(request, "boxes.html", progress=found, states=BoxState)


def show_box(request: Request) -> Response:
    """Show one box."""
    with desk_of(request).library.reading() as records:
        box = find_box(records, text_of(request.path_params["box"]))
        lines = box_lines(records, box.number)
        row = box_progress(records, box)
        entries = history_of_record(records, "box", box.number)
    return page(request, "box.html", box=box, row=row, lines=lines, states=BoxState, copies=CopyState, entries=entries)


def finish(request: Request) -> Response:
    """Finish a box: what nobody has seen is missing from now on."""
    number = text_of(request.path_params["box"])
    box, missing = box_lifecycle.finish(desk_of(request).library, number, station=session_of(request).station)
    said = f"Box {box.number} is finished; {len(missing)} of its list missing."
    return back_to(f"/boxes/{box.number}", said)
