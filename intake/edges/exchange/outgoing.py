"""What is written out: an edition with the title of its set, and its copies; and texts that a format can hold."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from intake.edges.exchange.record_remarks import RemarkKind, Remarks
from intake.model.editions import Copy, Edition

_UNWRITABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
"""What XML 1.0 does not allow; the separators of ISO 2709 are among them."""

DEWEY = re.compile(r"\d{3}(?:\.\d+)?(?: [^/]+)?")
"""A number of Dewey's classification, with a book number perhaps (the slash is a cut mark there)."""
LIBRARY_OF_CONGRESS = re.compile(r"[A-Z]{1,3} ?\d.*")


@dataclass(frozen=True, slots=True)
class OutgoingCopy:
    """A copy, the number of its printing, and the room that its box goes to."""

    copy: Copy
    printing: int | None = None
    room: str = ""


@dataclass(frozen=True, slots=True)
class OutgoingEdition:
    """An edition as it is written.

    Attributes:
        edition: the record.
        set_title: the title of its set, empty for none.
        copies: those of its copies that are written with it.
        skip: count of the characters before the word that the title is filed under: its article.
    """

    edition: Edition
    set_title: str = ""
    copies: Sequence[OutgoingCopy] = ()
    skip: int = 0


NO_JACKET, JACKET = "none", "yes"
"""What is written of a jacket beside its grade: the copy has none, or one of unknown grade."""


def jacket_text(copy: Copy) -> str:
    """Return what is written of a copy's jacket; empty where it is not known whether there is one."""
    if copy.has_jacket is False:
        return NO_JACKET
    if copy.jacket is not None:
        return copy.jacket.value
    return JACKET if copy.has_jacket else ""


PLACEHOLDER = re.compile(r"edition-\d+")
"""What a record of ours is called whose edition has no key in the person's list."""


def record_name(edition: Edition) -> str:
    """Return what a record of the edition is called: its key, or else a placeholder that is no key."""
    return edition.key or f"edition-{edition.id}"


def writable(text: str, remarks: Remarks) -> str:
    """Return a text without what no format of records can hold, noting where it had such."""
    if not _UNWRITABLE.search(text):
        return text
    remarks.add(RemarkKind.CONVERTED, "control characters", _UNWRITABLE.sub("�", text))
    return _UNWRITABLE.sub(" ", text)


def note_private(edition: Edition, remarks: Remarks) -> None:
    """Note what is never written of an edition, for a record goes to other people: its price, and why it is kept."""
    if edition.price is not None:
        remarks.left_out("price", f"{edition.price} {edition.currency}")
    if edition.why:
        remarks.left_out("why", edition.why)
