"""The form of how far a serial goes."""

from collections.abc import Mapping
from functools import partial

from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import changes_since
from intake.edges.store.reader import LibraryReader
from intake.errors import about_field
from intake.flow.lookup.plan_again import plan_again
from intake.flow.lookup.two_versions import Overlapping, Saved, as_opened, as_sent, overlaps, version_of
from intake.flow.runs.set_extent import apply_extent, plan_extent
from intake.model.serials import Serial
from intake.runs.notation import serial_key

EXTENT = "extent"
EXTENT_FORM: Mapping[str, str] = {EXTENT: "All its parts"}
"""The field of the form, with its label."""


def save_extent(library: Library, title: str, extent: str, *, version: int, station: str) -> Saved | Overlapping:
    """Save the form that was opened at a version; an empty extent takes back what was given.

    Raises:
        UsageError: the extent is not understood.
    """
    return plan_again(partial(_save_once, library, title, extent, version, station))


def _save_once(library: Library, title: str, extent: str, version: int, station: str) -> Saved | Overlapping:
    with library.reading() as reader:
        with about_field(EXTENT):
            change = plan_extent(reader, title, extent)
        recorded = change.before if isinstance(change.before, Serial) else None
        opened, stations = _as_opened(reader, title, recorded, version)
        shown = version_of(reader)
    if fields := overlaps(_values(opened), _values(recorded), {EXTENT: as_sent(extent)}):
        return Overlapping(fields, stations, shown)
    return Saved(apply_extent(library, title, change, station=station))


def _as_opened(
    reader: LibraryReader, title: str, recorded: Serial | None, version: int
) -> tuple[Serial | None, tuple[str, ...]]:
    """Return what was recorded of a serial at a version, and who has changed it since."""
    if recorded is not None:
        return as_opened(reader, recorded, version)
    # Its record may have been removed since: nothing but the ledger has it then.
    for _, change in changes_since(reader, version):
        if isinstance(change.before, Serial) and serial_key(change.before.title) == serial_key(title):
            return as_opened(reader, change.before, version)
    return None, ()


def _values(serial: Serial | None) -> dict[str, str]:
    return {EXTENT: "" if serial is None else as_sent(serial.extent)}
