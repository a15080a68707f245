"""Short cautions for where a step is done: opening a box, damp and mould, a tight new binding, a heavy book.

Knives, mould and heavy books: common practice of libraries, from memory, no primary source. Wet books: salvage guides
of US libraries, seen in copies (freeze or dry within 48 hours, coated paper first). Tight bindings: H. G. Aldis, The
Printed Book (1916), seen in a copy; meant for sewn bindings in boards. Damp rooms: Canadian Conservation Institute,
Notes 11/7 (mould above 65 % relative humidity); NEDCC, leaflet 4.1 (76 mm, 3 in, from outside walls). None replaces a
conservator, a doctor or local rules.
"""

import re
from collections.abc import Iterable

from intake.model.shelving import Book
from intake.shelving.loads import HEAVY_BOOK_G
from intake.units.convert import kg_text

KNIFE = (
    "Open it with the blade barely out, only along the edge of the tape and away from your hand; nothing of the blade "
    "may reach the books."
)
WET_BOX = (
    "Wet: open it now, keep its number with it, photograph, and shelve nothing of it. Do not open or close wet books. "
    "Within 48 hours dry or freeze them, those on glossy paper first, and ask a conservator."
)
DAMP_BOOK = (
    "A book that is still damp is not shelved: within 48 hours dry or freeze it, glossy paper first and with sheets "
    "between its leaves, and ask a conservator."
)
MOULD = (
    "Mould: keep it in a closed bag apart from other books and do not wipe it. Wear gloves and a mask that filters "
    "dust (N95 or FFP2), air the room, and ask a conservator; keep away if you are allergic."
)
WRAPPED = "Still wrapped: nothing is known of the inside. Cut away from the book, not towards it."
TIGHT_BINDING = (
    "If the binding is new and tight, lay it on its spine, lower the boards, then press down a few leaves at the back "
    "and at the front in turn, towards the middle; never force it."
)
DAMP_ROOM = (
    "Above 65 % relative humidity mould grows: keep books 76 mm (3 in) from outside walls, away from heaters, and let "
    "the air move."
)
FOLIO = (
    "Take such a book with both hands, or with two people: by both sides of the spine, never by its top, with a clear "
    "place ready for it."
)
NAMED = 5

_DAMP = re.compile(r"\b(?:damp|wet|soaked|water)", re.IGNORECASE)
_MOULD = re.compile(r"\b(?:mou?ld|mildew)", re.IGNORECASE)


def opening_cautions(*, wet: bool) -> tuple[str, ...]:
    """Return what to mind before a box is opened."""
    return (KNIFE, WET_BOX) if wet else (KNIFE,)


def hand_cautions() -> tuple[str, ...]:
    """Return what to mind while a box is unpacked."""
    return (KNIFE, DAMP_BOOK, MOULD, TIGHT_BINDING)


def damp_cautions(described: str) -> tuple[str, ...]:
    """Return what to do with a book that a person describes as damp or mouldy.

    >>> damp_cautions("boards rubbed"), len(damp_cautions("mouldy and still damp"))
    ((), 2)
    """
    found = ((_MOULD, MOULD), (_DAMP, DAMP_BOOK))
    return tuple(caution for pattern, caution in found if pattern.search(described))


def heavy_words(books: Iterable[Book]) -> tuple[str, ...]:
    """Return how to handle those of some books that are heavy; one sentence, or none."""
    heavy = [book for book in books if book.mass_g > HEAVY_BOOK_G]
    if not heavy:
        return ()
    names = ", ".join(
        f"{book.copy} ({'about ' if 'mass' in book.estimated else ''}{kg_text(book.mass_g)})" for book in heavy[:NAMED]
    )
    more = f" and {len(heavy) - NAMED} more" if len(heavy) > NAMED else ""
    return (f"Heavy: {names}{more}. {FOLIO}",)
