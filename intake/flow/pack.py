"""The course of a box: opened, filled, closed, checked in, finished. Each step is one transaction."""

from dataclasses import replace

from intake.documents import cautions
from intake.edges.store.library import Library
from intake.edges.store.work import Work
from intake.errors import RefusedError
from intake.flow.finding import find_box, find_copy, find_edition, new_number, own_number
from intake.identifiers.parse import parse
from intake.model.boxes import Box, BoxState
from intake.model.changes import Action, Change, made
from intake.model.editions import Copy, CopyState
from intake.model.identifiers import Identifier, OwnKind


def open_box(library: Library, box: Box, *, station: str) -> Box:
    """Record a new, open box; an empty number takes the next free one.

    Raises:
        RefusedError: a box carries the number already.
    """
    with library.writing() as work:
        number = own_number(box.number, OwnKind.BOX) if box.number else new_number(work, OwnKind.BOX)
        held = work.box(number)
        if held is not None:
            raise RefusedError(f"Box {number}", f"is recorded already and is {held.state}", "give another number")
        numbered = replace(box, number=number)
        work.apply(Action("open box", number, station), made(numbered))
        return numbered


def pack(library: Library, box_text: str, what: str, *, station: str) -> Copy:
    """Put one copy into an open box.

    Args:
        library: where it is recorded.
        box_text: the box, as typed.
        what: the copy's own number; or an edition's key or number, which means a copy of it that is at hand, or a new
            one where no copy of it is.
        station: who does it.

    Raises:
        RefusedError: the box is not open, or the copy lies in a box already.
    """
    with library.writing() as work:
        box = find_box(work, box_text)
        if box.state is not BoxState.OPEN:
            raise RefusedError(f"Box {box.number}", f"is {box.state}", "open another box, or undo its closing")
        copy = _copy_to_pack(work, what)
        if copy.state is CopyState.PACKED:
            raise RefusedError(f"Copy {copy.accession}", f"lies in box {copy.box} already", "undo that step first")
        packed = replace(copy, state=CopyState.PACKED, box=box.number, place=None)
        held = work.copy(copy.accession)
        change = Change(held, packed)
        work.apply(Action("pack copy", packed.accession, station), (change,))
        return packed


def _copy_to_pack(work: Work, what: str) -> Copy:
    found = parse(what)
    if isinstance(found, Identifier) and found.own_kind is OwnKind.COPY:
        return find_copy(work, what)
    edition = find_edition(work, what)
    copies = work.copies_of([edition.id])
    at_hand = [copy for copy in copies if copy.state not in (CopyState.PACKED, CopyState.MISSING)]
    if at_hand:
        return min(at_hand, key=lambda copy: (copy.state is not CopyState.AT_HAND, len(copy.accession), copy.accession))
    return Copy(accession=new_number(work, OwnKind.COPY), edition_id=edition.id)


def close_box(library: Library, box_text: str, *, gross_g: float | None = None, seal: str = "", station: str) -> Box:
    """Close a box, with its mass and seal where known.

    Raises:
        RefusedError: it is not open, or nothing lies in it.
    """
    with library.writing() as work:
        box = find_box(work, box_text)
        if box.state is not BoxState.OPEN:
            raise RefusedError(f"Box {box.number}", f"is {box.state} already", "choose an open box")
        if not work.copies_in_box(box.number):
            raise RefusedError(f"Box {box.number}", "is empty", f"pack something first with 'intake pack {box.number}'")
        closed = replace(
            box, state=BoxState.CLOSED, gross_g=box.gross_g if gross_g is None else gross_g, seal=seal or box.seal
        )
        work.apply(Action("close box", box.number, station), (Change(box, closed),))
        return closed


def check_in(library: Library, box_text: str, *, note: str = "", station: str) -> Box:
    """Record that a box arrived, with what was seen of its seal and carton.

    Raises:
        RefusedError: it was checked in before.
    """
    with library.writing() as work:
        box = find_box(work, box_text)
        if box.state not in (BoxState.OPEN, BoxState.CLOSED):
            raise RefusedError(f"Box {box.number}", f"is {box.state} already", "choose a box that is still awaited")
        arrived = replace(box, state=BoxState.ARRIVED, note=note or box.note)
        work.apply(Action("check in box", box.number, station, note=note), (Change(box, arrived),))
        return arrived


def finish(library: Library, box_text: str, *, station: str) -> tuple[Box, tuple[Copy, ...]]:
    """Finish a box: what its list names and nobody has seen is missing from now on.

    Returns:
        The box, and the copies that are missing from it.

    Raises:
        RefusedError: it has not been checked in, or is finished already.
    """
    with library.writing() as work:
        box = find_box(work, box_text)
        if box.state is not BoxState.ARRIVED:
            mend = f"check it in with 'intake box arrive {box.number}'"
            if box.state is BoxState.UNPACKED:
                mend = "choose another box"
            raise RefusedError(f"Box {box.number}", f"is {box.state}", mend)
        gone = [copy for copy in work.copies_in_box(box.number) if copy.state is CopyState.PACKED]
        missing = tuple(replace(copy, state=CopyState.MISSING) for copy in gone)
        finished = replace(box, state=BoxState.UNPACKED)
        changes = [Change(before, after) for before, after in zip(gone, missing, strict=True)]
        work.apply(Action("finish box", box.number, station), [Change(box, finished), *changes])
        return finished, missing


def lifting_words(gross_g: float) -> str:
    """Say what a box of this mass asks of the person who lifts it; empty where nothing needs saying."""
    return cautions.lifting(gross_g)
