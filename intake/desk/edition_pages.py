"""Steps that concern a whole edition: it is merged into another, or all its copies leave the collection."""

import hashlib
from collections.abc import Mapping
from datetime import date

from starlette.requests import Request
from starlette.responses import Response

from intake.desk import desk_startup
from intake.desk.desk_startup import LibraryReader
from intake.desk.opened_forms import made_since, version_in
from intake.desk.refusals import refusal
from intake.desk.rendering import back_to, fields_of, id_of, page, text_of
from intake.desk.request_state import desk_of, session_of
from intake.errors import about_field
from intake.flow.corrections.correction_plan import CorrectionPlan, apply_correction, plan_lines
from intake.flow.corrections.merge_editions import plan_edition_merge
from intake.flow.corrections.withdraw_copies import WithdrawalTerms, plan_edition_withdrawal
from intake.flow.lookup.resolve import find_edition
from intake.model.editions import Copy, Edition
from intake.model.withdrawals import WithdrawalReason
from intake.units.amounts import parse_amount, parse_day

ABSENT = ("This edition", "is not in the library", "search the catalog for it")


def withdrawal_terms(fields: Mapping[str, str], today: date) -> WithdrawalTerms | None:
    """Return what a form says of a withdrawal; None where it has no reason.

    Raises:
        UsageError: a day or an amount that is none.
    """
    reason = next((reason for reason in WithdrawalReason if reason == fields.get("reason")), None)
    if reason is None:
        return None
    with about_field("on"):
        on = parse_day(fields["on"]) if fields.get("on") else today
    with about_field("amount"):
        amount = parse_amount(fields["amount"]) if fields.get("amount") else None
    return WithdrawalTerms(
        reason=reason,
        on=on,
        amount=amount,
        currency=fields.get("currency", ""),
        note=fields.get("note", ""),
    )


def withdraw_all(request: Request) -> Response:
    """Record that all copies of an edition left the collection."""
    desk, station, today = desk_of(request), session_of(request).station, desk_startup.today()
    number, fields = id_of(request.path_params["edition"]), fields_of(request)
    terms = withdrawal_terms(fields, today)
    if terms is None:
        return refusal(request, 400, "The withdrawal", "has no reason", "choose why the copies left", field="reason")
    with desk.library.reading() as records:
        edition = records.get(Edition, number)
        if edition is None:
            return refusal(request, 404, *ABSENT)
        plan = plan_edition_withdrawal(records, edition, terms, today=today, station=station)
        copies = [change.before for change in plan.changes if isinstance(change.before, Copy)]
        if new := made_since(records, copies, version_in(fields)):
            why = f"has copies that its page did not show ({', '.join(new)}), so nothing was withdrawn"
            return refusal(request, 409, f"'{edition.title}'", why, "load its page again, and look at them")
    apply_correction(desk.library, plan)
    return back_to(f"/editions/{number}", "They are withdrawn: they left every list, and stay in the history.")


def show_merge(request: Request) -> Response:
    """Show what becomes of an edition that is merged into another, before it is done."""
    return _merge_shown(request, text_of(request.query_params.get("into", "")))


def merge(request: Request) -> Response:
    """Merge an edition into another, if that is still what was shown."""
    desk, fields = desk_of(request), fields_of(request)
    into = fields.get("into", "")
    with desk.library.reading() as records:
        edition = records.get(Edition, id_of(request.path_params["edition"]))
        if edition is None:
            return refusal(request, 404, *ABSENT)
        kept = _meant(records, into)
        plan = plan_edition_merge(records, edition, kept, station=session_of(request).station)
        is_shown = fields.get("shown") == _digest(_lines(records, plan))
    if not is_shown:
        shown = _merge_shown(request, into)
        shown.status_code = 409
        return shown
    apply_correction(desk.library, plan)
    return back_to(f"/editions/{kept.id}", "Merged: what belonged to the other is here now.")


def _merge_shown(request: Request, into: str) -> Response:
    with desk_of(request).library.reading() as records:
        edition = records.get(Edition, id_of(request.path_params["edition"]))
        if edition is None:
            return refusal(request, 404, *ABSENT)
        kept = _meant(records, into)
        plan = plan_edition_merge(records, edition, kept, station=session_of(request).station)
        lines = _lines(records, plan)
    return page(request, "merge.html", edition=edition, kept=kept, lines=lines, shown=_digest(lines))


def edition_shown(records: LibraryReader, text: str) -> Edition | None:
    """Return the edition that a shown page names by its record; None for what a person typed."""
    return records.get(Edition, id_of(text.removeprefix("#"))) if text.startswith("#") else None


def _meant(records: LibraryReader, text: str) -> Edition:
    return edition_shown(records, text) or find_edition(records, text)


def _lines(records: LibraryReader, plan: CorrectionPlan) -> tuple[str, ...]:
    return (*plan.remarks, *plan_lines(records, plan))


def _digest(lines: tuple[str, ...]) -> str:
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()
