"""Photographs of copies: of damage, or of what is worth insuring."""

from datetime import datetime

from intake.edges.store.library import Library
from intake.flow.lookup.resolve import find_copy
from intake.flow.pictures.received import load_received
from intake.model.changes import Action, ActionKind, LedgerEntry, Provisional, made
from intake.model.condition import CopyPicture
from intake.model.editions import Copy
from intake.model.sightings import Picture, ReadingMethod, Sighting


def photograph_copy(
    library: Library,
    copy_text: str,
    data: bytes,
    *,
    note: str = "",
    report: int | None = None,
    request: str | None = None,
    station: str,
    now: datetime,
) -> tuple[Copy, LedgerEntry]:
    """Keep a picture of a copy: of damage, or of what is worth insuring.

    Args:
        library: where it is kept.
        copy_text: the copy, as typed.
        data: the bytes of the picture file.
        note: what it shows.
        report: the condition report that it belongs to, if to one.
        request: an id made by the station.
        station: who sends it.
        now: when it was sent.

    Raises:
        FileError: it is not a picture that can be opened.
        RefusedError: the copy does not exist.
    """
    picture = load_received(data).record
    with library.reading() as records:
        copy = find_copy(records, copy_text)
        is_kept = records.get(Picture, picture.sha256) is not None
    new = Provisional()
    sighting = Sighting(
        id=new.id(),
        copy=copy.accession,
        at=now,
        station=station,
        methods=ReadingMethod.PHOTOGRAPH.value,
        picture=picture.sha256,
    )
    shown = CopyPicture(id=new.id(), copy=copy.accession, picture=picture.sha256, report=report, note=note)
    action = Action(ActionKind.PHOTOGRAPH_COPY, copy.accession, station, request, note=note)
    records_made = (sighting, shown) if is_kept else (picture, sighting, shown)
    with library.keeping_picture(data, picture):
        return copy, library.apply(action, made(*records_made)).entry
