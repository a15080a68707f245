"""The ledger, newest first, to its beginning: what each step changed, and what of it can be taken back."""

from starlette.requests import Request
from starlette.responses import Response

from intake.desk.daily_backup import backup_line
from intake.desk.desk_startup import LibraryReader
from intake.desk.refusals import refusal
from intake.desk.rendering import begin_of, id_of, list_query, page, text_of
from intake.desk.request_state import desk_of, session_of
from intake.flow.lookup.entry_changes import step_changes
from intake.flow.lookup.history import history_of_step, latest_history
from intake.flow.lookup.list_filter import ListFilter, read_filter
from intake.flow.lookup.status import library_status
from intake.model.identifiers import OwnKind
from intake.units.paging import first_of_page

STEPS_A_PAGE = 60
CHANGES_A_PAGE = 200
TABLES = {OwnKind.COPY: "copy", OwnKind.BOX: "box", OwnKind.PLACE: "place"}


def show_ledger(request: Request) -> Response:
    """Show the latest steps, those before an entry, or those about one thing; each can be taken back."""
    query = request.query_params
    entry = id_of(query.get("entry", ""))
    before = entry + 1 if entry else id_of(query.get("before", "")) or None
    text = text_of(query.get("q", ""))
    with desk_of(request).library.reading() as records:
        typed = read_filter(records, text)
        about = _about(typed)
        history = latest_history(records, STEPS_A_PAGE, before, about=about)
        changes = step_changes(
            records, [(line.first, line.seq) for line in history.lines], values=session_of(request).host
        )
        status = library_status(records)
    last = status.counts.entries
    newer = (history.lines[0].seq if history.lines else 0) + STEPS_A_PAGE + 1
    return page(
        request,
        "ledger.html",
        history=history,
        changes=changes,
        head=status.head,
        last=last,
        before=before,
        newer=newer if before and newer <= last and about is None else None,
        first=STEPS_A_PAGE + 1,
        asked=text,
        about=about[1] if about else "",
        query=list_query(q=text),
        backup=backup_line(desk_of(request).library.folder, last),
    )


def _about(typed: ListFilter) -> tuple[str, str] | None:
    """Return table and key of what was typed: a number of the tool's own, or words that only one copy has."""
    if typed.own:
        return TABLES[OwnKind(typed.own[0])], typed.own
    if len(typed.copies) == 1:
        return "copy", typed.copies[0].accession
    return None


def show_entry(request: Request) -> Response:
    """Show everything that one entry changed, a page at a time."""
    seq = id_of(request.path_params["entry"])
    begin = begin_of(request)
    with desk_of(request).library.reading() as records:
        line = history_of_step(records, seq)
        if line is None:
            return refusal(request, 404, f"Entry {seq}", "is not in the ledger", "look at the ledger again")
        total, begin = _page_of(records, seq, begin)
        changes = step_changes(
            records, [(seq, seq)], begin=begin, count=CHANGES_A_PAGE, values=session_of(request).host
        )[seq]
    return page(request, "entry.html", line=line, changes=changes, begin=begin, total=total, count=CHANGES_A_PAGE)


def _page_of(records: LibraryReader, seq: int, begin: int) -> tuple[int, int]:
    total = step_changes(records, [(seq, seq)], count=0)[seq].total
    return total, first_of_page(begin, total, CHANGES_A_PAGE)
