"""Copies are put into an open box, all of them or none."""

from collections.abc import Sequence
from dataclasses import replace

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.reason_words import where_recorded
from intake.flow.lookup.resolve import find_box, find_copy, find_edition, refuse_withdrawn
from intake.identifiers.parse import parse
from intake.model.boxes import Box, BoxState
from intake.model.changes import Action, ActionKind, Change, Provisional, supposing
from intake.model.editions import UNSEEN, Copy, CopyState
from intake.model.identifiers import Identifier, OwnKind
from intake.units.advice import advice


def pack(library: Library, box_text: str, what: str, *, another: bool = False, station: str) -> Copy:
    """Put one copy into an open box; see `pack_all`."""
    return pack_all(library, box_text, [what], another=another, station=station)[0]


def pack_all(
    library: Library, box_text: str, texts: Sequence[str], *, another: bool = False, station: str
) -> tuple[Copy, ...]:
    """Put copies into an open box, all of them or none; each is an entry of the ledger of its own.

    Args:
        library: where it is recorded.
        box_text: the box, as typed.
        texts: for each the copy's own number; or an edition's key or number, which means a copy of it that is not yet
            packed, or a new copy if none is recorded.
        another: an edition of which every copy is packed already means one more copy.
        station: who does it.

    Raises:
        RefusedError: the box is not open, or a copy lies in a box already.
    """
    packed: list[Copy] = []
    steps: list[tuple[Action, tuple[Change, ...]]] = []
    with library.reading() as records:
        box = _open_box(records, box_text)
        for text in texts:
            recorded, copy = _copy_to_pack(records, text, packed, another=another)
            packed.append(replace(copy, state=CopyState.PACKED, box=box.number, place=None, position=None))
            action = Action(ActionKind.PACK_COPY, copy.accession, station)
            steps.append((action, (Change(recorded, packed[-1]), *supposing(box))))
    applied = library.apply_all(steps)
    return tuple(replace(copy, accession=step.key(copy.accession)) for copy, step in zip(packed, applied, strict=True))


def _open_box(records: LibraryReader, box_text: str) -> Box:
    box = find_box(records, box_text)
    if box.state is not BoxState.OPEN:
        raise RefusedError(f"Box {box.number}", f"is {box.state}", "open another box, or undo its closing", field="box")
    return box


def _copy_to_pack(
    records: LibraryReader, what: str, taken: Sequence[Copy], *, another: bool
) -> tuple[Copy | None, Copy]:
    """Return the copy as stored, and as it is to be packed; None and a new one where the edition has none to pack.

    Raises:
        RefusedError: it lies in a box already or is `taken`; or each copy of the edition is, and not `another`.
    """
    accessions = {copy.accession for copy in taken}
    number = parse(what)
    if isinstance(number, Identifier) and number.own_kind is OwnKind.COPY:
        copy = find_copy(records, what)
        refuse_withdrawn(copy)
        if copy.accession in accessions:
            raise RefusedError(f"Copy {copy.accession}", "is named twice", "name it once", field="copy")
        if copy.state is CopyState.PACKED:
            raise RefusedError(
                f"Copy {copy.accession}", f"is in box {copy.box} already", "undo that step first", field="copy"
            )
        return copy, copy
    edition = find_edition(records, what)
    copies = copies_of_editions(records, [edition.id])
    at_hand = [copy for copy in copies if copy.state not in UNSEEN]
    if free := [copy for copy in at_hand if copy.accession not in accessions]:
        copy = min(free, key=lambda copy: (copy.state is not CopyState.AT_HAND, len(copy.accession), copy.accession))
        return copy, copy
    where = [
        f"copy {copy.accession} is {where_recorded(copy.state, copy.box)}" for copy in copies if copy not in at_hand
    ]
    named = sum(copy.edition_id == edition.id for copy in taken)
    if (where or named) and not another:
        twice = [f"{named} named in this step already"] if named else []
        remedy = advice(
            "name the copy that you hold, or add --another if it is another one beside these",
            "name the copy that you hold, or tick that it is another one beside these",
        )
        raise RefusedError(
            f"'{edition.title}'", f"has no copy left to pack ({'; '.join([*where, *twice])})", remedy, field="copy"
        )
    return None, Copy(accession=Provisional().number(OwnKind.COPY), edition_id=edition.id)
