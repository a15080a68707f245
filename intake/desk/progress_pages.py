"""How far the move is: a map of the rooms with their boxes, and bars by day, room and box."""

from starlette.requests import Request
from starlette.responses import Response

from intake.desk.rendering import page
from intake.desk.request_state import desk_of
from intake.flow.moving.draw_progress import by_box, by_day, by_room
from intake.flow.moving.draw_rooms import room_map
from intake.flow.moving.progress import progress


def show_progress(request: Request) -> Response:
    """Show the map and the bars."""
    with desk_of(request).library.reading() as records:
        move = progress(records)
        days = by_day(records)
    drawings = (days, by_room(move), by_box(move))
    return page(request, "progress.html", progress=move, map=room_map(move.boxes), drawings=drawings)
