"""What waits for the laptop's word: the laptop's list with yes and no, and the phone's page of one request."""

import logging
from collections.abc import Callable
from functools import wraps

from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from intake.desk.approvals import MOST_OF_A_STATION, Approval, ApprovalState, Endpoint
from intake.desk.refusals import AGAIN, refusal, refused
from intake.desk.rendering import back_to, fields_of, id_of, page
from intake.desk.request_state import desk_of, session_of
from intake.errors import IntakeError

logger = logging.getLogger(__name__)


def asks_laptop(
    endpoint: Endpoint,
    question: Callable[[Request], str | None],
    facts: Callable[[Request], tuple[str, ...]] = lambda _: (),
) -> Endpoint:
    """Return an endpoint that a phone reaches with the laptop's word only.

    Args:
        endpoint: what the request does.
        question: returns what the laptop is to be asked; None where the phone may do it on its own.
        facts: returns what whoever says yes should know besides, a line each.
    """

    @wraps(endpoint)
    def ask_first(request: Request) -> Response:
        if session_of(request).host or (asked := question(request)) is None:
            return endpoint(request)
        if AGAIN in request.scope:  # a page is only looked for, to show a form of it again
            return refusal(request, 403, "This page", "is shown once the laptop says yes", "ask for it there")
        desk = desk_of(request)
        if desk.approvals.use(session_of(request), request):
            return endpoint(request)
        approval = desk.approvals.ask(session_of(request), request, endpoint, asked, _page_of(request), facts(request))
        desk.hub.tell_laptop(f"{approval.session.station} asks: {asked}")
        if request.url.path.startswith("/api/"):
            sentence = f"The laptop is asked to {asked}. Nothing changes until somebody there says yes."
            return JSONResponse({"kind": "question", "sentence": sentence, "entry": None}, 202)
        return RedirectResponse(f"/asked/{approval.id}", 303)

    return ask_first


def show_waiting(request: Request) -> Response:
    """List what waits; only the laptop answers."""
    if not session_of(request).host:
        return refusal(request, 403, "This page", "is for the laptop of the desk", "answer there")
    return page(request, "asked_list.html", approvals=desk_of(request).approvals.waiting())


def decide(request: Request) -> Response:
    """Say yes or no to a request; with a yes it runs."""
    desk = desk_of(request)
    if not session_of(request).host:
        return refusal(request, 403, "This step", "is for the laptop of the desk", "do it there")
    word = fields_of(request).get("word", "")
    if word not in ("yes", "no"):
        return refusal(request, 400, "The answer", "is neither yes nor no", "press one of the two")
    approval = desk.approvals.decide(id_of(request.path_params["number"]), granted=word == "yes")
    logger.info("the laptop said %s to a request of '%s'", word, approval.session.station)
    if word == "yes":
        _run(approval)
    outcome = "no" if word == "no" else "yes, but it could not be done" if approval.failed else "yes"
    desk.hub.tell(approval.session.id, f"The laptop said {outcome}: {approval.question}")
    why = f" {approval.why}" if approval.why else ""
    return back_to(
        "/asked",
        f"{approval.session.station} asked: {approval.question}. Your answer: {outcome}.{why}",
        not_done=approval.failed,
    )


def show_own(request: Request) -> Response:
    """Show a phone how far its request is."""
    approval = desk_of(request).approvals.of(session_of(request), id_of(request.path_params["number"]))
    if approval is None:
        return _not_kept(request)
    approval.seen = approval.answered_at is not None
    return page(request, "asked.html", approval=approval, states=ApprovalState)


def show_answer(request: Request) -> Response:
    """Hand a phone the answer to its request: the page it leads to, the paper, or why it could not be done."""
    approval = desk_of(request).approvals.of(session_of(request), id_of(request.path_params["number"]))
    if approval is None:
        return _not_kept(request)
    if approval.answer is None:
        why = "has no answer: the laptop has not said yes to it"
        return refusal(request, 404, "This request", why, "look at its page")
    approval.seen = approval.used = True
    return approval.answer


def _run(approval: Approval) -> None:
    """Do what was asked for, as the phone's own station."""
    try:
        approval.answer = approval.endpoint(approval.request)
    except IntakeError as error:
        approval.answer, approval.why = refused(approval.request, error), str(error)
    except Exception:
        why = "had an unexpected error; nothing was left half-done"
        approval.answer = refusal(approval.request, 500, "The desk", why, "ask again")
        raise


def _page_of(request: Request) -> str:
    """Return the desk's page that a request came from, the start page where it does not say."""
    origin = f"{request.url.scheme}://{request.url.netloc}"
    referer = request.headers.get("referer", "")
    page = referer.removeprefix(origin) if referer.startswith(f"{origin}/") else "/"
    return "/" if page.startswith("//") else page


def _not_kept(request: Request) -> Response:
    why = (
        f"is not kept: the latest {MOST_OF_A_STATION} requests of a station are, until it signs out or the desk stops, "
        "and no other station is shown them"
    )
    return refusal(request, 404, "This request", why, "ask again")
