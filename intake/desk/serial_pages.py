"""Serials, each as a ruler with its editions, what is missing, and an order to read it in; why a copy is kept."""

from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from intake.desk import desk_startup
from intake.desk.opened_forms import both_shown, version_in
from intake.desk.rendering import back_to, fields_of, page, text_of
from intake.desk.request_state import desk_of, session_of
from intake.flow.corrections.why_form import WHY_FORM, save_why
from intake.flow.lookup.two_versions import Overlapping, version_of
from intake.flow.runs.draw_serial import serial_svg
from intake.flow.runs.extent_form import EXTENT, EXTENT_FORM, save_extent
from intake.flow.runs.named_serial import named_map, unread_words
from intake.flow.runs.run_view import count_words, view_of
from intake.flow.runs.seek_editions import SeekRequest, seek_in
from intake.flow.runs.serial_map import collected_parts, find_serial, serial_maps, serial_title
from intake.flow.runs.spare_copies import BESIDE_PARTS, freed_words, none_words, spare_among
from intake.flow.runs.typed_collects import typed_collects

PATIENCE_S = 2.0
"""How long a page waits for a proof; after that it shows the best so far with its bound."""


def help_collects(request: Request) -> Response:
    """Tell what is understood of collected parts that are being typed."""
    with desk_of(request).library.reading() as reader:
        message = typed_collects(reader, text_of(request.query_params.get("text", "")))
    return JSONResponse({"message": message})


def keep(request: Request) -> Response:
    """Record why a copy is kept, and whether it is never to go."""
    desk, fields = desk_of(request), fields_of(request)
    number = text_of(request.path_params["copy"])
    outcome = save_why(desk.library, number, fields, version=version_in(fields), station=session_of(request).station)
    if isinstance(outcome, Overlapping):
        return both_shown(request, outcome, fields, WHY_FORM, f"Copy {number}")
    return back_to(f"/copies/{number}", "Saved." if outcome.entry else "Nothing was changed.")


def give_extent(request: Request) -> Response:
    """Record how far a serial goes, or take that back where the field is empty."""
    desk, fields = desk_of(request), fields_of(request)
    with desk.library.reading() as reader:
        collected = collected_parts(reader)
        title = serial_title(collected, find_serial(collected, text_of(request.path_params["serial"])))
    typed, station = fields.get(EXTENT, ""), session_of(request).station
    outcome = save_extent(desk.library, title, typed, version=version_in(fields), station=station)
    if isinstance(outcome, Overlapping):
        return both_shown(request, outcome, fields, EXTENT_FORM, f"Serial '{title}'")
    return back_to(f"/serials/{quote(title, safe='')}", "Saved." if outcome.entry else "Nothing was changed.")


def show_serials(request: Request) -> Response:
    """List the serials that editions collect, with how much of each is held."""
    with desk_of(request).library.reading() as reader:
        collected = collected_parts(reader)
        maps = serial_maps(reader, collected)
        lines = [(quote(one.title, safe=""), one.title, count_words(one)) for one in maps]
        spare = spare_among(reader, maps, unread_words(reader, collected), seconds=PATIENCE_S)
    nothing = "" if spare.copies else none_words(spare)
    told = {"freed": freed_words(spare), "beside": BESIDE_PARTS, "nothing": nothing}
    return page(request, "serials.html", lines=lines, spare=spare, **told)


def show_serial(request: Request) -> Response:
    """Show one serial."""
    with desk_of(request).library.reading() as reader:
        found, remarks = named_map(reader, text_of(request.path_params["serial"]))
        view = view_of(reader, found, remarks)
        drawing = serial_svg(found)
        sought = seek_in(reader, found, SeekRequest(on=desk_startup.today(), seconds=PATIENCE_S), remarks)
        version = version_of(reader)
    ids = {edition.key: one.edition.id for edition, one in zip(view.editions, found.editions, strict=True)}
    return page(request, "serial.html", view=view, drawing=drawing, ids=ids, sought=sought, version=version)
