"""What the documents print: label templates, packing lists and inventories as finished texts and numbers.

The flow fills these from the records of the store; a document looks nothing up. An unknown amount or mass is None and
is printed as unknown, never as zero.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from intake.model.pages import Align
from intake.model.valuations import Basis, CountedAmount

A4_MM = (210.0, 297.0)
"""ISO 216, trimmed size, width and height."""
LETTER_MM = (215.9, 279.4)
"""8.5 x 11 inches (ANSI/ASME Y14.1, size A)."""


class SymbolKind(StrEnum):
    """The symbologies that can be drawn."""

    QR = "qr"
    CODE128 = "code128"
    EAN13 = "ean13"


class LabelUse(StrEnum):
    """What a label is for.

    A shelf or box label is stuck on; a flag is inserted in a copy and never stuck to it; a spine label goes on a loose
    jacket cover or the slipcase, never on the book or its own jacket.
    """

    SHELF = "shelf"
    FLAG = "flag"
    BOX = "box"
    SPINE = "spine"


class Anchor(StrEnum):
    """The vertical alignment of the contents in their field."""

    TOP = "top"
    MIDDLE = "middle"
    BOTTOM = "bottom"


CONTENT_KEYS = (
    "number",
    "shelfmark",
    "title",
    "contributors",
    "volume",
    "set",
    "edition",
    "isbn",
    "room",
    "place",
    "range",
    "count",
    "mass",
    "consignment",
    "box",
    "box_of",
    "marks",
    "caution",
    "note",
)
"""The contents that a label can show; a field names them in braces."""
LabelContent = Mapping[str, str]
"""The texts of one label by content key; a missing or empty one leaves its field blank."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelField:
    """A rectangle of a label and its contents.

    Attributes:
        text: words with content keys in braces, "Room {room}"; blank when any of the keys is empty.
        x_mm, y_mm: top left corner, from the top left corner of the label.
        size_pt: smallest and largest type size.
        symbol: draw the text as this symbol instead; `module_mm` is then the smallest and largest module.
    """

    text: str
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    size_pt: tuple[float, float] = (7.0, 10.0)
    bold: bool = False
    align: Align = Align.LEFT
    anchor: Anchor = Anchor.TOP
    symbol: SymbolKind | None = None
    module_mm: tuple[float, float] = (0.5, 0.8)


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelRule:
    """A hairline of a label; one of its sides is 0."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelTemplate:
    """The geometry of a sheet (or roll) of labels, and the fields of one use.

    Attributes:
        left_mm, top_mm: from the corner of the paper to the corner of the first label.
        pitch_x_mm, pitch_y_mm: from the corner of one label to that of the next.
        continuous: a roll that is cut after each label, so that a label is only as long as its contents need.
        guides: whether hairlines show where to cut plain paper.
    """

    name: str
    use: LabelUse
    paper_width_mm: float
    paper_height_mm: float
    left_mm: float
    top_mm: float
    pitch_x_mm: float
    pitch_y_mm: float
    label_width_mm: float
    label_height_mm: float
    columns: int
    rows: int
    continuous: bool
    guides: bool
    fields: tuple[LabelField, ...]
    rules: tuple[LabelRule, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PackedLine:
    """One copy in a box."""

    number: str
    title: str
    contributors: str = ""
    volume: str = ""
    edition: str = ""
    mass_g: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Package:
    """One box, described as carriers and customs require.

    Attributes:
        type: the kind of package ("carton", "wooden case").
        marks: what is written on the outside, handling marks by their ISO 780 name.
        contents: the kinds of goods ("printed books; maps, atlases"); empty on papers that list the pieces.
        quantity: number of pieces inside.
        size_mm: length, width, height outside; None unless measured.
        inner_mm: the same inside, which is not what a carrier measures.
    """

    number: str
    contents: str
    quantity: int
    type: str = "carton"
    marks: str = ""
    seal: str = ""
    room: str = ""
    net_g: float | None = None
    gross_g: float | None = None
    size_mm: tuple[float, float, float] | None = None
    inner_mm: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PackingList:
    """What is in one box.

    Attributes:
        gross: what is known of the gross mass of a box that was not weighed; empty where it was.
        caution: what lifting it asks for; empty where nothing needs saying.
        caution_basis: what the caution rests on.
        remarks: what the list leaves out, and which masses were not used.
    """

    package: Package
    lines: tuple[PackedLine, ...]
    consignment: str = ""
    consignee: str = ""
    carrier: str = ""
    box_of: str = ""
    on: date | None = None
    note: str = ""
    gross: str = ""
    caution: str = ""
    caution_basis: str = ""
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MasterList:
    """All boxes of a consignment, for the carrier and the customs office. It states no prices.

    Attributes:
        reference: the reference of the carrier.
        tariff: heading of the Harmonized System, where the person gave one.
        totals, numbers: sentences, each with what it leaves out; contract and bill of lading as (name, text) pairs.
    """

    reference: str
    packages: tuple[Package, ...]
    consignor: str = ""
    consignee: str = ""
    carrier: str = ""
    origin: str = ""
    destination: str = ""
    on: date | None = None
    tariff: str = ""
    note: str = ""
    totals: tuple[str, ...] = ()
    numbers: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class InventoryLine:
    """One copy and what is known of its value; or one set that counts once in place of its volumes.

    Attributes:
        number: of the copy; "set 3" for a set.
        amount: as it enters the totals; None where there is no value, or where it is counted in a set.
        currency: ISO 4217 code.
        basis, source, valued_on: the kind of value, where the amount comes from, and its date.
        lost: whether it is lost, and so not at risk.
        copies: how many copies the amount is of, for a set; 1 for a copy.
        is_set: whether this is a set.
        in_set: the set in whose amount a copy is counted, as that is numbered in the list; empty for none.
        note: what else is to be said of the amount.
        in_words: the volume, said to be one ("volume I").
        isbn, publisher, year: as printed in the book; empty or None where that is not known.
        room: the room, or the box, by which sums are split.
    """

    number: str
    title: str
    contributors: str = ""
    volume: str = ""
    in_words: str = ""
    edition: str = ""
    condition: str = ""
    where: str = ""
    amount: Decimal | None = None
    currency: str = ""
    basis: Basis | None = None
    source: str = ""
    valued_on: date | None = None
    lost: bool = False
    copies: int = 1
    is_set: bool = False
    in_set: str = ""
    note: str = ""
    isbn: str = ""
    publisher: str = ""
    year: int | None = None
    room: str = ""

    @property
    def counted(self) -> CountedAmount | None:
        """Return the amount as it enters a total; None where it enters none."""
        if self.amount is None or self.basis is None:
            return None
        return CountedAmount(
            amount=self.amount, currency=self.currency, basis=self.basis, copies=self.copies, is_set=self.is_set
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Inventory:
    """The copies for a purpose, with their values.

    Attributes:
        purpose: "insurance schedule", "move inventory", "customs list".
        ledger_seq, ledger_head: the number and SHA-256 of the last ledger entry at the time of writing.
        proof: the text of the proof (see `intake.valuing.proof`), printed as text and as a symbol.
        legend: what the letters of the grades mean, of those that are in it.
    """

    purpose: str
    on: date
    lines: tuple[InventoryLine, ...]
    owner: str = ""
    address: str = ""
    ledger_seq: int = 0
    ledger_head: str = ""
    proof: str = ""
    note: str = ""
    legend: tuple[str, ...] = ()
