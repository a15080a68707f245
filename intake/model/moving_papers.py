"""What the papers of a move print: box labels for four faces, packing plan, discrepancy report, notice to the carrier.

The flow fills these with finished texts and numbers; a document looks nothing up. What is unknown is empty or None and
is printed as unknown, never as zero.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum


class HandlingMark(StrEnum):
    """Handling marks by their names in ISO 780:2015; the drawings are this project's own."""

    THIS_WAY_UP = "This way up"
    KEEP_DRY = "Keep dry"
    FRAGILE = "Fragile, handle with care"
    NO_HOOKS = "Use no hooks"
    KEEP_FROM_HEAT = "Keep away from heat"
    STACKING_LIMIT = "Stacking limit by mass"


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
    """One copy that is missing or damaged; `since` is what has happened to it since."""

    number: str
    title: str
    box: str
    what: str
    reason: str
    amount: Decimal | None = None
    currency: str = ""
    since: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxFault:
    """One box whose carton, seal or mass has changed since dispatch."""

    number: str
    what: str
    pictures: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundElsewhere:
    """A copy that arrived in a box other than the one that lists it, or that is on no list."""

    number: str
    title: str
    found_in: str
    listed_in: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DiscrepancyPaper:
    """How what arrived differs from the lists.

    Attributes:
        still_closed: boxes not unpacked yet, about whose contents nothing is known.
        ledger_seq, ledger_head: last entry of the ledger at the time of writing.
    """

    reference: str
    on: date
    consignee: str = ""
    carrier: str = ""
    delivered: str = ""
    faults: tuple[BoxFault, ...] = ()
    lines: tuple[DiscrepancyLine, ...] = ()
    found: tuple[FoundElsewhere, ...] = ()
    still_closed: tuple[str, ...] = ()
    totals: tuple[str, ...] = ()
    ledger_seq: int = 0
    ledger_head: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoticePaper:
    """A letter that gives notice of loss and damage to the carrier.

    Attributes:
        facts: (name, text) pairs of the calculation, for the sender's own sheet; the letter itself states no limit.
        periods: (what for, last day, rule, source).
    """

    reference: str
    on: date
    sender: str
    carrier: str
    delivered: str
    regime: str
    faults: tuple[BoxFault, ...]
    lines: tuple[DiscrepancyLine, ...]
    totals: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    limits: tuple[tuple[str, str, str], ...] = ()
    periods: tuple[tuple[str, str, str, str], ...] = ()
    remarks: tuple[str, ...] = ()
