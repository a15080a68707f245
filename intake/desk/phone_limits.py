"""Which steps of a phone need the laptop's word, and what the laptop is asked."""

from collections.abc import Mapping

from starlette.requests import Request

from intake.desk.edition_pages import edition_shown
from intake.desk.rendering import fields_of, id_of, text_of
from intake.desk.request_state import desk_of, session_of
from intake.errors import UsageError
from intake.flow.lookup.action_words import action_words, subject_words
from intake.flow.lookup.find_lines import box_lines
from intake.flow.lookup.resolve import find_box, find_copy
from intake.flow.lookup.status import entry_numbered
from intake.flow.lookup.wording import title_words
from intake.flow.moving.progress import box_progress
from intake.flow.papers.option_fields import SHOW_VALUES
from intake.flow.papers.paper import PaperGroup
from intake.flow.papers.registry import PAPERS, find_paper
from intake.flow.undo import undone_step
from intake.model.editions import CopyState, Edition

VALUE_PAPERS = frozenset(
    {paper.name for paper in PAPERS if paper.group is PaperGroup.LISTS} | {"copy", "discrepancies", "notice", "periods"}
)
"""The papers that say what copies are worth, or what is claimed for them."""

MOST_NAMED = 12
"""Copies that the laptop is told of by name."""


def finishing(request: Request) -> str:
    """Return the question for finishing a box: what was not seen is recorded as missing then."""
    with desk_of(request).library.reading() as records:
        box = find_box(records, text_of(request.path_params["box"]))
        waits = box_progress(records, box).waits
    return f"finish box {box.number}" + (f" and record {waits} as missing" if waits else "")


def would_be_missing(request: Request) -> tuple[str, ...]:
    """Return the copies that would be recorded as missing if the box were finished now, and the reason typed for it."""
    with desk_of(request).library.reading() as records:
        lines = box_lines(records, find_box(records, text_of(request.path_params["box"])).number)
    missing = [f"{line.copy} {line.title}" for line in lines if line.state == CopyState.PACKED and not line.is_surplus]
    more = [f"and {len(missing) - MOST_NAMED} more"] if len(missing) > MOST_NAMED else []
    reason = fields_of(request).get("reason", "").strip()
    return (*missing[:MOST_NAMED], *more, *([f"Why, as typed: {reason}"] if missing and reason else []))


def taking_back(request: Request) -> str | None:
    """Return the question for taking back a step of another; None for a station's own since it was let in."""
    session, seq = session_of(request), id_of(fields_of(request).get("entry", ""))
    with desk_of(request).library.reading() as records:
        entry = entry_numbered(records, seq)
        if entry is None or (entry.action.station == session.station and entry.at >= session.let_in_at):
            return None
        step, again = undone_step(records, entry)
    words = f"'{action_words(step.action)}' of {subject_words(step.action)}"
    whose = entry.action.station
    return f"do {words} again, which {whose} took back" if again else f"take back {words}, a step of {whose}"


def withdrawing(request: Request) -> str:
    """Return the question for withdrawing a copy, with what was got for it."""
    fields = fields_of(request)
    with desk_of(request).library.reading() as records:
        copy = find_copy(records, text_of(request.path_params["copy"]))
    return f"withdraw copy {copy.accession} from the collection{_received(fields)}"


def withdrawing_all(request: Request) -> str:
    """Return the question for withdrawing all copies of an edition."""
    received = _received(fields_of(request))
    return f"withdraw all copies of '{_title(request)}' from the collection{received}{' each' if received else ''}"


def merging(request: Request) -> str:
    """Return the question for merging an edition into another."""
    into = fields_of(request).get("into", "")
    with desk_of(request).library.reading() as records:
        kept = edition_shown(records, into)
    name = title_words(kept) if kept is not None else into
    return f"merge the record of '{_title(request)}' into that of '{name}'"


def _received(fields: Mapping[str, str]) -> str:
    return f" for {fields['amount']} {fields.get('currency', '')}".rstrip() if fields.get("amount") else ""


def _title(request: Request) -> str:
    with desk_of(request).library.reading() as records:
        edition = records.get(Edition, id_of(request.path_params["edition"]))
    return title_words(edition) if edition is not None else "an edition that is not in the library"


def lists_values(name: str, asked: Mapping[str, str]) -> bool:
    """Return whether a paper lists values: always, or as its options are asked for."""
    return name in VALUE_PAPERS or bool(asked.get(SHOW_VALUES.name))


def seeing_values(request: Request) -> str | None:
    """Return the question for a paper that lists values; None for any other."""
    name = text_of(request.path_params["paper"])
    if not lists_values(name, request.query_params):
        return None
    try:
        return f"see the paper '{find_paper(name).title}', which lists values"
    except UsageError:
        return None
