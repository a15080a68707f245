"""What the papers of a move print: box labels for four faces, packing plan, discrepancy report, notice to the carrier.

The flow fills these with finished texts and numbers; a document looks nothing up. What is unknown is empty or None and
is printed as unknown, never as zero.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from intake.model.valuations import Basis
from intake.units.language import term


class HandlingMark(StrEnum):
    """Handling marks by their names in ISO 780:2015; the drawings are this project's own."""

    THIS_WAY_UP = term("This way up")
    KEEP_DRY = term("Keep dry")
    FRAGILE = term("Fragile, handle with care")
    NO_HOOKS = term("Use no hooks")
    KEEP_FROM_HEAT = term("Keep away from heat")
    STACKING_LIMIT = term("Stacking limit by mass")


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceLabel:
    """The text on each of a box's four faces.

    Attributes:
        serial: the short number, printed large.
        opens: what its symbol encodes: the box's number, or the address of its page.
        stacking_g: greatest mass that may be stacked on it; None leaves the mark without a figure.
    """

    number: str
    serial: str
    opens: str
    room: str = ""
    consignment: str = ""
    box_of: str = ""
    mass: str = ""
    caution: str = ""
    marks: tuple[HandlingMark, ...] = ()
    stacking_g: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedCopy:
    """One copy of a packing plan; layer 1 is the bottom of its pile. None where no place was found for it."""

    number: str
    title: str
    pile: int | None
    layer: int | None
    mass_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedBox:
    """One box of a packing plan."""

    name: str
    kind: str
    room: str
    mass_g: float
    copies: tuple[PlannedCopy, ...]
    caution: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPaper:
    """A packing plan: remarks on its limits and quality, and the boxes."""

    on: date
    remarks: tuple[str, ...]
    boxes: tuple[PlannedBox, ...]
    left: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DiscrepancyLine:
    """One copy that is missing or damaged.

    Attributes:
        amount, currency, basis, valued_on: the value that makes its loss.
        since: where it is, if it was found after it had been missing.
    """

    number: str
    title: str
    box: str
    what: str
    reason: str
    amount: Decimal | None = None
    currency: str = ""
    basis: Basis | None = None
    valued_on: date | None = None
    since: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxFault:
    """One box whose carton, seal or mass has changed since dispatch."""

    number: str
    what: str
    pictures: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundElsewhere:
    """A copy that arrived in a box other than the one that lists it; `surplus` where it is on no list at all."""

    number: str
    title: str
    found_in: str
    listed_in: str
    surplus: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DiscrepancyPaper:
    """How what arrived differs from the lists.

    Attributes:
        delivered: the days of delivery, each with its boxes.
        lines: copies that are missing or damaged now.
        found_since: copies that had been reported missing, with where they are.
        still_closed: boxes not unpacked yet, about whose contents nothing is known.
        awaited: boxes that have not arrived.
        ledger_seq, ledger_head: last entry of the ledger at the time of writing.
        numbers: of policy, contract and bill of lading, as (name, text) pairs.
    """

    reference: str
    on: date
    consignee: str = ""
    carrier: str = ""
    delivered: str = ""
    faults: tuple[BoxFault, ...] = ()
    lines: tuple[DiscrepancyLine, ...] = ()
    found: tuple[FoundElsewhere, ...] = ()
    found_since: tuple[DiscrepancyLine, ...] = ()
    still_closed: tuple[str, ...] = ()
    awaited: tuple[str, ...] = ()
    totals: tuple[str, ...] = ()
    ledger_seq: int = 0
    ledger_head: str = ""
    numbers: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NoticePaper:
    """A letter that gives notice of loss and damage to the carrier; it states no limit and names no regime.

    Attributes:
        delivered: the days of delivery, each with its boxes.
        surplus: what came and is on no list.
        awaited: boxes that have not arrived, each with how many copies are on its list.
        numbers: of contract and bill of lading, as (name, text) pairs.
    """

    reference: str
    on: date
    sender: str
    carrier: str
    delivered: str
    faults: tuple[BoxFault, ...]
    lines: tuple[DiscrepancyLine, ...]
    surplus: tuple[FoundElsewhere, ...] = ()
    awaited: tuple[str, ...] = ()
    totals: tuple[str, ...] = ()
    numbers: tuple[tuple[str, str], ...] = ()


PeriodRow = tuple[str, str, str, str, str]
"""What a period is for, its last day, how it is counted, what lateness costs, and the article."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitsPaper:
    """The sender's own sheet: the periods of each delivery, and what the carrier could owe at most.

    Attributes:
        facts: (name, text) pairs of the calculation.
        deliveries: each day of delivery with its boxes.
        periods: one row a period; its last day is a line for each day of delivery.
        losses: (what, basis, copies, as recorded, in the currency).
        limits: (box, calculation, limit).
        counted: (box, what of it is concerned, mass counted).
        notes: paragraphs under a heading: what was counted, what was left out, what has to be so.
    """

    reference: str
    on: date
    carrier: str
    regime: str
    facts: tuple[tuple[str, str], ...] = ()
    deliveries: tuple[str, ...] = ()
    periods: tuple[PeriodRow, ...] = ()
    losses: tuple[tuple[str, str, str, str, str], ...] = ()
    limits: tuple[tuple[str, str, str], ...] = ()
    counted: tuple[tuple[str, str, str], ...] = ()
    notes: tuple[tuple[str, tuple[str, ...]], ...] = ()
