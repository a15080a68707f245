"""A query's unknown number at libraries' servers: offered where one is set, taken field by field."""

from dataclasses import dataclass
from threading import Lock

from starlette.requests import Request
from starlette.responses import Response

from intake.desk import desk_startup
from intake.desk.refusals import refusal
from intake.desk.rendering import LONGEST_TEXT, back_to, fields_of, id_of, page, pages
from intake.desk.request_state import desk_of, session_of
from intake.errors import FileError, UsageError
from intake.flow.lookup.ask_servers import LookupResult, look_up
from intake.flow.lookup.identify import edition_number
from intake.flow.lookup.lookup_targets import LookupTarget
from intake.flow.lookup.server_words import FIELD_WORDS, answer_words, left_out_words, note_words, value_words
from intake.flow.lookup.take_fields import FieldOffer, field_offers, new_edition
from intake.flow.unpacking import query_pile
from intake.flow.unpacking.advice import goes_words

PATIENCE_S = 1.0
"""How long a look-up waits for another station's to end; the servers are asked one thing at a time."""
_ONE_AT_A_TIME = Lock()

pages.filters.update(
    answer_words=answer_words,
    note_words=note_words,
    value_words=value_words,
    field_words=FIELD_WORDS.__getitem__,
)


@dataclass(frozen=True, slots=True)
class LookupOffer:
    """What the page of a query offers.

    Attributes:
        target: the number that the catalog does not have; None where there is no such number.
        servers: who would be asked, in this order; nobody where no server was set.
        trouble: why the setting cannot be used.
    """

    target: LookupTarget | None = None
    servers: tuple[str, ...] = ()
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class ShownRecord:
    """One record of a server, as the page shows it."""

    server: str
    offers: tuple[FieldOffer, ...]
    left_out: tuple[str, ...]


def lookup_offer(request: Request, item: query_pile.PileItem) -> LookupOffer:
    """Return what the page of a query offers; a setting that is wrong is said there, and stops nothing else."""
    identifier = edition_number(item.query.number or "")
    if identifier is None or item.identification.candidates:
        return LookupOffer()
    try:
        servers = desk_startup.lookup_urls(desk_of(request).library.folder)
    except FileError as error:
        return LookupOffer(trouble=str(error))
    return LookupOffer(LookupTarget(identifier), servers)


def look_up_query(request: Request) -> Response:
    """Ask the servers for the number of a query and show what they have; nothing is written."""
    query = id_of(request.path_params["query"])
    with desk_of(request).library.reading() as records:
        offer = lookup_offer(request, query_pile.find_query(records, query))
    if offer.target is None or not offer.servers:
        why = "cannot be looked up: it has no number, the catalog has it, or no library's server is set"
        return refusal(request, 409, f"Query {query}", why, "look at the query again")
    if not _ONE_AT_A_TIME.acquire(timeout=PATIENCE_S):
        return refusal(request, 503, "Another station", "is looking something up", "try it again in a moment")
    try:
        (result,) = look_up([offer.target], offer.servers, cache=desk_startup.lookup_cache())
    finally:
        _ONE_AT_A_TIME.release()
    return page(request, "lookup.html", query=query, result=result, records=_shown(result))


def take_fields(request: Request) -> Response:
    """Book a query as a copy of a new edition, with the fields that were ticked; the ledger names the server."""
    desk, fields, query = desk_of(request), fields_of(request), id_of(request.path_params["query"])
    with desk.library.reading() as records:
        item = query_pile.find_query(records, query)
    number = edition_number(item.query.number or "")
    values = {name: fields.get(name, "") for name in FIELD_WORDS if fields.get(f"take-{name}")}
    try:
        edition, set_title = new_edition(number, values)
    except UsageError as error:
        return refusal(request, 400, error.thing, error.why, error.remedy)
    server = fields.get("server", "")
    decided = query_pile.decide_new_edition(
        desk.library,
        query,
        edition,
        set_title=set_title,
        note=server if server in lookup_offer(request, item).servers else "",
        station=session_of(request).station,
        now=desk_startup.now(),
    )
    message = (
        f"Query {query} is copy {decided.copy.accession} of a new edition. {goes_words(decided.copy, decided.advice)}"
    )
    return back_to("/pile", message)


def _shown(result: LookupResult) -> list[ShownRecord]:
    """Return the records; a value longer than a field of the desk may be is shown with what is not kept."""
    shown: list[ShownRecord] = []
    for server, record in result.found:
        offers = field_offers(result.target, record)
        fitting = tuple(offer for offer in offers if len(value_words(offer.found)) <= LONGEST_TEXT)
        long = [(FIELD_WORDS[offer.name], value_words(offer.found)) for offer in offers if offer not in fitting]
        left_out = tuple(left_out_words(tag, text) for tag, text in (*long, *record.left_out))
        shown.append(ShownRecord(server, fitting, left_out))
    return shown
