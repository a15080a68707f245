"""Scans on every page: a box's page unpacks, a shelf's page shelves, any other shows what was scanned."""

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from intake.desk import desk_startup
from intake.desk.answers import answer_of, shown_values
from intake.desk.refusals import refusal
from intake.desk.rendering import back_to, fields_of, page, text_of
from intake.desk.request_state import desk_of, session_of
from intake.flow.lookup.wording import title_words
from intake.flow.shelves.shelve_copy import shelve, shelved_words
from intake.flow.unpacking.advice import goes_words
from intake.flow.unpacking.scan_anywhere import ShelvedScan, Shown, look, scanned_text, shelve_scan
from intake.flow.unpacking.scan_results import Booked, BookedBefore, LabelScan, Queued, ScanResult
from intake.flow.unpacking.station import book_line


def scan(request: Request) -> Response:
    """Take what a scanner or a person typed, as the page that it was scanned on means it."""
    fields = fields_of(request)
    if not fields.get("request", "") or not fields.get("text", ""):
        return refusal(request, 400, "This scan", "arrived incomplete", "scan it again")
    return JSONResponse({"answers": [answer_of(desk_of(request), _taken(request, fields))]})


def scan_form(request: Request) -> Response:
    """Take a number from a form, for a browser without scripts, and show what became of it."""
    fields = fields_of(request)
    if not fields.get("request", "") or not fields.get("text", ""):
        return refusal(request, 400, "This scan", "arrived empty", "type the number", field="text")
    taken = _taken(request, fields)
    answered = taken.earlier if isinstance(taken, BookedBefore) else taken
    here = f"/unpack/{fields['box']}" if fields.get("box") else f"/shelves/{fields.get('shelf', '')}"
    match answered:
        case Booked():
            where = goes_words(answered.copy, answered.advice)
            return back_to(here, f"Copy {answered.copy.accession}, {title_words(answered.edition)}. {where}")
        case Queued():
            return back_to(f"/pile/{answered.query.id}", "It waits as a query.")
        case ShelvedScan():
            shelved = answered.shelved
            return back_to(here, shelved_words(shelved) if shelved else "It stands there already.")
        case LabelScan() if answered.words and (opens := answer_of(desk_of(request), answered).get("opens")):
            return back_to(str(opens))
        case LabelScan():
            what = f"Box or place {answered.number}"
            return refusal(request, 404, what, "is not in this library", "look at its label again", field="text")
        case Shown():
            return page(request, "scanned.html", **shown_values(answered))
        case None:
            return back_to(here, "It was booked before.", not_done=True)


def _taken(request: Request, fields: dict[str, str]) -> ScanResult | Shown | ShelvedScan:
    library, station, now = desk_of(request).library, session_of(request).station, desk_startup.now()
    mine, text = request_number(request, fields["request"]), fields["text"]
    if box := fields.get("box", ""):
        return book_line(library, box, scanned_text(text), request=mine, station=station, now=now)
    if shelf := fields.get("shelf", ""):
        return shelve_scan(library, shelf, text, request=mine, station=station, now=now)
    return look(library, text)


def request_number(request: Request, number: str) -> str:
    """Join the station to the number it gave a request: two stations may count alike."""
    return f"{session_of(request).station}/{number}"


def own_request(request: Request, number: str) -> str | None:
    """Join them where the request was given a number; None where it was not."""
    return request_number(request, number) if number else None


def put_last(request: Request) -> Response:
    """Record that a copy stands on the shelf whose label was scanned after it, or that was offered for it."""
    desk, fields, station = desk_of(request), fields_of(request), session_of(request).station
    shelved = shelve(
        desk.library,
        fields.get("copy", ""),
        text_of(fields.get("shelf", "")),
        station=station,
        now=desk_startup.now(),
        request=own_request(request, fields.get("request", "")),
    )
    name = shelved.copies[-1].shelfmark
    return JSONResponse(
        {
            "kind": "question" if shelved.excess else "good",
            "sentence": shelved_words(shelved),
            "entry": shelved.entry.seq,
            "place": [name],
        }
    )
