"""A copy was looked at after the move and is as it was recorded before: a report of that day which says so.

Without it a claim could not tell a copy that was found unchanged from one that nobody looked at.
"""

from dataclasses import dataclass

from intake.edges import clock
from intake.edges.store.library import Library
from intake.edges.store.queries.condition import condition_reports
from intake.edges.store.queries.ledger_entries import entry_of_request
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.condition.inspect_copy import check_here
from intake.flow.condition.reported_damage import refuse_damaged, reported_damage
from intake.flow.lookup.resolve import find_copy
from intake.model.changes import Action, ActionKind, LedgerEntry, Provisional, made, supposing
from intake.model.condition import Occasion, report_of
from intake.model.editions import Copy, CopyState
from intake.valuing.condition import occasion_of


@dataclass(frozen=True, slots=True)
class Confirmed:
    """A copy that was found as recorded, and the entry of the ledger."""

    copy: Copy
    entry: LedgerEntry


def can_be_confirmed(reader: LibraryReader, copy: Copy) -> bool:
    """Return whether anything is recorded of a copy that no report of after the move has confirmed or changed yet.

    Of a copy that was reported damaged, or left the collection, nothing can be confirmed.
    """
    if copy.state is CopyState.WITHDRAWN or reported_damage(reader, copy):
        return False
    if occasion_of(copy) is not Occasion.AFTER or not (copy.grade or copy.condition or copy.wrapped):
        return False
    return all(report.occasion is not Occasion.AFTER for report in condition_reports(reader, copy.accession))


def confirm_condition(library: Library, copy_text: str, *, station: str, request: str | None) -> Confirmed:
    """Record that a copy was found as its record says.

    Raises:
        RefusedError: the copy does not exist, is missing or was reported damaged, nothing is recorded of it, or a
            report of after the move exists already.
    """
    with library.reading() as reader:
        copy = find_copy(reader, copy_text)
        if request is not None and (earlier := entry_of_request(reader, request)) is not None:
            return Confirmed(copy, earlier)
        occasion = occasion_of(copy)
        check_here(copy, occasion)
        refuse_damaged(reader, copy)
        if not can_be_confirmed(reader, copy):
            why = "has no condition that waits to be confirmed"
            raise RefusedError(f"Copy {copy.accession}", why, "say what was seen of it")
    report = report_of(copy, Provisional().id(), at=clock.now(), occasion=occasion, station=station)
    action = Action(ActionKind.REPORT_CONDITION, copy.accession, station, request, note=occasion)
    return Confirmed(copy, library.apply(action, (*supposing(copy), *made(report))).entry)
