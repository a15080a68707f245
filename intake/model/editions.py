"""Editions, printings, sets and the physical copies."""

import re
import unicodedata
from dataclasses import dataclass
from enum import StrEnum


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
        key: what the person's own list calls it, so that box lists can name a book that carries no number.
        number: 13 digits, or None for a book that carries none; editions may share one by a publisher's mistake.
        add_on: for one issue of a periodical, the supplement that tells it from the others under the same number.
        statement: the edition statement as printed ("2nd edition, revised").
        subject: the group it is shelved by.
        call_number: its place in Dewey's or the Library of Congress's classification, as written on its spine.
        printed_in: the country it was printed in, for customs lists.
        hs_heading: heading of the Harmonized System for customs lists, where it is not 4901.99.
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


KANA_VOICING = 8
"""Canonical combining class of the Japanese voicing marks, which make another letter and are no accent."""


_ASCII_WORD = re.compile("[a-z0-9]+")


def title_key(title: str) -> str:
    """Fold a title to what survives another edition's spelling: letters and digits, no case, no diacritics.

    Scripts are kept, so that Greek stays Greek. Everything after a colon or a bracket (a subtitle) is dropped.

    >>> title_key("Die Gräser der Küste: ein Führer")
    'die graser der kuste'
    """
    main = re.split(r"[:(\[]", title, maxsplit=1)[0]
    if main.isascii():  # most titles: all the rest is about other letters
        return " ".join(_ASCII_WORD.findall(main.lower()))
    decomposed = unicodedata.normalize("NFKD", main.casefold())
    base = (c for c in decomposed if unicodedata.combining(c) in (0, KANA_VOICING))
    kept = "".join(c if c.isalnum() or unicodedata.combining(c) else " " for c in base)
    return unicodedata.normalize("NFC", " ".join(kept.split()))


@dataclass(frozen=True, slots=True, kw_only=True)
class Printing:
    """One impression of an edition, and what tells it from the others."""

    id: int
    edition_id: int
    ordinal: int | None = None
    year: int | None = None
    number_line: str = ""
    points: str = ""


class Grade(StrEnum):
    """The antiquarian trade's grades (AB Bookman's Weekly, 1949, as extended by the trade since)."""

    AS_NEW = "As New"
    FINE = "Fine"
    NEAR_FINE = "Near Fine"
    VERY_GOOD = "Very Good"
    GOOD = "Good"
    FAIR = "Fair"
    POOR = "Poor"


class Sewing(StrEnum):
    """How the leaves are held together."""

    SEWN = "sewn in gatherings"
    ADHESIVE = "adhesive"
    STITCHED = "wire-stitched"
    SPIRAL = "spiral"


class Covering(StrEnum):
    """What the boards, or the spine and the boards, are covered with."""

    CLOTH = "cloth"
    QUARTER_CLOTH = "quarter cloth"
    LEATHER = "full leather"
    HALF_LEATHER = "half leather"
    QUARTER_LEATHER = "quarter leather"
    VELLUM = "vellum"
    PAPER = "paper over boards"
    PRINTED_PAPER = "printed paper over boards"
    WRAPPERS = "wrappers"


class Finish(StrEnum):
    """What was done to the surface of the covering."""

    PLAIN = "plain"
    GLOSS = "gloss laminated"
    MATT = "matt laminated"
    VARNISHED = "varnished"
    BLOCKED = "blocked in gold or colour"


class CopyState(StrEnum):
    """Where a copy is in the course of the move."""

    AT_HAND = "at hand"
    PACKED = "packed"
    UNPACKED = "unpacked"
    SHELVED = "shelved"
    MISSING = "missing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """The one physical book.

    Attributes:
        accession: its own number, checked (see `intake.identifiers.own`).
        box: number of the box it was packed in, kept after unpacking as the record of where it travelled.
        place: number of the shelf it stands on.
        position: which it is on its shelf, from the left, starting at 1; numbers may be left free between two copies.
        shelfmark: where it belongs, as printed on its label.
        grade: None means not yet inspected; it claims nothing.
        jacket: grade of the dust jacket; None means none is known, `has_jacket` says whether there is one.
        wrapped: True while it is still wrapped, so that nothing is claimed about the inside.
        condition: defects and always-stated facts (ex-library, owner's name) in words.
        sewing, covering, finish, slipcase: as this copy is bound, which may be other than the edition's first printing.
        signed: by whom it is signed or inscribed; empty where nobody saw a signature.
        limitation: the number of a numbered copy, as written ("27 of 250").
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
