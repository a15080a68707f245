"""Getting in and out: the link of this machine, the pairing of phones, the stations that were let in."""

import logging

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from intake.desk.approvals import ApprovalState
from intake.desk.desk_startup import THIS_MACHINE, qr_rows
from intake.desk.pairing import code_words
from intake.desk.refusals import refusal
from intake.desk.rendering import back_to, fields_of, page, pages, status_of, text_of
from intake.desk.request_state import Desk, address_of, desk_of, session_of
from intake.desk.sessions import LONGEST_NAME, DeskSession
from intake.desk.steps.step_registry import STEPS
from intake.errors import IntakeError, RefusedError, UsageError

LONGEST_CODE = 20
"""Characters of a code that was typed which the form shows again."""
COOKIE_LASTS_S = 400 * 24 * 3600
"""As long as browsers keep a cookie: the desk ends the session, which the phone's date shall not do before."""
APPROVAL_WORDS = {
    ApprovalState.WAITING: "waits",
    ApprovalState.GRANTED: "the laptop said yes",
    ApprovalState.DECLINED: "the laptop said no",
}

logger = logging.getLogger(__name__)


def enter(request: Request) -> Response:
    """Let the browser of this machine in by the link that the command printed."""
    if address_of(request) != THIS_MACHINE:
        return refusal(
            request, 403, "This link", "works on the machine of the desk only", "pair this device by its code"
        )
    desk = desk_of(request)
    if request.state.session is not None and request.state.session.host:
        return RedirectResponse("/", 303)  # the browser is in already, and the link stays good for another
    session = desk.authenticator.enter(text_of(request.query_params.get("key", "")))
    desk.hub.tell_laptop("another browser of this computer was let in by the link")
    return admitted(desk, session, "/")


def pair_form(request: Request) -> Response:
    """Ask a phone for its code; the address that the laptop shows as a symbol contains it."""
    return _pair_form(request, code=text_of(request.query_params.get("code", "")))


def _pair_form(request: Request, *, code: str, name: str = "", refused: IntakeError | None = None) -> Response:
    """Show the form, with what was typed and why it did not do where it was refused."""
    form = pages.get_template("pair.html").render(
        code=code[:LONGEST_CODE],
        name=name[:LONGEST_NAME],
        refused=refused,
        longest=LONGEST_NAME,
        signed_out="out" in request.query_params,
        secure=desk_of(request).endpoint.secure,
    )
    return HTMLResponse(form, 200 if refused is None else status_of(refused))


def pair(request: Request) -> Response:
    """Let a phone in by its code; the laptop is told, and told of a wrong code too. Else the form is shown again."""
    desk, fields, address = desk_of(request), fields_of(request), address_of(request)
    code, name = fields.get("code", ""), fields.get("name", "")
    try:
        session = desk.authenticator.pair(code, name, address)
    except RefusedError as error:
        logger.warning("a pairing code from %s was refused", address)
        desk.hub.tell_laptop(f"a wrong pairing code came from {address}")
        return _pair_form(request, code=code, name=name, refused=error)
    except UsageError as error:
        return _pair_form(request, code=code, name=name, refused=error)
    logger.info("let in '%s' from %s", session.station, address)
    desk.hub.tell_laptop(f"{session.station} was let in")
    return admitted(desk, session, "/")


def pairing(request: Request) -> Response:
    """Show the code, as text and as a symbol, who was let in, and from where wrong codes came."""
    desk, session = desk_of(request), session_of(request)
    if not session.host:
        return refusal(request, 403, "This page", "is for the laptop of the desk", "pair further phones from there")
    code, address = "", ""
    rows: tuple[str, ...] = ()
    if desk.endpoint.phone is not None:
        code = desk.authenticator.code()
        address = f"{desk.endpoint.phone}/pair?code={code}"
        rows = qr_rows(address)
    return page(
        request,
        "pairing.html",
        endpoint=desk.endpoint,
        code=code_words(code),
        address=address,
        symbol=_path(rows),
        side=len(rows),
        stations=desk.authenticator.sessions.all(),
        own=session.id,
        wrong_codes=desk.authenticator.wrong_codes(),
        forgotten=desk.authenticator.forgotten,
    )


