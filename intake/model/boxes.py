"""Boxes and the consignment they travel in."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from intake.units.language import term


class BoxState(StrEnum):
    """The stages of a box: being filled, closed for transport, arrived, unpacked."""

    OPEN = term("open")
    CLOSED = term("closed")
    ARRIVED = term("arrived")
    UNPACKED = term("unpacked")


class CartonState(StrEnum):
    """What was seen of the carton on arrival, before anything was opened."""

    NOT_LOOKED_AT = term("not looked at")
    SOUND = term("sound")
    SCUFFED = term("scuffed")
    CRUSHED = term("crushed")
    TORN = term("torn")
    WET = term("wet")
    OPENED = term("opened")


class SealState(StrEnum):
    """What was seen of the seal on arrival."""

    NOT_LOOKED_AT = term("not looked at")
    WHOLE = term("whole")
    BROKEN = term("broken")
    ABSENT = term("absent")
    ANOTHER = term("another number")


class MassSource(StrEnum):
    """How the mass of a box as it was carried is known, the first that there is."""

    PACKING = term("weighed at packing")
    ARRIVAL = term("weighed on arrival")
    LIST = term("never weighed")


CARTON_FAULTS = frozenset({CartonState.CRUSHED, CartonState.TORN, CartonState.WET, CartonState.OPENED})
SEAL_FAULTS = frozenset({SealState.BROKEN, SealState.ABSENT, SealState.ANOTHER})
"""What has to be reported to the carrier; scuff marks are ordinary wear of transport."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Consignment:
    """All boxes of one move, under one carrier reference.

    Attributes:
        policy: the number of the policy that insures the transport.
        contract: the number of the contract of carriage or removal.
        bill_of_lading: the number of the bill of lading, waybill or consignment note.
    """

    reference: str
    consignor: str = ""
    consignee: str = ""
    carrier: str = ""
    origin: str = ""
    destination: str = ""
    dispatched: date | None = None
    policy: str = ""
    contract: str = ""
    bill_of_lading: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A numbered packed unit.

    Attributes:
        number: its own number, checked (see `intake.identifiers.own`).
        room: the room of destination.
        seal: the number of its seal, as closed.
        length_mm, width_mm, height_mm: the clear space inside.
        gross_g: mass as weighed at packing, box and contents; None if never weighed.
        outer_length_mm, outer_width_mm, outer_height_mm: as the carrier measures it.
        kind: the kind of box, in the person's own words.
        delivered: the day on which the carrier handed it over; notice periods run from it.
        arrived_g: mass as weighed on arrival, before it was opened.
    """

    number: str
    state: BoxState = BoxState.OPEN
    consignment: str | None = None
    room: str = ""
    seal: str = ""
    note: str = ""
    length_mm: float | None = None
    width_mm: float | None = None
    height_mm: float | None = None
    tare_g: float | None = None
    gross_g: float | None = None
    outer_length_mm: float | None = None
    outer_width_mm: float | None = None
    outer_height_mm: float | None = None
    kind: str = ""
    delivered: date | None = None
    arrived_g: float | None = None
    carton: CartonState = CartonState.NOT_LOOKED_AT
    seal_state: SealState = SealState.NOT_LOOKED_AT

    @property
    def carried_g(self) -> float | None:
        """Return the gross mass as the box was carried: as weighed at packing, else on arrival; None if never."""
        return self.arrived_g if self.gross_g is None else self.gross_g

    @property
    def inner_mm(self) -> tuple[float, float, float] | None:
        """Return length, width and height inside; None unless all three are known."""
        if self.length_mm is None or self.width_mm is None or self.height_mm is None:
            return None
        return (self.length_mm, self.width_mm, self.height_mm)

    @property
    def outer_mm(self) -> tuple[float, float, float] | None:
        """Return length, width and height outside; None unless all three are known."""
        if self.outer_length_mm is None or self.outer_width_mm is None or self.outer_height_mm is None:
            return None
        return (self.outer_length_mm, self.outer_width_mm, self.outer_height_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxPicture:
    """A photograph of a box as it arrived."""

    id: int
    box: str
    picture: str
    note: str = ""


class DiscrepancyKind(StrEnum):
    """How the goods differ from the list."""

    MISSING = term("missing")
    DAMAGED = term("damaged")


@dataclass(frozen=True, slots=True, kw_only=True)
class Discrepancy:
    """One line of the discrepancy report, about one copy; faults of carton and seal are recorded with the box.

    Attributes:
        box: the box whose list names the copy.
        reason: why it is missing, or what the damage is, in the person's words.
    """

    id: int
    box: str
    copy: str
    kind: DiscrepancyKind
    reason: str
    at: datetime
    station: str = ""
