"""Pages from templates, and the cleaned values of a request.

Everything in a template is escaped.
"""

import json
from collections.abc import Mapping
from unicodedata import category
from urllib.parse import parse_qsl, quote, urlencode

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from intake.desk import desk_startup
from intake.desk.request_state import desk_of, session_of
from intake.errors import FileError, IntakeError, RefusedError, StoreError, UsageError, about_field
from intake.flow.lookup.action_words import action_words
from intake.flow.lookup.reason_words import query_reason, reasons_words
from intake.flow.lookup.status import queries_words, waiting_count
from intake.flow.lookup.wording import edition_words, title_words, whole_words, written_number
from intake.flow.papers.copy_words import condition_words, recorded_words
from intake.flow.safekeeping.not_whole import not_whole_words
from intake.flow.unpacking.scan_results import option_words
from intake.units.counts import counted, noun

LONGEST_TEXT = 2000
"""Most characters of one field; what is longer is refused, never cut."""
LARGEST_ID = 2**53
"""The greatest whole number that every part of the way, a script included, keeps exactly."""
PLACES = (
    ("/", "Unpack"),
    ("/pile", "Queries"),
    ("/boxes", "Boxes"),
    ("/shelves", "Shelves"),
    ("/catalog", "Catalog"),
    ("/papers", "Papers"),
)
"""The sections of the desk, as its navigation names them."""
_SECTIONS = {
    "": "/",
    "unpack": "/",
    "progress": "/boxes",
    "bookcases": "/shelves",
    **dict.fromkeys(("copies", "editions", "serials", "sets", "pictures"), "/catalog"),
}

STATUS: Mapping[type[IntakeError], int] = {RefusedError: 409, UsageError: 400, FileError: 422, StoreError: 503}

pages = Environment(
    loader=PackageLoader("intake.desk"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)
pages.filters.update(
    counted=counted,
    noun=noun,
    title_words=title_words,
    edition_words=edition_words,
    whole_words=whole_words,
    action_words=action_words,
    option_words=option_words,
    query_reason=query_reason,
    queries_words=queries_words,
    reasons_words=reasons_words,
    written_number=written_number,
    condition_words=condition_words,
    recorded_words=recorded_words,
)


def page(request: Request, template: str, /, **values: object) -> Response:
    """Render a whole page for a session."""
    session, desk = session_of(request), desk_of(request)
    with desk.library.reading() as records:
        waiting = waiting_count(records)
    frame = {
        "link": "connected",
        "waiting": waiting,
        "questions": len(desk.approvals.waiting() if session.host else desk.approvals.unseen(session)),
        "not_whole": not_whole_words(desk.library.folder),
        "message": text_of(request.query_params.get("message", "")),
    }
    return bare_page(request, template, **frame, **values)


def bare_page(request: Request, template: str, /, **values: object) -> Response:
    """Render a whole page with the navigation, but with nothing around it that the library knows."""
    frame = {"link": "", "waiting": 0, "questions": 0, "not_whole": "", "message": ""}
    return HTMLResponse(
        pages.get_template(template).render(
            session=session_of(request),
            static=request.app.state.parts,
            sections=PLACES,
            section=section_of(request.url.path),
            form_id=desk_startup.random_code(12),
            not_done=not {"not_done", "loss"}.isdisjoint(request.query_params),
            **(frame | values),
        )
    )


def section_of(path: str) -> str:
    """Return the section that an address belongs to, as `PLACES` has it; empty where it belongs to none."""
    first = path.split("/")[1]
    section = _SECTIONS.get(first, f"/{first}")
    return section if section in dict(PLACES) else ""


def fragment(template: str, /, **values: object) -> str:
    """Render a part of a page."""
    return pages.get_template(template).render(**values)


def status_of(error: IntakeError) -> int:
    """Return the status of an answer to an error; a more special one has that of what it is one of."""
    return next((STATUS[kind] for kind in type(error).__mro__ if kind in STATUS), 400)


def back_to(path: str, message: str = "", *, not_done: bool = False, is_loss: bool = False) -> Response:
    """Send the browser on to a page after a form, with one sentence on what was done, or could not be; or is lost."""
    separator = "&" if "?" in path else "?"
    mark = "&not_done=1" if not_done else "&loss=1" if is_loss else ""
    return RedirectResponse(f"{path}{separator}message={quote(message)}{mark}" if message else path, 303)


def text_of(value: object) -> str:
    """Return a text as it was typed, without the white space around it; empty for anything that is not a text.

    Line breaks, and characters that are not seen but join or separate letters and give them their direction (U+200C and
    U+200D of Persian and of emoji: The Unicode Standard, 23.2), are a part of it. A form sends a line break as two
    characters (HTML Living Standard, "multipart form data" and "URL-encoded form data"); it is one again.

    Raises:
        UsageError: it is longer than is kept, or has a control character or half of a surrogate pair, which no person
            types; nothing is cut or left out.
    """
    if not isinstance(value, str):
        return ""
    text = value.replace("\r\n", "\n").replace("\r", "\n").strip()
    if len(text) > LONGEST_TEXT:
        why = f"has {len(text)} characters, more than the {LONGEST_TEXT} that are kept"
        raise UsageError(f"The text '{' '.join(_shown(text[:40]).split())} …'", why, "shorten it")
    if unfit := next((c for c in text if category(c) in ("Cc", "Cs") and c not in "\n\t"), None):
        why = f"has a character that cannot be kept (U+{ord(unfit):04X})"
        raise UsageError(f"The text '{' '.join(_shown(text[:40]).split())}'", why, "type it without that character")
    return text


def _shown(text: str) -> str:
    return "".join("�" if category(c) in ("Cc", "Cs") else c for c in text)


def id_of(value: object) -> int:
    """Read a whole number that may be the id of a record; 0, which none has, where it cannot be one."""
    text = text_of(value) if isinstance(value, str) else str(value) if isinstance(value, int) else ""
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 17 else 0
    return number if number < LARGEST_ID else 0


def begin_of(request: Request) -> int:
    """Return how many lines of a list come before those that are asked for; "from" counts from 1."""
    return max(0, id_of(request.query_params.get("from", "")) - 1)


def list_query(**asked: str) -> str:
    """Return what the addresses of a list's other pages keep of what was asked for; what is empty is left out."""
    return urlencode({name: text for name, text in asked.items() if text})


def fields_of(request: Request) -> dict[str, str]:
    """Return the fields of a form, or of a flat JSON object; what has no place in either is left out.

    Raises:
        UsageError: a text cannot be kept as it is, see `text_of`; a form is not UTF-8.
    """
    body: bytes = request.state.body
    if request.headers.get("content-type", "").startswith("application/json"):
        try:
            given = json.loads(body)
        except (ValueError, RecursionError):
            return {}
        pairs = given.items() if isinstance(given, dict) else ()
        return {text_of(name): _kept(name, value) for name, value in pairs}
    try:
        text = body.decode()
        typed = parse_qsl(text, keep_blank_values=True, max_num_fields=200, errors="strict")
    except UnicodeDecodeError as error:
        raise UsageError("What was sent", "is not text in UTF-8", "send it from the desk's page") from error
    except ValueError:
        return {}
    return {text_of(name): _kept(name, value) for name, value in typed}


def _kept(name: object, value: object) -> str:
    with about_field(str(name)):
        return _flat(value)


def _flat(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value) if isinstance(value, int) else text_of(value)
