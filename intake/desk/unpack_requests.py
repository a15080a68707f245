"""The unpacking page, and what it sends: scans, pictures, facts, decisions, undo."""

from collections.abc import Mapping

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from intake.desk import desk_startup
from intake.desk.answers import answer_of, booked, frame_of
from intake.desk.opened_forms import both_shown, version_in
from intake.desk.refusals import refusal
from intake.desk.rendering import back_to, fields_of, id_of, page, text_of
from intake.desk.request_state import desk_of, session_of
from intake.desk.scan_pages import own_request, request_number
from intake.desk.steps.step_record import address
from intake.errors import about_field
from intake.flow.condition.confirm_condition import confirm_condition
from intake.flow.condition.facts_form import FACTS_FORM, read_facts, save_facts
from intake.flow.condition.inspect_copy import question_about
from intake.flow.condition.photograph_copy import photograph_copy
from intake.flow.condition.reported_damage import can_be_reported, damage_picture_words, refuse_damaged
from intake.flow.lookup.action_words import action_words, subject_words
from intake.flow.lookup.find_lines import box_lines
from intake.flow.lookup.handling_words import WET_BOX, damp_cautions, hand_cautions
from intake.flow.lookup.resolve import find_box, find_copy
from intake.flow.lookup.status import library_status
from intake.flow.lookup.two_versions import Overlapping, as_opened, version_of
from intake.flow.lookup.typing_help import typed_help
from intake.flow.moving import box_lifecycle
from intake.flow.moving.box_list import BoxStage, stage_of
from intake.flow.moving.box_masses import box_lifts
from intake.flow.moving.lift import lift_words
from intake.flow.moving.progress import BoxProgress, box_progress, progress
from intake.flow.undo import undo, undone_step
from intake.flow.unpacking import query_pile
from intake.flow.unpacking.scan_results import option_words
from intake.flow.unpacking.station import book_frame, book_picture
from intake.model.boxes import BoxState, CartonState
from intake.model.changes import LedgerEntry
from intake.model.editions import CopyState
from intake.units.amounts import parse_day

ON_THE_TROLLEY = (BoxState.ARRIVED,)
STILL_AWAITED = (BoxState.OPEN, BoxState.CLOSED)
MOST_HERE, MOST_AWAITED = 24, 12
"""Boxes that are offered; of hundreds the others are found by their numbers, or in the list of boxes."""


def is_unopened(row: BoxProgress) -> bool:
    """Tell whether nothing came out of a box yet: those that were begun come first."""
    return stage_of(row) is not BoxStage.BEGUN


def choose(request: Request) -> Response:
    """Ask which box is on the trolley."""
    with desk_of(request).library.reading() as records:
        move = progress(records)
        is_empty = not move.boxes and not library_status(records).counts.editions
        here, awaited = sorted(move.of(*ON_THE_TROLLEY), key=is_unopened), move.of(*STILL_AWAITED)
        lifts = box_lifts(records, [row.box for row in (*here[:MOST_HERE], *awaited[:MOST_AWAITED])])
        version = version_of(records)
    if is_empty:
        return back_to("/start")
    return page(
        request,
        "choose.html",
        progress=move,
        lifts={number: lift_words(lift) for number, lift in lifts.items()},
        here_now=here[:MOST_HERE],
        more_here=len(here[MOST_HERE:]),
        awaited=awaited[:MOST_AWAITED],
        more_awaited=len(awaited[MOST_AWAITED:]),
        done=len(move.of(BoxState.UNPACKED)),
        stages=BoxStage,
        version=version,
        today=desk_startup.today().isoformat(),
    )


def choose_typed(request: Request) -> Response:
    """Go to the box whose label was scanned or typed."""
    with desk_of(request).library.reading() as records, about_field("box"):
        box = find_box(records, fields_of(request).get("box", ""))
    return back_to(f"/unpack/{box.number}")


