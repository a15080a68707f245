"""How far a serial goes, as a person gives it."""

from intake.edges.store.library import Library
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.lookup.plan_again import plan_again
from intake.flow.lookup.statement_words import fault_words
from intake.flow.runs.serial_map import CollectedParts, collected_parts, serial_names, serial_title, serials_like
from intake.model.changes import Action, ActionKind, Change, LedgerEntry, Provisional
from intake.model.serials import Serial
from intake.runs.notation import read_parts, serial_key
from intake.runs.statements import StatementFault


def set_extent(library: Library, title: str, extent: str, *, station: str) -> LedgerEntry | None:
    """Record the whole extent of a serial; an empty one takes back what was given.

    Args:
        library: where it is recorded.
        title: of the serial, in full; a serial that no edition collects yet may be named too, unless its name may be
            short for one that is known.
        extent: its parts, such as "1-120, annual 1-4".
        station: who does it.

    Returns:
        The entry of the ledger; None where it was recorded so already.

    Raises:
        UsageError: the extent is not understood, or the serial has no name.
        RefusedError: the name may be short for a known serial.
    """
    return plan_again(lambda: _set_once(library, title, extent, station))


def _set_once(library: Library, title: str, extent: str, station: str) -> LedgerEntry | None:
    with library.reading() as reader:
        change = plan_extent(reader, title, extent)
    return apply_extent(library, title, change, station=station)


def apply_extent(library: Library, title: str, change: Change, *, station: str) -> LedgerEntry | None:
    """Apply what `plan_extent` has planned; return its entry, None where it changes nothing."""
    if change.before == change.after:
        return None
    return library.apply(Action(ActionKind.SET_EXTENT, title.strip(), station), (change,)).entry


def plan_extent(reader: LibraryReader, title: str, extent: str) -> Change:
    """Plan the record of a serial's extent.

    Raises:
        UsageError: the extent is not understood, or the serial has no name.
        RefusedError: the name may be short for a known serial.
    """
    key = serial_key(title)
    if not key:
        raise UsageError("The serial", "has no name", "name it as the editions do that collect it")
    read = read_parts(extent) if extent.strip() else None
    if isinstance(read, StatementFault):
        raise UsageError(f"The extent {extent!r}", "is not understood", fault_words(read))
    collected = collected_parts(reader)
    _check_name(collected, title, key)
    before = collected.extents.get(key)
    if read is None:
        return Change(before, None)
    written = serial_title(collected, key) if collected.by_serial.get(key) else title.strip()
    own = before.id if before is not None else Provisional().id()
    return Change(before, Serial(id=own, title=written, extent=extent.strip()))


def _check_name(collected: CollectedParts, title: str, key: str) -> None:
    """Refuse a new serial where other questions would take its name for the beginning of a known one."""
    if key in collected.by_serial or not (like := serials_like(collected, key)):
        return
    raise RefusedError(
        f"The serial '{title.strip()}'",
        f"is collected by no edition, and may be short for {serial_names(collected, like)}",
        "name the serial in full; if it is another one, state first what an edition collects of it",
    )
