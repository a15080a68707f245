"""The catalog: search, editions, copies with their whole history, pictures; editing that can be taken back."""

from dataclasses import replace

from starlette.requests import Request
from starlette.responses import Response

from intake.desk import desk_startup
from intake.desk.daily_backup import backup_line
from intake.desk.rendering import back_to, fields_of, id_of, page, refusal, text_of
from intake.desk.request_state import desk_of, session_of
from intake.flow.corrections.correction_plan import apply_correction
from intake.flow.corrections.edit_edition import edit_edition
from intake.flow.corrections.withdraw_copies import WithdrawalTerms, plan_withdrawal
from intake.flow.lookup.details import copy_details, edition_details, kept_picture
from intake.flow.lookup.history import copy_history, latest_history
from intake.flow.lookup.reason_words import reasons_words
from intake.flow.lookup.resolve import find_copy
from intake.flow.lookup.search import search
from intake.flow.lookup.status import library_status
from intake.flow.lookup.wording import where_words
from intake.flow.pictures.thumbnail import thumbnail
from intake.flow.shelves.shelve_copy import shelve, shelved_words
from intake.flow.unpacking.attention import attention
from intake.model.condition import PARTS, split_parts
from intake.model.editions import CopyState, Edition, Grade
from intake.model.withdrawals import WithdrawalReason
from intake.units.amounts import parse_amount, parse_day

SIZES_PX = {"small": 320, "large": 1600}
STEPS_A_PAGE = 100


def show_catalog(request: Request) -> Response:
    """Search the catalog."""
    asked = text_of(request.query_params.get("q", ""))
    with desk_of(request).library.reading() as records:
        result = search(records, asked)
        editions = library_status(records).counts.editions if not asked else 0
    why = reasons_words(result.why)
    return page(request, "catalog.html", asked=asked, result=result, why=why, editions=editions)


def show_edition(request: Request) -> Response:
    """Show an edition, its printings and its copies."""
    with desk_of(request).library.reading() as records:
        details = edition_details(records, id_of(request.path_params["edition"]))
    if details is None:
        return refusal(request, 404, "This edition", "is not in the library", "search the catalog for it")
    return page(
        request,
        "edition.html",
        edition=details.edition,
        line=details.line,
        printings=details.printings,
        book_set=details.book_set,
        volumes=details.volumes,
        entries=details.entries,
    )


def edit(request: Request) -> Response:
    """Change what is recorded of an edition."""
    desk, fields = desk_of(request), fields_of(request)
    with desk.library.reading() as records:
        edition = records.get(Edition, id_of(request.path_params["edition"]))
    if edition is None:
        return refusal(request, 404, "This edition", "is not in the library", "search the catalog for it")
    if not fields.get("title"):
        return refusal(request, 400, "An edition", "needs a title", "type it as the title page has it")
    people = tuple(filter(None, (name.strip() for name in fields.get("contributors", "").split(";"))))
    year = id_of(fields.get("year", "")) or None
    words = {name: fields.get(name, "") for name in ("title", "publisher", "statement", "binding", "subject", "volume")}
    edited = replace(edition, contributors=people, year=year, **words)  # type: ignore[arg-type] # the six are texts
    _, entry = edit_edition(desk.library, edited, station=session_of(request).station)
    return back_to(f"/editions/{edition.id}", "Saved." if entry else "Nothing was changed.")


def show_copy(request: Request) -> Response:
    """Show one copy, its facts, its pictures and its whole history."""
    with desk_of(request).library.reading() as records:
        copy = find_copy(records, text_of(request.path_params["copy"]))
        details = copy_details(records, copy)
        if details is None:
            return refusal(request, 404, "The edition of this copy", "is not in the library", "search the catalog")
        where = where_words(records, copy)
        remarks = attention(records, copy, details.edition)
        lines = copy_history(records, copy.accession)
    return page(
        request,
        "copy.html",
        copy=copy,
        edition=details.edition,
        printing=details.printing,
        valuations=details.valuations,
        pictures=details.pictures,
        where=where,
        out_of=details.out_of,
        packed=CopyState.PACKED,
        remarks=remarks,
        lines=lines,
        grades=list(Grade),
        withdrawn=copy.state is CopyState.WITHDRAWN,
        reasons=list(WithdrawalReason),
        parts=PARTS,
        defects=split_parts(copy.condition),
    )


def put_on_shelf(request: Request) -> Response:
    """Record that a copy stands on a shelf now."""
    desk, station = desk_of(request), session_of(request).station
    number = text_of(request.path_params["copy"])
    shelved = shelve(desk.library, number, fields_of(request).get("shelf", ""), station=station, now=desk_startup.now())
    return back_to(f"/copies/{shelved.copies[0].accession}", shelved_words(shelved))


def withdraw(request: Request) -> Response:
    """Record that a copy left the collection."""
    desk, station, fields = desk_of(request), session_of(request).station, fields_of(request)
    number = text_of(request.path_params["copy"])
    today = desk_startup.today()
    reason = next((reason for reason in WithdrawalReason if reason == fields.get("reason")), None)
    if reason is None:
        return refusal(request, 400, "The withdrawal", "has no reason", "choose why the copy left")
    terms = WithdrawalTerms(
        reason=reason,
        on=parse_day(fields["on"]) if fields.get("on") else today,
        amount=parse_amount(fields["amount"]) if fields.get("amount") else None,
        currency=fields.get("currency", ""),
        note=fields.get("note", ""),
    )
    with desk.library.reading() as records:
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


def show_ledger(request: Request) -> Response:
    """Show the latest steps in the ledger, newest first, or those before an entry; each can be taken back."""
    before = id_of(request.query_params.get("before", "")) or None
    with desk_of(request).library.reading() as records:
        history = latest_history(records, STEPS_A_PAGE, before)
        status = library_status(records)
    backup = backup_line(desk_of(request).library.folder, status.counts.entries)
    return page(request, "ledger.html", history=history, head=status.head, before=before, backup=backup)