def show_new_code(request: Request) -> Response:
    """Draw a new code; addresses that had to wait may try again."""
    if not session_of(request).host:
        return _laptop_only(request)
    desk_of(request).authenticator.new_code()
    return back_to("/pairing", "Here is a new code; the one before works no longer.")


def forget(request: Request) -> Response:
    """End every session but this one."""
    desk, session = desk_of(request), session_of(request)
    if not session.host:
        return _laptop_only(request)
    _send_away(desk, [kept.id for kept in desk.authenticator.sessions.all() if kept.id != session.id])
    return back_to("/pairing", "Every phone, and every other browser of this computer, was signed out.")


def send_away(request: Request) -> Response:
    """End one session; its pages lose their connections at once."""
    desk = desk_of(request)
    if not session_of(request).host:
        return _laptop_only(request)
    asked = text_of(request.path_params["session"])
    kept = next((kept for kept in desk.authenticator.sessions.all() if kept.id == asked), None)
    if kept is None:
        return refusal(request, 404, "This station", "is not let in any more", "look at the list again")
    _send_away(desk, [kept.id])
    return back_to("/pairing", f"{kept.station} was sent away; it needs a new code to come back.")


def own_station(request: Request) -> Response:
    """Show a station what it is called, what it may do, and how it leaves."""
    desk = desk_of(request)
    approvals = desk.approvals.all_of(session_of(request))
    unseen = desk.approvals.unseen(session_of(request))
    for approval in unseen:
        approval.seen = True
    return page(
        request,
        "station.html",
        endpoint=desk.endpoint,
        approvals=approvals,
        unseen=unseen,
        words=APPROVAL_WORDS,
        asking=[step.title for step in STEPS if step.word is not None],
    )


def sign_out(request: Request) -> Response:
    """End the session of the browser that asks."""
    desk, session = desk_of(request), session_of(request)
    desk.authenticator.sessions.end([session.id])
    desk.approvals.forget(session.id)
    desk.hub.end(session.id)
    desk.connections.release(session.id)
    logger.info("'%s' signed out", session.station)
    desk.hub.tell_laptop(f"{session.station} signed out")
    response = RedirectResponse("/pair?out=1", 303)
    response.delete_cookie(desk.endpoint.cookie, secure=desk.endpoint.secure, httponly=True, samesite="strict")
    return response


def authority(request: Request) -> Response:
    """Hand out the certificate of the household's authority, which a phone may install."""
    certificate = desk_of(request).endpoint.authority
    if not certificate:
        return refusal(
            request, 404, "This desk", "has no certificate, because it was started without TLS", "start it with TLS"
        )
    headers = {"Content-Disposition": 'attachment; filename="book-intake-authority.crt"'}
    return Response(certificate, media_type="application/x-x509-ca-cert", headers=headers)


def admitted(desk: Desk, session: DeskSession, to: str) -> Response:
    """Send a browser on with the cookie of its session."""
    response = RedirectResponse(to, 303)
    response.set_cookie(
        desk.endpoint.cookie,
        session.token,
        max_age=COOKIE_LASTS_S,
        httponly=True,
        samesite="strict",
        secure=desk.endpoint.secure,
    )
    return response


def _send_away(desk: Desk, ids: list[str]) -> None:
    desk.authenticator.sessions.end(ids)
    for session_id in ids:
        desk.approvals.forget(session_id)
        desk.hub.end(session_id)
        desk.connections.drop(session_id)
    logger.info("%d sessions were sent away", len(ids))


def _laptop_only(request: Request) -> Response:
    return refusal(request, 403, "This step", "is for the laptop of the desk", "do it there")


def _path(rows: tuple[str, ...]) -> str:
    """Write the dark modules of a symbol as the path of a drawing, one unit a module."""
    runs = (f"M{x} {y}h1v1h-1z" for y, row in enumerate(rows) for x, module in enumerate(row) if module == "1")
    return "".join(runs)
