"""The application: which address is answered by what, behind the guard."""

import asyncio
import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Route

from intake.desk import (
    app_pages,
    approval_pages,
    box_pages,
    catalog_pages,
    change_pages,
    copy_list_pages,
    desk_startup,
    edition_pages,
    inspection_parts,
    ledger_pages,
    login,
    lookup_pages,
    paper_pages,
    phone_limits,
    pile_pages,
    place_pages,
    progress_pages,
    scan_pages,
    serial_pages,
    set_pages,
    shelf_pages,
    start_pages,
    static_files,
    unpack_requests,
    whole_papers,
)
from intake.desk.approval_pages import asks_laptop
from intake.desk.daily_backup import write_daily
from intake.desk.events import watch
from intake.desk.guard import HEADERS, Guard
from intake.desk.refusals import refusal, refused
from intake.desk.request_state import Desk, desk_of, session_of
from intake.desk.sessions import Sessions
from intake.desk.steps import step_pages
from intake.errors import IntakeError
from intake.flow.lookup.action_words import action_words
from intake.flow.lookup.status import entries_after, library_status
from intake.flow.safekeeping.damage import damage_of
from intake.units.advice import ReadAt, read_at

logger = logging.getLogger(__name__)

KEEP_SESSIONS_S = 60
NEWS = 50
"""Most entries that are sent at a time; a page that gets any of them reloads what it shows."""


async def events(request: Request) -> Response:
    """Send a page the changes, for as long as it listens."""
    headers = {"X-Accel-Buffering": "no"}
    stream = desk_of(request).hub.listen(session_of(request))
    return StreamingResponse(stream, media_type="text/event-stream", headers=headers)


def not_found(request: Request, error: Exception) -> Response:
    """Answer an address or a method that does not exist."""
    status = error.status_code if isinstance(error, HTTPException) else 404
    why = "only takes what a form sends" if status == 405 else "is not one of the desk's"
    return refusal(request, status, "This address", why, "go on below")


def failed(request: Request, error: Exception) -> Response:
    """Answer an unexpected error; the details are in the desk's log."""
    mark = desk_startup.random_code(6)
    path = request.scope["raw_path"].decode("ascii", "replace")
    logger.error("unexpected error %s at %s", mark, path, exc_info=error)
    with read_at(ReadAt.DESK):  # the answer to an error that nobody caught does not pass the guard
        damage = damage_of(desk_of(request).library)
        if damage is not None:
            response = refusal(request, 503, damage.thing, damage.why, damage.remedy, is_readable=False)
        else:
            why = f"had an unexpected error ({mark} in its log); nothing was left half-done"
            response = refusal(request, 500, "The desk", why, "try it again")
    response.headers.update({**HEADERS, "Cache-Control": "no-store"})
    return response


def latest_events(desk: Desk, after: int) -> list[dict[str, object]]:
    """Return the entries of the ledger after one, oldest first, as events."""
    with desk.library.reading() as records:
        entries = entries_after(records, after, NEWS)
    return [
        {
            "seq": entry.seq,
            "what": action_words(entry.action),
            "of": entry.action.subject,
            "station": entry.action.station,
        }
        for entry in entries
    ]


def save_sessions(sessions: Sessions) -> None:
    """Keep when sessions were used last; a failure is logged, for they go on without it."""
    try:
        sessions.save_if_changed()
    except IntakeError as error:
        logger.warning("when stations were used last was not kept: %s", error)


async def keep_sessions(sessions: Sessions) -> None:
    """Keep the sessions now and then, until cancelled."""
    while True:
        await asyncio.sleep(KEEP_SESSIONS_S)
        await asyncio.to_thread(save_sessions, sessions)


def make_app(desk: Desk) -> Starlette:
    """Return the application of one desk."""

    @asynccontextmanager
    async def lifespan(_app: Starlette) -> AsyncIterator[None]:
        with desk.library.reading() as records:
            start = library_status(records).counts.entries
        listener = desk.library.listener()
        watching = asyncio.create_task(watch(desk.hub, listener.wait, lambda after: latest_events(desk, after), start))
        saving = asyncio.create_task(write_daily(desk.library))
        keeping = asyncio.create_task(keep_sessions(desk.authenticator.sessions))
        yield
        desk.hub.close()
        for task in (saving, watching, keeping):
            task.cancel()
            with suppress(asyncio.CancelledError):
                await task
        listener.close()
        desk.uploads.close()
        save_sessions(desk.authenticator.sessions)

    app = Starlette(
        routes=ROUTES,
        lifespan=lifespan,
        middleware=[Middleware(Guard, desk=desk)],
        exception_handlers={IntakeError: refused, HTTPException: not_found, Exception: failed},
    )
    app.state.desk = desk
    app.state.static = static_files.read_files()
    app.state.parts = static_files.parts_address(app.state.static)
    return app


def _post(path: str, endpoint: object) -> Route:
    return Route(path, endpoint, methods=["POST"])  # type: ignore[arg-type] # any handler of this package


