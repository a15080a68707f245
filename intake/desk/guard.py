"""The guard before every route: which host was asked for, who asks, whether the form is ours, how much is sent.

A request that changes something must come from a page of the desk (Origin), carry the session's form token, and be no
larger than it need be; its body is read here, whole or not at all, so that a connection lost half-way changes nothing.

Sources: OWASP cheat sheets on cross-site request forgery and on content security policy (from memory); Fetch Standard
on the Origin header.
"""

import hmac
import logging
import time
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qsl

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from intake.desk.multipart import MEDIA_TYPE, read_form
from intake.desk.refusals import refusal
from intake.desk.request_state import Desk
from intake.desk.sessions import DeskSession
from intake.errors import UsageError
from intake.units.advice import ReadAt, read_at

logger = logging.getLogger(__name__)

OPEN_TO_ALL = frozenset(
    {
        "/pair",
        "/enter",
        "/static/desk.css",
        "/static/icon.svg",
        "/static/icon-192.png",
        "/static/icon-512.png",
        "/static/icon-full-512.png",
        "/app.webmanifest",
        "/offline",
    }
)
"""What a browser may ask for before it was let in: the login pages and their style, and what an app is told by."""
PICTURE_BYTES = 40_000_000
FORM_BYTES = 200_000
STRANGER_BYTES = 64 * 1024
"""What a browser may send before it was let in: a code and a name."""
HEADER_OF_FORM = "x-form-token"
FIELD_OF_FORM = "form_token"

HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; manifest-src 'self'; worker-src 'self'; style-src 'self'; "
        "img-src 'self' blob:; media-src 'self' blob:; "
        "connect-src 'self'; frame-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'self'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "SAMEORIGIN",
    # Not no-referrer: with it browsers send "Origin: null" with forms, as they do for another site's.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), microphone=(self), geolocation=()",
}


class TooMuchError(Exception):
    """More was sent than is taken."""


class GoneError(Exception):
    """The connection was lost before everything was sent."""


class Guard:
    """The middleware around the routes."""

    def __init__(self, app: ASGIApp, desk: Desk) -> None:
        self.app = app
        self.desk = desk

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through to its route, or answer it with a refusal; what is said is read at the desk."""
        with read_at(ReadAt.DESK):
            await self._call(scope, receive, send)

    async def _call(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return

        began = time.perf_counter()

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                # Never the query string: it may hold the link's key. Never the decoded path: it may hold line breaks.
                ms, path = 1000 * (time.perf_counter() - began), scope["raw_path"].decode("ascii", "replace")
                logger.info("%s %s %d in %.0f ms", scope["method"], path, message["status"], ms)
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                headers.setdefault("Cache-Control", "no-store")
                if scope["path"].startswith("/api/"):
                    headers.setdefault("Content-Disposition", 'attachment; filename="answer.json"')
            await send(message)

        try:
            answer = await self._refuse(scope, receive)
        except GoneError:
            return
        if answer is not None:
            await answer(scope, receive, send_guarded)
        else:
            await self.app(scope, receive, send_guarded)

    async def _refuse(self, scope: Scope, receive: Receive) -> Response | None:
        """Return why a request is not let through, None if it is."""
        request = Request(scope)
        endpoint = self.desk.endpoint
        if request.headers.get("host", "").lower() not in endpoint.hosts:
            return await _refused(
                request, 403, "This address", "is not one of the desk's", "open the link that the desk shows"
            )
        session = self._session(request.headers)
        request.state.session = session
        if session is not None and request.client is not None:
            self.desk.connections.known((request.client.host, request.client.port), session.id)
        open_to_all = request.url.path in OPEN_TO_ALL
        if session is None and not open_to_all:
            why = "has not been let in"
            remedy = "pair it with the code on the laptop, or open the link that the desk printed when it started"
            return await _refused(request, 401, "This browser", why, remedy)
        if request.method in ("GET", "HEAD"):
            return None
        if request.headers.get("origin") not in endpoint.origins:
            return await _refused(request, 403, "This request", "came from another site", "use the desk's own pages")
        picture = request.headers.get("content-type", "").startswith(("image/", "application/octet-stream", MEDIA_TYPE))
        most = STRANGER_BYTES if session is None else PICTURE_BYTES if picture else FORM_BYTES
        try:
            request.state.body = await _body(request.headers, receive, most)
        except TooMuchError:
            remedy = "send fewer or smaller pictures or files" if picture else "write less"
            return await _refused(request, 413, "What was sent", "is larger than the desk takes", remedy)
        if session is not None and not _is_ours(request, session):
            return await _refused(request, 403, "This form", "is from an earlier session", "load the page again")
        return None

    def _session(self, headers: Headers) -> DeskSession | None:
        try:
            cookies = SimpleCookie(headers.get("cookie", ""))
        except CookieError:
            return None
        cookie = cookies.get(self.desk.endpoint.cookie)
        return self.desk.authenticator.sessions.find(cookie.value) if cookie else None


async def _refused(request: Request, status: int, thing: str, why: str, remedy: str) -> Response:
    """Refuse in a thread of its own: the page around it asks the library."""
    return await run_in_threadpool(refusal, request, status, thing, why, remedy)


async def _body(headers: Headers, receive: Receive, most: int) -> bytes:
    announced = headers.get("content-length", "0")
    if announced.isdigit() and int(announced[:20]) > most:
        raise TooMuchError
    parts: list[bytes] = []
    size = 0
    more = True
    while more:
        message = await receive()
        if message["type"] == "http.disconnect":
            raise GoneError
        parts.append(message.get("body", b""))
        size += len(parts[-1])
        if size > most:
            raise TooMuchError
        more = message.get("more_body", False)
    return b"".join(parts)


def _is_ours(request: Request, session: DeskSession) -> bool:
    """Return whether a request carries the form token of its session, in its header or as a field of its form."""
    given = request.headers.get(HEADER_OF_FORM)
    if given is None and request.headers.get("content-type", "").startswith("application/x-www-form-urlencoded"):
        fields = dict(parse_qsl(request.state.body.decode("latin-1"), keep_blank_values=True))
        given = fields.get(FIELD_OF_FORM)
    if given is None and request.headers.get("content-type", "").startswith(MEDIA_TYPE):
        given = _token_in(request.headers["content-type"], request.state.body)
    return given is not None and hmac.compare_digest(given.encode(), session.form_token.encode())


def _token_in(content_type: str, body: bytes) -> str | None:
    """Return the form token of a form with files."""
    try:
        return dict(read_form(content_type, body).texts).get(FIELD_OF_FORM)
    except UsageError:
        return None
