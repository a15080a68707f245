"""Editions and copies with their whole history, pictures; editing that can be taken back."""

from starlette.requests import Request
from starlette.responses import Response

from intake.desk import desk_startup
from intake.desk.edition_pages import withdrawal_terms
from intake.desk.inspection_parts import inspection_values
from intake.desk.opened_forms import both_shown, place_overlap, state_overlap, version_in
from intake.desk.refusals import refusal
from intake.desk.rendering import back_to, fields_of, id_of, page, text_of
from intake.desk.request_state import desk_of, session_of
from intake.flow.corrections.correction_plan import apply_correction
from intake.flow.corrections.edition_form import EDITION_FORM, edition_values, save_edition
from intake.flow.corrections.withdraw_copies import plan_withdrawal
from intake.flow.lookup.details import copy_details, edition_details, kept_picture
from intake.flow.lookup.history import copy_history
from intake.flow.lookup.resolve import find_copy
from intake.flow.lookup.two_versions import Overlapping, version_of
from intake.flow.lookup.wording import measure_words, where_words
from intake.flow.pictures.thumbnail import thumbnail
from intake.flow.runs.edition_view import breaks_words, edition_runs
from intake.flow.shelves.draw_bookcase import place_drawn
from intake.flow.shelves.shelve_copy import shelve, shelved_words
from intake.flow.unpacking.attention import attention
from intake.flow.values.draw_set import set_strip
from intake.model.editions import CopyState, Edition
from intake.model.withdrawals import WithdrawalReason

SIZES_PX = {"thumb": 128, "small": 320, "large": 1600}


def show_edition(request: Request) -> Response:
    """Show an edition, its printings and its copies."""
    with desk_of(request).library.reading() as records:
        details = edition_details(records, id_of(request.path_params["edition"]))
        version = version_of(records)
        runs = edition_runs(records, details.edition.id) if details is not None and details.edition.collects else ()
        breaks = breaks_words(records, runs)
        strip = set_strip(records, details.edition.set_id) if details is not None else None
        shown = edition_values(records, details.edition if details is not None else None)
    if details is None:
        return refusal(request, 404, "This edition", "is not in the library", "search the catalog for it")
    return page(
        request,
        "edition.html",
        edition=details.edition,
        line=details.line,
        printings=details.printings,
        strip=strip,
        volumes=details.volumes,
        entries=details.entries,
        runs=runs,
        breaks=breaks,
        version=version,
        labels=EDITION_FORM,
        shown=shown,
        size=measure_words(details.edition),
        doubted=details.is_doubted,
        reasons=list(WithdrawalReason),
        is_held=any(copy.state is not CopyState.WITHDRAWN for copy in details.line.copies),
    )


def edit(request: Request) -> Response:
    """Change what is recorded of an edition."""
    desk, fields = desk_of(request), fields_of(request)
    number = id_of(request.path_params["edition"])
    with desk.library.reading() as records:
        if records.get(Edition, number) is None:
            return refusal(request, 404, "This edition", "is not in the library", "search the catalog for it")
    outcome = save_edition(
        desk.library, number, fields, version=version_in(fields), station=session_of(request).station
    )
    if isinstance(outcome, Overlapping):
        return both_shown(request, outcome, fields, EDITION_FORM, "The edition")
    said = " ".join(("Saved.", *outcome.remarks)) if outcome.entry else "Nothing was changed."
    return back_to(f"/editions/{number}", said)


def show_copy(request: Request) -> Response:
    """Show one copy, its facts, its pictures and its whole history."""
    with desk_of(request).library.reading() as records:
        copy = find_copy(records, text_of(request.path_params["copy"]))
        details = copy_details(records, copy)
        if details is None:
            return refusal(request, 404, "The edition of this copy", "is not in the library", "search the catalog")
        where = where_words(records, copy)
        remarks = attention(records, copy, details.edition)
        lines = copy_history(records, copy.accession, values=session_of(request).host)
        inspection = inspection_values(records, copy, details.edition)
        shelf, drawn = place_drawn(records, copy)
    return page(
        request,
        "copy.html",
        copy=copy,
        edition=details.edition,
        valuations=details.valuations,
        counting=details.counting,
        pictures=details.pictures,
        where=where,
        out_of=details.out_of,
        packed=CopyState.PACKED,
        shelf=shelf,
        drawn=drawn,
        remarks=remarks,
        lines=lines,
        withdrawn=copy.state is CopyState.WITHDRAWN,
        reasons=list(WithdrawalReason),
        **inspection,
    )


def put_on_shelf(request: Request) -> Response:
    """Record that a copy stands on a shelf now."""
    desk, station, fields = desk_of(request), session_of(request).station, fields_of(request)
    number, shelf = text_of(request.path_params["copy"]), fields.get("shelf", "")
    with desk.library.reading() as records:
        copy = find_copy(records, number)
        overlap = place_overlap(records, copy, fields, shelf)
    if overlap:
        return both_shown(request, overlap, fields, {"shelf": "Shelf"}, f"Copy {copy.accession}")
    if not shelf:
        return back_to(f"/copies/{copy.accession}", "Nothing was changed.")
    shelved = shelve(desk.library, number, shelf, station=station, now=desk_startup.now())
    return back_to(f"/copies/{shelved.copies[0].accession}", shelved_words(shelved))


def withdraw(request: Request) -> Response:
    """Record that a copy left the collection."""
    desk, station, fields = desk_of(request), session_of(request).station, fields_of(request)
    number = text_of(request.path_params["copy"])
    today = desk_startup.today()
    terms = withdrawal_terms(fields, today)
    if terms is None:
        return refusal(request, 400, "The withdrawal", "has no reason", "choose why the copy left", field="reason")
    with desk.library.reading() as records:
        copy = find_copy(records, number)
        overlap = state_overlap(records, copy, fields, fields.get("state", CopyState.WITHDRAWN))
        if overlap:
            return both_shown(request, overlap, fields, {"state": "State"}, f"Copy {copy.accession}")
        if fields.get("state", CopyState.WITHDRAWN) != CopyState.WITHDRAWN:
            return back_to(f"/copies/{copy.accession}", "Nothing was changed.")
        plan = plan_withdrawal(records, [number], terms, today=today, station=station)
    apply_correction(desk.library, plan)
    return back_to(f"/copies/{number}", "It is withdrawn: it left every list, and stays in the history.")


def show_picture(request: Request) -> Response:
    """Show a stored picture, scaled down for a screen."""
    library = desk_of(request).library
    with library.reading() as records:
        picture = kept_picture(records, text_of(request.path_params["sha256"]))
    # The path is made from the record, never from what was asked for.
    path = library.picture_path(picture.sha256) if picture else None
    if picture is None or path is None:
        return refusal(request, 404, "This picture", "is not in the library", "look at its copy again")
    size = SIZES_PX.get(text_of(request.path_params["size"]), SIZES_PX["small"])
    headers = {"Cache-Control": "private, max-age=86400"}
    return Response(thumbnail(path, size), media_type="image/jpeg", headers=headers)
