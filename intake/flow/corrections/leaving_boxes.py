"""Whether a copy may be recorded as somewhere else than in its box: the rule of packing, for corrections."""

from collections.abc import Mapping

from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.model.boxes import Box, BoxState
from intake.model.editions import Copy, CopyState
from intake.units.advice import Advice, advice, worded

_REMEDIES: Mapping[BoxState, str | Advice] = {
    BoxState.CLOSED: "undo its closing and take the copy out",
    BoxState.ARRIVED: (
        "take it out with 'intake unpack', so that it is seen on arrival",
        "unpack it from that box, so that it is seen on arrival",
    ),
    BoxState.UNPACKED: "undo the finishing of the box",
}


def refuse_in_box(reader: LibraryReader, copy: Copy, *, despite_box: bool) -> None:
    """Refuse a copy that lies in a box out of which nothing may be taken without a trace.

    Args:
        reader: of the library.
        copy: as recorded.
        despite_box: whether the person has said that it is not in that box, whatever the list says.

    Raises:
        RefusedError: its box was closed, and the packing list, its mass and the carrier's papers name the copy.
    """
    if copy.state is not CopyState.PACKED or copy.box is None or despite_box:
        return
    box = reader.get(Box, copy.box)
    if box is not None and box.state is not BoxState.OPEN:
        despite = advice("say with --despite-box that it never was in it", "tick that it never was in it")
        remedy = f"{worded(_REMEDIES[box.state])}, or {despite}"
        raise RefusedError(
            f"Copy {copy.accession}", f"is packed in box {box.number}, which is {box.state}", remedy, field="copy"
        )
