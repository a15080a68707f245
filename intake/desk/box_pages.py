"""The boxes: the progress of each, its list, and an estimate of the time left."""

from starlette.requests import Request
from starlette.responses import Response

from intake.desk import desk_startup
from intake.desk.daily_backup import backup_line
from intake.desk.rendering import back_to, begin_of, fields_of, list_query, page, text_of
from intake.desk.request_state import desk_of, session_of
from intake.errors import RefusedError
from intake.flow.lookup.covers_shown import copy_covers
from intake.flow.lookup.details import last_step, pictures_on_arrival
from intake.flow.lookup.find_lines import box_lines
from intake.flow.lookup.resolve import find_box
from intake.flow.lookup.status import library_status, queries_words, waiting_in_box
from intake.flow.lookup.two_versions import version_of
from intake.flow.moving import box_lifecycle
from intake.flow.moving.box_list import NO_ROOM, BoxGrouping, BoxListRequest, BoxStage, box_list, room_names, stage_of
from intake.flow.moving.box_masses import box_lift, doubted_in
from intake.flow.moving.lift import caution_words, lift_words, stated_words
from intake.flow.moving.masses import doubt_words
from intake.flow.moving.progress import box_progress
from intake.model.boxes import BoxState, CartonState, SealState
from intake.model.editions import CopyState

MOST_LINES = 200
"""Copies of one box that its page lists; the list of copies has the others."""


def show_boxes(request: Request) -> Response:
    """List some of the boxes, the rooms they are meant for, and the progress of the whole move."""
    asked = _asked(request)
    with desk_of(request).library.reading() as records:
        found = box_list(records, asked)
        entries = library_status(records).counts.entries
    return page(
        request,
        "boxes.html",
        progress=found.move,
        list=found,
        asked=asked,
        rooms=[("", "any"), *((name, name) for name in room_names(found.move.boxes))],
        stages=[("", "any"), *((stage.value, stage.value) for stage in BoxStage)],
        groupings=[(grouping.value, grouping.value) for grouping in BoxGrouping],
        query=list_query(q=asked.text, room=asked.room, stage=asked.stage or "", by=asked.by),
        stage_of=stage_of,
        no_room=NO_ROOM,
        backup=backup_line(desk_of(request).library.folder, entries),
    )


def _asked(request: Request) -> BoxListRequest:
    """Read which boxes are asked for; what is not known of it is left out, as the page's fields then show."""
    query = {name: text_of(value) for name, value in request.query_params.items()}
    return BoxListRequest(
        text=query.get("q", ""),
        room=query.get("room", ""),
        stage=next((stage for stage in BoxStage if stage == query.get("stage")), None),
        by=next((by for by in BoxGrouping if by == query.get("by")), BoxGrouping.STAGE),
        begin=begin_of(request),
    )


def show_box(request: Request) -> Response:
    """Show one box."""
    with desk_of(request).library.reading() as records:
        box = find_box(records, text_of(request.path_params["box"]))
        lines = box_lines(records, box.number)
        covers = copy_covers(records, [line.copy for line in lines[:MOST_LINES]])
        row = box_progress(records, box)
        step = last_step(records, box)
        pictures = pictures_on_arrival(records, box)
        queries = waiting_in_box(records, box.number)
        lift, doubted = box_lift(records, box), doubted_in(records, [box])
        version = version_of(records)
    return page(
        request,
        "box.html",
        box=box,
        row=row,
        lift=lift_words(lift),
        basis=stated_words() if caution_words(lift) else "",
        doubted=doubt_words(doubted) if doubted and not lift.empty else "",
        covers=covers,
        listed=[line for line in lines if not line.is_surplus][:MOST_LINES],
        unlisted=max(0, row.listed - MOST_LINES),
        surplus=[line for line in lines if line.is_surplus],
        states=BoxState,
        copies=CopyState,
        step=step,
        pictures=pictures,
        unseen=(CartonState.NOT_LOOKED_AT, SealState.NOT_LOOKED_AT),
        queries=queries,
        version=version,
        today=desk_startup.today().isoformat(),
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
        raise RefusedError(f"Box {row.box.number}", why, "look at it again")
    reason = fields.get("reason", "")
    box, missing = box_lifecycle.finish(
        library, number, why=lambda _missing: reason, despite_queries=despite, station=station
    )
    with library.reading() as records:
        queries = waiting_in_box(records, box.number)
    waits = f" It has {queries_words(queries)}." if queries else ""
    message = f"Box {box.number} is finished. Missing from its list: {len(missing)}.{waits}"
    return back_to(f"/boxes/{box.number}", message, is_loss=bool(missing))
