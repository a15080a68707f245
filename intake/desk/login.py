"""Getting in: the link of this machine, the pairing of phones."""

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from intake.desk.desk_startup import THIS_MACHINE, qr_rows
from intake.desk.pairing import SESSION_LASTS, DeskSession, code_words
from intake.desk.rendering import fields_of, page, pages, refusal, text_of
from intake.desk.request_state import Desk, desk_of, session_of


def enter(request: Request) -> Response:
    """Let the browser of this machine in by the link that the command printed."""
    if request.client is None or request.client.host != THIS_MACHINE:
        return refusal(
            request, 403, "This link", "works on the machine of the desk only", "pair this device by its code"
        )
    session = desk_of(request).authenticator.enter(text_of(request.query_params.get("key", "")))
    return admitted(desk_of(request), session, "/")


def pair_form(request: Request) -> Response:
    """Ask a phone for its code; the address that the laptop shows as a symbol contains it."""
    code = text_of(request.query_params.get("code", ""))[:20]
    return HTMLResponse(pages.get_template("pair.html").render(code=code, wrong=""))


def pair(request: Request) -> Response:
    """Let a phone in by its code."""
    session = desk_of(request).authenticator.pair(fields_of(request).get("code", ""))
    return admitted(desk_of(request), session, "/")


def pairing(request: Request) -> Response:
    """Show a new code, as text and as a symbol; only this machine's browser may let others in."""
    desk = desk_of(request)
    if not session_of(request).host:
        return refusal(request, 403, "This page", "is for the laptop of the desk", "pair further phones from there")
    code, address = "", ""
    rows: tuple[str, ...] = ()
    if desk.endpoint.phone is not None:
        code = desk.authenticator.new_code()
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
    )


def forget(request: Request) -> Response:
    """End every session but this machine's."""
    desk = desk_of(request)
    if not session_of(request).host:
        return refusal(request, 403, "This step", "is for the laptop of the desk", "do it there")
    return admitted(
        desk, desk.authenticator.forget(desk.new_key()), "/pairing?message=Every%20phone%20was%20signed%20out."
    )


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
        max_age=int(SESSION_LASTS.total_seconds()),
        httponly=True,
        samesite="strict",
        secure=desk.endpoint.secure,
    )
    return response


def _path(rows: tuple[str, ...]) -> str:
    """Write the dark modules of a symbol as the path of a drawing, one unit a module."""
    runs = (f"M{x} {y}h1v1h-1z" for y, row in enumerate(rows) for x, module in enumerate(row) if module == "1")
    return "".join(runs)
