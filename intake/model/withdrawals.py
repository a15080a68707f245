"""Copies that left the collection: when, why, and for what amount."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from intake.model.editions import CopyState
from intake.units.language import term


class WithdrawalReason(StrEnum):
    """Why a copy left the collection."""

    SOLD = term("sold")
    GIVEN_AWAY = term("given away")
    LOST = term("lost for good")


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal:
    """The withdrawal of one copy, kept while the copy's state is withdrawn.

    Attributes:
        copy: accession number of the copy.
        on: the day on which it left.
        was: the state that it had before; one that was missing then was never found.
        amount: what was received for it, or paid for its loss; None where nothing is recorded.
        currency: of the amount, a code of ISO 4217; empty where there is none.
        note: to whom, or how, in the person's words.
    """

    copy: str
    on: date
    reason: WithdrawalReason
    was: CopyState
    amount: Decimal | None = None
    currency: str = ""
    note: str = ""
