"""Editions, printings, sets and the physical copies."""

import re
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from intake.model.folding import fold
from intake.units.language import term

EARLIEST_PRINT = 868
"""The Diamond Sutra, the oldest printed book that names its year (from memory)."""
MOVABLE_TYPE = 1450
"""About when printing with movable type began in Europe (from memory); an earlier year is asked about."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BookSet:
    """Editions that belong together in order."""

    id: int
    title: str
    volumes: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Edition:
    """What a publisher issued under one number.

    Attributes:
        key: its identifier in the person's own list, so that box lists can name a book without a number.
        number: 13 digits, or None for a book without one; by a publisher's mistake, editions may share a number.
        add_on: for one issue of a periodical, the supplement that distinguishes it from others under the same number.
        statement: the edition statement as printed ("2nd edition, revised").
        subject: the subject group it is shelved under.
        call_number: its place in Dewey's or the Library of Congress's classification, as written on its spine.
        printed_in: the country it was printed in, for customs lists.
        hs_heading: heading of the Harmonized System for customs lists, where it is not 4901.99.
        collects: which parts of serials it collects, in the notation of `intake.runs.notation`.
        price, currency: what a copy costs today, where one may have to be bought.
        why: why it is kept, in the person's words.
    """

    id: int
    title: str
    key: str = ""
    number: str | None = None
    add_on: str | None = None
    contributors: tuple[str, ...] = ()
    publisher: str = ""
    year: int | None = None
    statement: str = ""
    binding: str = ""
    language: str = ""
    subject: str = ""
    call_number: str = ""
    printed_in: str = ""
    hs_heading: str = ""
    pages: int | None = None
    height_mm: float | None = None
    width_mm: float | None = None
    thickness_mm: float | None = None
    mass_g: float | None = None
    set_id: int | None = None
    volume: str = ""
    collects: str = ""
    price: Decimal | None = None
    currency: str = ""
    why: str = ""


_SUBTITLE = re.compile(r"[:(\[]")


def title_key(title: str) -> str:
    """Fold a title so that spellings of different editions agree: letters and digits, without case and diacritics.

    Scripts are kept: Greek stays Greek, and Indic vowel signs stay. Everything after a colon or a bracket (a subtitle)
    is dropped.

    >>> title_key("Die Gräser der Küste: ein Führer")
    'die graser der kuste'
    """
    return fold(title_part(title))


def title_part(title: str) -> str:
    """Return a title without its subtitle."""
    return _SUBTITLE.split(title, maxsplit=1)[0]


def whole_title_key(title: str) -> str:
    """Fold a title as `title_key` does, with its subtitle.

    >>> whole_title_key("Die Gräser der Küste: ein Führer")
    'die graser der kuste ein fuhrer'
    """
    return " ".join(filter(None, map(title_key, _SUBTITLE.split(title))))


@dataclass(frozen=True, slots=True, kw_only=True)
class Printing:
    """One impression of an edition, and what distinguishes it from the others."""

    id: int
    edition_id: int
    ordinal: int | None = None
    year: int | None = None
    number_line: str = ""
    points: str = ""


class Grade(StrEnum):
    """The antiquarian trade's grades (AB Bookman's Weekly, 1949, as extended by the trade since)."""

    AS_NEW = term("As New")
    FINE = term("Fine")
    NEAR_FINE = term("Near Fine")
    VERY_GOOD = term("Very Good")
    GOOD = term("Good")
    FAIR = term("Fair")
    POOR = term("Poor")


class Sewing(StrEnum):
    """How the leaves are held together."""

    SEWN = term("sewn in gatherings")
    ADHESIVE = term("adhesive")
    STITCHED = term("wire-stitched")
    SPIRAL = term("spiral")


class Covering(StrEnum):
    """What the boards, or the spine and the boards, are covered with."""

    CLOTH = term("cloth")
    QUARTER_CLOTH = term("quarter cloth")
    LEATHER = term("full leather")
    HALF_LEATHER = term("half leather")
    QUARTER_LEATHER = term("quarter leather")
    VELLUM = term("vellum")
    PAPER = term("paper over boards")
    PRINTED_PAPER = term("printed paper over boards")
    WRAPPERS = term("wrappers")


class Finish(StrEnum):
    """What was done to the surface of the covering."""

    PLAIN = term("plain")
    GLOSS = term("gloss laminated")
    MATT = term("matt laminated")
    SOFT_TOUCH = term("soft-touch laminated")
    VARNISHED = term("varnished")
    BLOCKED = term("blocked in gold or colour")


class CopyState(StrEnum):
    """The stage of the move that a copy is at, or that it left the collection."""

    AT_HAND = term("at hand")
    PACKED = term("packed")
    UNPACKED = term("unpacked")
    SHELVED = term("shelved")
    MISSING = term("missing")
    WITHDRAWN = term("withdrawn")


SEEN = (CopyState.UNPACKED, CopyState.SHELVED)
"""The states of a copy that came out of a box."""
UNSEEN = (CopyState.MISSING, CopyState.PACKED)
"""The states of a copy that was packed and that nobody has seen since."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """The one physical book.

    Attributes:
        accession: its own number, checked (see `intake.identifiers.own`).
        box: number of the box it was packed in; kept after unpacking as a record of how it travelled.
        place: number of the shelf it stands on.
        position: its position on the shelf, from the left, starting at 1; positions between two copies may be free.
        shelfmark: where it belongs, as printed on its label.
        grade: None where not yet inspected.
        jacket: grade of the dust jacket, None where unknown; `has_jacket` records whether there is one.
        wrapped: True while it is still wrapped, so that nothing is known about the inside.
        condition: defects and always-stated facts (ex-library, owner's name) in words.
        sewing, covering, finish, slipcase: the binding of this copy, which may differ from that of the edition.
        signed: by whom it is signed or inscribed; empty where no signature was seen.
        limitation: the number of a numbered copy, as written ("27 of 250").
        kept: whether it is never to be proposed for going.
        why: why it is kept, in the person's words.
    """

    accession: str
    edition_id: int
    printing_id: int | None = None
    state: CopyState = CopyState.AT_HAND
    box: str | None = None
    place: str | None = None
    position: int | None = None
    shelfmark: str = ""
    grade: Grade | None = None
    jacket: Grade | None = None
    has_jacket: bool | None = None
    wrapped: bool = False
    condition: str = ""
    note: str = ""
    sewing: Sewing | None = None
    covering: Covering | None = None
    finish: Finish | None = None
    slipcase: bool | None = None
    signed: str = ""
    limitation: str = ""
    kept: bool = False
    why: str = ""