def unpack(request: Request) -> Response:
    """Show the page of one box on the trolley."""
    desk = desk_of(request)
    with desk.library.reading() as records:
        box = find_box(records, text_of(request.path_params["box"]))
        if box.state is not BoxState.ARRIVED:
            return back_to(f"/boxes/{box.number}")
        lines = box_lines(records, box.number)
        row = box_progress(records, box)
    cautions = ((WET_BOX,) if box.carton is CartonState.WET else ()) + hand_cautions()
    return page(
        request,
        "unpack.html",
        box=box,
        row=row,
        lines=lines,
        packed=CopyState.PACKED,
        missing=CopyState.MISSING,
        cautions=cautions,
    )


def picture(request: Request) -> Response:
    """Take what a picture shows; a live frame is only taken where it is beyond doubt."""
    desk, asked = desk_of(request), request.query_params
    if not (number := text_of(asked.get("request", ""))):
        return refusal(request, 400, "This picture", "arrived incomplete", "send it from the desk's page")
    box, mine, station = text_of(asked.get("box", "")), request_number(request, number), session_of(request).station
    if asked.get("mode") == "live":
        answered = {text_of(number) for number in asked.getlist("answered")[:50]}
        frame = book_frame(
            desk.library, box, request.state.body, answered=answered, decoders=desk.decoders, request=mine,
            station=station, now=desk_startup.now(),
        )  # fmt: skip
    else:
        frame = book_picture(
            desk.library,
            box,
            request.state.body,
            decoders=desk.decoders,
            covers=desk.covers,
            request=mine,
            station=station,
            now=desk_startup.now(),
        )
    several = len(frame.taken) > 1
    answers = [answer_of(desk, taken, several=several) for taken in frame.taken]
    return JSONResponse({"answers": answers, "frame": frame_of(frame)})


def help_typing(request: Request) -> Response:
    """Help while a person types."""
    with desk_of(request).library.reading() as records:
        typing_help = typed_help(records, text_of(request.query_params.get("text", "")))
    return JSONResponse(
        {
            "message": typing_help.message,
            "good": typing_help.good,
            "more": typing_help.more,
            "repairs": [{"number": number, "how": how} for number, how in typing_help.repairs],
            "titles": [
                {"title": title, "edition": words, "number": number} for _, title, words, number in typing_help.titles
            ],
        }
    )


def writing(request: Request) -> Response:
    """Tell who writes to the library just now, for a station that waits."""
    library = desk_of(request).library
    note = library.writer()
    is_written = note is not None or library.waits_for_program()
    return JSONResponse({"sentence": f"The library {desk_startup.writer_words(note)}." if is_written else ""})


def facts(request: Request) -> Response:
    """Record the few facts about a copy that need a person."""
    desk, fields = desk_of(request), fields_of(request)
    if fields.get("as_recorded"):
        return _confirmed(request, fields)
    if fields.get("clean"):
        with desk.library.reading() as records:
            refuse_damaged(records, find_copy(records, fields.get("copy", "")))
    copy, outcome = save_facts(
        desk.library,
        fields.get("copy", ""),
        {name: text for name, text in fields.items() if name in FACTS_FORM},
        version=version_in(fields),
        station=session_of(request).station,
        request=own_request(request, fields.get("request", "")),
    )
    if isinstance(outcome, Overlapping):
        return both_shown(request, outcome, fields, FACTS_FORM, f"Copy {copy.accession}")
    seen = read_facts(fields)
    described = "; ".join(filter(None, (*seen.parts.values(), seen.note)))
    message = " ".join(
        (
            "Saved." if outcome.entry else "Nothing was changed.",
            *damp_cautions(described),
            *filter(None, [question_about(copy)]),
        )
    )
    return _done(request, f"/copies/{copy.accession}", message, outcome.entry)


