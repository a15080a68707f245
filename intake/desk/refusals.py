"""Refusals: one sentence, with the page it concerns around it; a form is shown again with what was typed.

A request under `/api/` is answered as JSON. Who has no session gets a page that shows the way in. Everybody else keeps
the navigation, also where the library itself cannot be read.
"""

import inspect
import json
import logging
from collections.abc import Iterator
from functools import partial
from urllib.parse import parse_qsl, unquote, urlencode, urlsplit

from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Match, Route

from intake.desk.filled_forms import ALERT_ID, SentAgain, Typed, filled_again
from intake.desk.multipart import MEDIA_TYPE, read_form
from intake.desk.rendering import PLACES, bare_page, page, pages, section_of, status_of
from intake.errors import IntakeError, LibraryBusyError, StoreError

logger = logging.getLogger(__name__)

PAIR = "Pair this browser by a code"
AGAIN = "intake_form_again"
"""Marks in a request's scope that a page is rendered again for a form of it: nothing is asked or done by that."""
OF_ONE_ANSWER = ("message", "not_done", "loss", "ask")
NOT_TYPED = (
    "form_token", "request", "version", "apply", "once", "shown", "kept", "not_seen", "then", "back", "option", "word",
)  # fmt: skip
"""What the form itself sends, and what a button says when it is pressed."""
LOGIN = ("/enter", "/pair")


def refusal(
    request: Request,
    status: int,
    thing: str,
    why: str,
    remedy: str,
    *,
    is_damaged: bool = False,
    is_readable: bool = True,
    field: str = "",
) -> Response:
    """Answer that something cannot be done: the thing, why, how to fix it; with the way in for who is not in.

    Args:
        request: that is refused; a form is shown again in its page.
        status: of the answer.
        thing: the subject of the sentence.
        why: its predicate.
        remedy: what to do.
        is_damaged: whether the library may be damaged: the way to its check is shown too.
        is_readable: whether the library can be asked for what the page shows.
        field: the name of the form's field that the sentence is about; empty where that is not known.
    """
    if request.url.path.startswith("/api/"):
        return JSONResponse({"kind": "stop", "sentence": f"{thing} {why}; {remedy}.", "remedy": remedy}, status)
    words = {"thing": f"{thing} {why}.", "remedy": f"{remedy[:1].upper()}{remedy[1:]}.", "is_damaged": is_damaged}
    is_stranger = getattr(request.state, "session", None) is None
    if is_stranger or request.headers.get("sec-fetch-dest") == "iframe":  # a paper's frame has a page around it
        way = "/pair" if is_stranger else ""
        bare = pages.get_template("refused_bare.html").render(way=way, place=PAIR, **words)
        return HTMLResponse(bare, status)
    typed = {} if AGAIN in request.scope else typed_in(request)
    if typed and is_readable:
        again = _form_again(request, typed, words, field)
        if again is not None:
            return HTMLResponse(again, status)
    way, place = _way_back(request)
    shown = [text for name, texts in typed.items() if name not in NOT_TYPED for text in texts if text]
    values = {**words, "way": way, "place": place, "typed": shown, "alert_id": ALERT_ID}
    answer = None
    if is_readable:
        try:
            answer = page(request, "refused.html", **values)
        except Exception:  # whatever the library's fault is, the answer must not need it
            logger.warning("a refusal is shown without what the library would add to it", exc_info=True)
    answer = answer or bare_page(request, "refused.html", **values)
    answer.status_code = status
    return answer


def refused(request: Request, error: Exception) -> Response:
    """Answer an error of the flow."""
    if not isinstance(error, IntakeError):
        raise error
    is_store = isinstance(error, StoreError)
    is_damaged = is_store and not isinstance(error, LibraryBusyError)
    return refusal(
        request,
        status_of(error),
        error.thing,
        error.why,
        error.remedy,
        is_damaged=is_damaged,
        is_readable=not is_store,
        field=error.field,
    )


def typed_in(request: Request) -> Typed:
    """Return what a form sent, as it was typed, be it fit to be kept or not; nothing where it was not read.

    What another site's page sent is not shown: the guard refuses it before it is read.
    """
    if request.method != "POST":
        asked: dict[str, list[str]] = {}
        for name, text in request.query_params.multi_items():
            asked.setdefault(name, []).append(text)
        return asked
    body: bytes = getattr(request.state, "body", b"")
    kind = request.headers.get("content-type", "")
    typed: dict[str, list[str]] = {}
    for name, text in _pairs(kind, body):
        # Half of a surrogate pair, which JSON may hold, cannot be written into any page.
        shown = text.replace("\r\n", "\n").encode("utf-8", "replace").decode()
        typed.setdefault(name, []).append(shown)
    return typed


