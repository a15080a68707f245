"""The boxes: the progress of each, its list, and an estimate of the time left."""

from starlette.requests import Request
from starlette.responses import Response

from intake.desk.daily_backup import backup_line
from intake.desk.rendering import back_to, fields_of, id_of, page, refusal, text_of
from intake.desk.request_state import desk_of, session_of
from intake.flow.lookup.details import last_step
from intake.flow.lookup.find_lines import box_lines
from intake.flow.lookup.resolve import find_box
from intake.flow.lookup.status import library_status, queries_words, waiting_in_box
from intake.flow.lookup.two_versions import version_of
from intake.flow.moving import box_lifecycle
from intake.flow.moving.box_masses import box_lift, box_lifts
from intake.flow.moving.lift import STATED_WORDS, caution_words, lift_words
from intake.flow.moving.progress import box_progress, progress
from intake.flow.shelves.shelf_overview import first_of_page
from intake.model.boxes import BoxState
from intake.model.editions import CopyState

BOXES_A_PAGE = 60


def show_boxes(request: Request) -> Response:
    """List some of the boxes, and the progress of the whole move."""
    asked = max(0, id_of(request.query_params.get("from", "")) - 1)
    with desk_of(request).library.reading() as records:
        move = progress(records)
        begin = first_of_page(asked, len(move.boxes), BOXES_A_PAGE)
        rows = move.boxes[begin : begin + BOXES_A_PAGE]
        lifts = box_lifts(records, [row.box for row in rows])
        entries = library_status(records).counts.entries
    words = {number: lift_words(lift) for number, lift in lifts.items()}
    return page(
        request,
        "boxes.html",
        progress=move,
        rows=rows,
        lifts=words,
        begin=begin,
        count=BOXES_A_PAGE,
        states=BoxState,
        backup=backup_line(desk_of(request).library.folder, entries),
    )


def show_box(request: Request) -> Response:
    """Show one box."""
    with desk_of(request).library.reading() as records:
        box = find_box(records, text_of(request.path_params["box"]))
        lines = box_lines(records, box.number)
        row = box_progress(records, box)
        step = last_step(records, box)
        queries = waiting_in_box(records, box.number)
        lift = box_lift(records, box)
        version = version_of(records)
    return page(
        request,
        "box.html",
        box=box,
        row=row,
        lift=lift_words(lift),
        basis=STATED_WORDS if caution_words(lift) else "",
        listed=[line for line in lines if not line.is_surplus],
        surplus=[line for line in lines if line.is_surplus],
        states=BoxState,
        copies=CopyState,
        step=step,
        queries=queries,
        version=version,
    )


def finish(request: Request) -> Response:
    """Finish a box: what is on its list and was not seen is recorded as missing."""
    number = text_of(request.path_params["box"])
    library, station = desk_of(request).library, session_of(request).station
    fields = fields_of(request)
    despite = fields.get("despite_queries") == "yes"
    with library.reading() as records:
        row = box_progress(records, find_box(records, number))
    if str(row.waits) != fields.get("not_seen"):
        why = f"was changed since its page was opened: {row.waits} on its list were not seen"
        return refusal(request, 409, f"Box {row.box.number}", why, "look at it again")
    reason = fields.get("reason", "")
    box, missing = box_lifecycle.finish(
        library, number, why=lambda _missing: reason, despite_queries=despite, station=station
    )
    with library.reading() as records:
        queries = waiting_in_box(records, box.number)
    waits = f" It has {queries_words(queries)}." if queries else ""
    message = f"Box {box.number} is finished. Missing from its list: {len(missing)}.{waits}"
    return back_to(f"/boxes/{box.number}", message, is_loss=bool(missing))