def _confirmed(request: Request, fields: Mapping[str, str]) -> Response:
    """Record that a copy was found as its record says."""
    done = confirm_condition(
        desk_of(request).library,
        fields.get("copy", ""),
        station=session_of(request).station,
        request=own_request(request, fields.get("request", "")),
    )
    number = done.copy.accession
    return _done(request, f"/copies/{number}", f"Copy {number} is as recorded.", done.entry)


def _done(request: Request, path: str, message: str, entry: LedgerEntry | None) -> Response:
    """Say what was done, to a script as data, to a form by a page."""
    if not request.url.path.startswith("/api/"):
        return back_to(path, message)
    return JSONResponse({"kind": "good", "sentence": message, "entry": entry.seq if entry else None})


def photograph(request: Request) -> Response:
    """Keep a picture of a copy; one of damage is answered with the way to report it, as the picture alone does not."""
    desk, asked = desk_of(request), request.query_params
    copy, entry = photograph_copy(
        desk.library,
        text_of(asked.get("copy", "")),
        request.state.body,
        request=own_request(request, text_of(asked.get("request", ""))),
        note=text_of(asked.get("note", "")),
        station=session_of(request).station,
        now=desk_startup.now(),
    )
    kept = {"kind": "good", "sentence": f"The picture of {copy.accession} is kept.", "entry": entry.seq}
    if asked.get("damage"):
        with desk.library.reading() as records:
            kept["sentence"] = damage_picture_words(records, copy)
        if can_be_reported(copy):
            kept["report"] = address("/steps/damage", copy=copy.accession)
    return JSONResponse(kept)


def decide(request: Request) -> Response:
    """Decide a query by one of the answers that were shown."""
    desk, fields = desk_of(request), fields_of(request)
    query = id_of(fields.get("query", ""))
    with desk.library.reading() as records:
        query_pile.find_query(records, query)  # one that was decided meanwhile is said to be so, whatever the answer
        option = query_pile.named_option(records, fields.get("option", ""))
    station = session_of(request).station
    decided = query_pile.decide(desk.library, query, option, station=station, now=desk_startup.now())
    with desk.library.reading() as records:
        answer = booked(records, decided.copy, decided.edition, option_words(option), decided.entry.seq, decided.advice)
    return JSONResponse({"answers": [answer]})


def take_back(request: Request) -> Response:
    """Take back one entry of the ledger; that is an entry too."""
    fields = fields_of(request)
    library = desk_of(request).library
    undone, by = undo(library, id_of(fields.get("entry", "")), station=session_of(request).station)
    with library.reading() as records:
        step, again = undone_step(records, undone)
    words = f"'{action_words(step.action)}' of {subject_words(step.action)}"
    message = f"Did {words} again." if again else f"Took back {words}."
    back = fields.get("back", "/")
    return _done(request, back if back.startswith("/") and not back.startswith("//") else "/", message, by)


def check_in(request: Request) -> Response:
    """Record that a box has arrived, today where no other day is given, and put it on the trolley."""
    fields, library = fields_of(request), desk_of(request).library
    station, note = session_of(request).station, fields.get("note", "")
    with library.reading() as records:
        box = find_box(records, text_of(request.path_params["box"]))
        opened, stations = as_opened(records, box, version_in(fields))
    if opened is not None and opened.state is not box.state:
        there = f"was changed by {' and '.join(stations)} since this page was opened: it is {box.state}"
        noted = f", with the note '{box.note}'" if box.note else ""
        yours = f"; your note '{note}' was not recorded" if note else ""
        return refusal(request, 409, f"Box {box.number}", f"{there}{noted}{yours}", "look at it again")
    today, day = desk_startup.today(), fields.get("delivered", "")
    with about_field("delivered"):
        seen = box_lifecycle.ArrivalReport(delivered=parse_day(day) if day else today)
    box = box_lifecycle.check_in(library, box.number, note=note, seen=seen, today=today, station=station)
    return back_to(f"/unpack/{box.number}")