ROUTES = [
    Route("/", unpack_requests.choose),
    Route("/static/{name}", static_files.static),
    Route("/static/{mark}/{name}", static_files.part),
    Route("/app.webmanifest", app_pages.show_manifest),
    Route("/worker.js", static_files.worker),
    Route("/offline", app_pages.show_offline),
    Route("/events", events),
    Route("/enter", login.enter),
    Route("/pair", login.pair_form),
    _post("/pair", login.pair),
    Route("/pairing", login.pairing),
    _post("/pairing/code", login.show_new_code),
    _post("/pairing/forget", login.forget),
    _post("/stations/{session}/end", login.send_away),
    Route("/station", login.own_station),
    _post("/sign-out", login.sign_out),
    Route("/asked", approval_pages.show_waiting),
    Route("/asked/{number}", approval_pages.show_own),
    Route("/asked/{number}/answer", approval_pages.show_answer),
    _post("/asked/{number}/word", approval_pages.decide),
    Route("/authority", login.authority),
    _post("/unpack", unpack_requests.choose_typed),
    Route("/unpack/{box}", unpack_requests.unpack),
    _post("/api/scan", scan_pages.scan),
    _post("/scan", scan_pages.scan_form),
    _post("/api/picture", unpack_requests.picture),
    _post("/api/facts", unpack_requests.facts),
    _post("/api/photograph", unpack_requests.photograph),
    _post("/api/decide", unpack_requests.decide),
    _post("/api/shelve", scan_pages.put_last),
    _post("/api/undo", asks_laptop(unpack_requests.take_back, phone_limits.taking_back)),
    Route("/api/typing", unpack_requests.help_typing),
    Route("/api/imprint", inspection_parts.help_imprint),
    Route("/api/collects", serial_pages.help_collects),
    Route("/api/box-list", app_pages.list_box),
    Route("/api/queries", pile_pages.show_decisions),
    Route("/api/writing", unpack_requests.writing),
    _post("/undo", asks_laptop(unpack_requests.take_back, phone_limits.taking_back)),
    Route("/boxes", box_pages.show_boxes),
    Route("/progress", progress_pages.show_progress),
    Route("/boxes/{box}", box_pages.show_box),
    _post("/boxes/{box}/arrive", unpack_requests.check_in),
    _post("/boxes/{box}/finish", asks_laptop(box_pages.finish, phone_limits.finishing, phone_limits.would_be_missing)),
    Route("/pile", pile_pages.show_pile),
    Route("/pile/{query}", pile_pages.show_query),
    _post("/pile/{query}/decide", pile_pages.decide_query),
    _post("/pile/{query}/new", pile_pages.decide_new),
    _post("/pile/{query}/aside", pile_pages.set_aside),
    _post("/pile/{query}/lookup", lookup_pages.look_up_query),
    _post("/pile/{query}/take", lookup_pages.take_fields),
    Route("/catalog", copy_list_pages.show_catalog),
    Route("/sets", set_pages.show_sets),
    Route("/sets/{set}", set_pages.show_set),
    Route("/serials", serial_pages.show_serials),
    Route("/serials/{serial:path}", serial_pages.show_serial),
    _post("/serials/{serial:path}", serial_pages.give_extent),
    Route("/editions/{edition}", catalog_pages.show_edition),
    _post("/editions/{edition}", catalog_pages.edit),
    Route("/editions/{edition}/merge", edition_pages.show_merge),
    _post("/editions/{edition}/merge", asks_laptop(edition_pages.merge, phone_limits.merging)),
    _post("/editions/{edition}/withdraw", asks_laptop(edition_pages.withdraw_all, phone_limits.withdrawing_all)),
    Route("/copies", copy_list_pages.show_copies),
    Route("/copies/{copy}", catalog_pages.show_copy),
    Route("/copies/{copy}/changes", change_pages.show_changes),
    Route("/copies/{copy}/changes/{side}", change_pages.show_cover),
    _post("/copies/{copy}/facts", unpack_requests.facts),
    _post("/copies/{copy}/why", serial_pages.keep),
    _post("/copies/{copy}/shelf", catalog_pages.put_on_shelf),
    _post("/copies/{copy}/withdraw", asks_laptop(catalog_pages.withdraw, phone_limits.withdrawing)),
    Route("/pictures/{size}/{sha256}", catalog_pages.show_picture),
    Route("/shelves", shelf_pages.show_shelves),
    Route("/shelves/{shelf}", shelf_pages.show_shelf),
    _post("/shelves", shelf_pages.put),
    Route("/bookcases/{case}", place_pages.show_bookcase),
    Route("/start", start_pages.show_start),
    Route("/keeping", start_pages.show_keeping),
    Route("/archives/{name}", asks_laptop(start_pages.save_archive, start_pages.archive_question)),
    Route("/kept/{key}", step_pages.hand_over),
    Route("/steps", step_pages.show_steps),
    Route("/steps/{step}", asks_laptop(step_pages.show_step, step_pages.laptop_question)),
    _post("/steps/{step}", asks_laptop(step_pages.take_step, step_pages.laptop_question)),
    Route("/papers", paper_pages.show_papers),
    Route("/papers/{paper}.{suffix}", asks_laptop(paper_pages.show_paper, phone_limits.seeing_values)),
    Route("/papers/whole/{key}", whole_papers.show_whole),
    _post("/papers/{paper}/whole", asks_laptop(whole_papers.start_whole, phone_limits.seeing_values)),
    _post("/papers/{paper}/printed", paper_pages.note_printed),
    Route("/ledger", ledger_pages.show_ledger),
    Route("/ledger/{entry}", ledger_pages.show_entry),
]
