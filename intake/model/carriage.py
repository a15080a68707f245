"""What a claim against a carrier rests on: a regime of liability as data, and the terms of the contract.

A regime is one record: what it limits and by which mass, which periods it sets and what lateness costs, and to which
carriage it applies. The records themselves are in `intake.carriage.regimes`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum

from intake.units.language import term


class Goods(StrEnum):
    """What a contract of carriage is about: a household that moves, or boxes sent as freight."""

    HOUSEHOLD = "household"
    FREIGHT = "freight"


class Packer(StrEnum):
    """Who packed the boxes."""

    OWNER = "owner"
    CARRIER = "carrier"


class Per(StrEnum):
    """What the amount of a limit is multiplied by."""

    KILOGRAM = "kg"
    POUND = "lb"
    PACKAGE = "package"
    CUBIC_METRE = "m³"


class Counted(StrEnum):
    """Which mass or volume a limit counts.

    `SHARE` is the gross mass of what is short or damaged: of a box that is lost whole its gross mass, of single copies
    the part of it that they take up on its list.
    """

    SHARE = term("gross mass of what is missing or damaged")
    PACKAGES = term("gross mass of the packages concerned")
    SHIPMENT = term("mass of the whole shipment")
    CONTRACT = term("loading space that the contract states")


class PeriodKind(StrEnum):
    """What a period is for."""

    APPARENT = term("notice of visible loss or damage")
    HIDDEN = term("notice of hidden loss or damage")
    DELAY = term("notice of delay")
    CLAIM = term("claim in writing")
    ACTION = term("action in court")


class Counting(StrEnum):
    """How the days of a period are counted; the day of delivery never counts."""

    DAYS = "days"
    WORKING_DAYS = "days without Sundays and public holidays"
    MONTHS = "months"


class Lateness(StrEnum):
    """What it costs to be late."""

    ACTION_BARRED = term("no action at all lies against the carrier, except for fraud")
    PRESUMPTION_ONLY = term(
        "evidence only: the goods are presumed delivered as the document says, which you may disprove"
    )
    CLAIM_LOST = term("the claim is lost")
    RIGHT_ENDS = term("the right to sue ends")
    SEE_CONTRACT = term("the contract says")


@dataclass(frozen=True, slots=True)
class LimitFigure:
    """One amount of a limit, in the unit of its regime; `since` is the first day on which it applies."""

    amount: Decimal
    per: Per
    since: date = date.min


@dataclass(frozen=True, slots=True, kw_only=True)
class NeverDelivered:
    """From when a period runs, or goods count as lost, where they were never delivered.

    Attributes:
        start_days: days after the carriage began where no time of delivery was agreed; None where the record of a
            consignment does not tell the day.
        words: from which day, as the article has it.
        source: the article.
    """

    words: str
    source: str
    start_days: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PeriodRule:
    """One period of a regime.

    Attributes:
        length: in what `counting` says; 0 at the delivery itself; None where the contract or a later event decides.
        note: what else the article says.
        source: the article.
        undelivered: from when it runs for goods that were never delivered; None for one that needs a delivery.
    """

    occasion: PeriodKind
    length: int | None
    late: Lateness
    source: str
    counting: Counting = Counting.DAYS
    note: str = ""
    undelivered: NeverDelivered | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LiabilityRegime:
    """One regime of a carrier's liability.

    Attributes:
        name: what a person types.
        title: as it is cited; like every text that a paper shows, a message (`intake.units.language`).
        unit: currency of the figures (XDR for special drawing rights); empty where the person states the amount.
        figures: the limits; where several apply, the one that yields most.
        counts: the mass or volume that they are multiplied by.
        by_package: each package is capped at its own loss; else one limit covers all that is concerned.
        limit_source: article, edition, and where its figures were seen.
        excluded: kinds of goods to which it does not apply, each with the reason.
        requires: further conditions, which nobody but the person can check.
        refused: why it cannot be used at all; empty where it can.
        charges: article that refunds the charges of the carriage besides the limit; empty for none.
        declaration: how a declared value replaces the limit; empty where it does not.
        owner_packed: what it means that the owner packed the boxes.
        overdue: from when goods that have not arrived may be treated as lost; None where no article says.
        value_source: what the article counts as the value of goods.
        last_day_law: the law by which a last day that is no working day may arguably move to the next; empty for none.
        left_out: what is not considered here.
    """

    name: str
    title: str
    unit: str
    figures: tuple[LimitFigure, ...]
    counts: Counted
    limit_source: str
    periods: tuple[PeriodRule, ...]
    by_package: bool = False
    excluded: Mapping[Goods, str] = field(default_factory=dict)
    requires: tuple[str, ...] = ()
    refused: str = ""
    charges: str = ""
    declaration: str = ""
    owner_packed: str = ""
    overdue: NeverDelivered | None = None
    value_source: str = ""
    last_day_law: str = ""
    left_out: tuple[str, ...] = ()

    def figures_on(self, day: date | None) -> tuple[LimitFigure, ...]:
        """Return the figure that applies on a day for each thing that is multiplied; None for the latest."""
        latest: dict[Per, LimitFigure] = {}
        for figure in sorted(self.figures, key=lambda figure: figure.since):
            if day is None or figure.since <= day:
                latest[figure.per] = figure
        return tuple(latest.values())

    def counts_packages(self, day: date | None = None) -> bool:
        """Return whether the number of packages in the document decides the limit."""
        return any(figure.per is Per.PACKAGE for figure in self.figures_on(day))


@dataclass(frozen=True, slots=True, kw_only=True)
class LiabilityTerms:
    """The contract and the exchange rate, as given by the person.

    Attributes:
        currency: of the calculation.
        rate: amount of it for one unit of the regime (a special drawing right, a US dollar); None if they are the same.
        rate_on, rate_source: date and publisher of the rate, as the person gave them.
        rate_recorded: the rate is the library's own, and `rate_source` names the rates on record that it comes from,
            each with its day.
        per_kg: amount per kilogram in `currency`, where the contract states it.
        dispatched: the day the carriage began, which decides which figure applies.
        goods: None where it is not stated.
        packed_by: None where it is not stated.
        packages: how many packages or units the transport document enumerates; None where it is not known.
        volume_m3: the loading space of the contract.
        charges: carriage charges, customs duties and other costs of the carriage, in `currency`.
        declared: the value declared in the transport document, in `currency`.
        holidays: public holidays, which some periods leave out.
    """

    regime: LiabilityRegime
    currency: str
    rate: Decimal | None = None
    rate_on: date | None = None
    rate_source: str = ""
    rate_recorded: bool = False
    per_kg: Decimal | None = None
    dispatched: date | None = None
    goods: Goods | None = None
    packed_by: Packer | None = None
    packages: int | None = None
    volume_m3: Decimal | None = None
    charges: Decimal | None = None
    declared: Decimal | None = None
    holidays: frozenset[date] = frozenset()
