"""Boxes and the consignment they travel in."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class BoxState(StrEnum):
    """The course of a box: it is filled, closed, travels, is checked in, is unpacked."""

    OPEN = "open"
    CLOSED = "closed"
    ARRIVED = "arrived"
    UNPACKED = "unpacked"


@dataclass(frozen=True, slots=True, kw_only=True)
class Consignment:
    """All boxes of one move, under one carrier reference."""

    reference: str
    consignor: str = ""
    consignee: str = ""
    carrier: str = ""
    origin: str = ""
    destination: str = ""
    dispatched: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A numbered packed unit.

    Attributes:
        number: its own number, checked (see `intake.identifiers.own`).
        room: the room of destination.
        seal: the number of its seal, as closed.
        gross_g: mass as weighed, box and contents; None if never weighed.
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
