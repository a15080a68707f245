"""Forms that were opened before another changed the same record: both values are shown, and the person chooses."""

from collections.abc import Iterable, Mapping
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from intake.desk.desk_startup import LibraryReader
from intake.desk.rendering import fragment, page
from intake.flow.lookup.two_versions import Overlap, Overlapping, as_opened, read_version, version_of
from intake.model.editions import Copy

VERSION = "version"
_OF_THE_FORM = (VERSION, "form_token", "request")


def version_in(fields: Mapping[str, str]) -> int:
    """Return the version that a form carries; see `read_version`."""
    return read_version(fields.get(VERSION, ""))


def both_shown(
    request: Request, outcome: Overlapping, fields: Mapping[str, str], labels: Mapping[str, str], name: str
) -> Response:
    """Show the fields that overlap, each with both values, in a form that saves what is chosen.

    Args:
        request: that the form came with; the new form goes the same way.
        outcome: what overlaps.
        fields: everything that was sent; it is sent again beside the choices.
        labels: the words for each field.
        name: what the form is about.
    """
    overlapping = {overlap.field for overlap in outcome.fields}
    values = {
        "outcome": outcome,
        "labels": labels,
        "rest": {name: text for name, text in fields.items() if name not in overlapping and name not in _OF_THE_FORM},
        "stations": " and ".join(f"station {station}" if station else "another" for station in outcome.stations),
        "name": name,
    }
    if request.url.path.startswith("/api/"):
        sentence = f"{name} was changed by {values['stations']} meanwhile. Nothing is saved yet: choose below."
        html = fragment("part_both.html", **values)
        return JSONResponse({"kind": "question", "sentence": sentence, "html": html}, 409)
    shown = page(request, "both.html", action=quote(request.scope["path"]), **values)
    shown.status_code = 409
    return shown


def place_overlap(records: LibraryReader, copy: Copy, fields: Mapping[str, str], typed: str) -> Overlapping | None:
    """Return what overlaps where a copy is put on a shelf, and another has put it elsewhere since."""
    opened, stations = as_opened(records, copy, version_in(fields))
    now, then = copy.place or "", (opened.place or "") if opened else ""
    if now in (then, typed):
        return None
    return Overlapping((Overlap("shelf", then, now, typed),), stations, version_of(records))


def state_overlap(records: LibraryReader, copy: Copy, fields: Mapping[str, str], typed: str) -> Overlapping | None:
    """Return what overlaps where a copy gets another state, and another has changed its state since."""
    opened, stations = as_opened(records, copy, version_in(fields))
    then = opened.state if opened else ""
    if copy.state in (then, typed):
        return None
    return Overlapping((Overlap("state", then, copy.state, typed),), stations, version_of(records))


def made_since(records: LibraryReader, copies: Iterable[Copy], version: int) -> tuple[str, ...]:
    """Return the numbers of copies that were not there yet at a version: its page did not show them."""
    return tuple(copy.accession for copy in copies if as_opened(records, copy, version)[0] is None)