def _pairs(kind: str, body: bytes) -> list[tuple[str, str]]:
    try:
        if kind.startswith(MEDIA_TYPE):
            return list(read_form(kind, body).texts)
        if kind.startswith("application/json"):
            given = json.loads(body)
            return [(name, str(value)) for name, value in given.items()] if isinstance(given, dict) else []
        return parse_qsl(body.decode("utf-8", "replace"), keep_blank_values=True, max_num_fields=200)
    except (IntakeError, ValueError, RecursionError):
        return []


def _form_again(request: Request, typed: Typed, words: dict[str, object], field: str) -> str | None:
    """Return the page of a form, filled as it was sent; None where no page has this form now."""
    template = pages.get_template("part_refused.html")
    sent = SentAgain(unquote(request.url.path), "post" if request.method == "POST" else "get", typed)
    for path, query in _candidates(request):
        try:
            shown = _rendered(request, path, query)
        except Exception as error:  # noqa: BLE001 # the page it came from may be gone: the refusal is what counts
            logger.info("%s is not shown again: %s", path, error)
            if isinstance(error, StoreError):
                return None
            continue
        again = (
            filled_again(shown, path, sent, partial(template.render, words, alert_id=ALERT_ID), field)
            if shown
            else None
        )
        if again is not None:
            return again
    return None


def _candidates(request: Request) -> Iterator[tuple[str, str]]:
    """Yield the pages that may have the form: the one it was sent from, and those above its address."""
    seen: set[str] = set()
    if (came := _came_from(request)) is not None and (request.method == "POST" or came[0] != request.url.path):
        seen.add(came[0])
        yield came
    for path in _above(request.url.path):
        if path not in seen and (request.method == "POST" or path != request.url.path):
            yield path, ""


def _above(path: str) -> Iterator[str]:
    """Yield an address and those above it, to the start page."""
    while path.strip("/"):
        yield path
        path = path.rpartition("/")[0]
    yield "/"


def _came_from(request: Request) -> tuple[str, str] | None:
    """Return address and query of the desk's page that a request came from; None where it does not say."""
    origin = f"{request.url.scheme}://{request.url.netloc}/"
    referer = request.headers.get("referer", "")
    if not referer.startswith(origin):
        return None
    parts = urlsplit(referer)
    path = parts.path or "/"
    if path in LOGIN or path.startswith(("//", "/static/", "/api/")):
        return None
    asked = parse_qsl(parts.query, keep_blank_values=True)
    return path, urlencode([(name, text) for name, text in asked if name not in OF_ONE_ANSWER])


def _route(request: Request, path: str) -> tuple[Route, dict[str, object]] | None:
    """Return what shows a page, and the scope of a request for it."""
    scope = {**request.scope, "method": "GET", "path": unquote(path), "raw_path": path.encode("ascii", "replace")}
    for route in request.app.routes:
        match, found = route.matches(scope)
        if match is Match.FULL and isinstance(route, Route) and not inspect.iscoroutinefunction(route.endpoint):
            return route, {**scope, **found, AGAIN: True}
    return None


def _rendered(request: Request, path: str, query: str) -> str | None:
    """Return a page as this session sees it now; None where there is none at this address."""
    found = _route(request, path)
    if found is None:
        return None
    route, scope = found
    answer = route.endpoint(Request({**scope, "query_string": query.encode()}))
    return bytes(answer.body).decode() if isinstance(answer, HTMLResponse) and answer.status_code == 200 else None


def _way_back(request: Request) -> tuple[str, str]:
    """Return where a person goes on: the page they came from, or the list of what they asked for."""
    here = request.url.path
    came = _came_from(request)
    if came is not None and came[0] != here and _route(request, came[0]) is not None:
        path, query = came
        return (f"{path}?{query}" if query else path), "Back to where you were"
    above = list(_above(here))[:-1]
    near = next((path for path in above[0 if request.method == "POST" else 1 :] if _route(request, path)), None)
    if near is not None and near != here:
        return near, "Back to the page above"
    section = section_of(here)
    return (section, f"To {dict(PLACES)[section]}") if section else ("/", "To the start page")
