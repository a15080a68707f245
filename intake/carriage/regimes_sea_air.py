"""Carriage by sea and by air: Hague, Hague-Visby, the United States' COGSA, Rotterdam; the Montreal Convention.

A source that says 'seen in a copy' was read in a public copy or a secondary text; 'from memory' was not looked up.
"""

from datetime import date
from decimal import Decimal

from intake.model.carriage import (
    Counted,
    Counting,
    Lateness,
    LiabilityRegime,
    LimitFigure,
    NeverDelivered,
    Per,
    PeriodKind,
    PeriodRule,
)
from intake.units.language import term


def _periods_by_sea(notice: str, action: str) -> tuple[PeriodRule, ...]:
    """Return the periods of the Hague Rules, which their later forms kept; the arguments are the sources."""
    return (
        PeriodRule(
            occasion=PeriodKind.APPARENT,
            length=0,
            late=Lateness.PRESUMPTION_ONLY,
            source=notice,
            note=term("in writing, before or at the removal; not needed where both inspected the goods together"),
        ),
        PeriodRule(
            occasion=PeriodKind.HIDDEN,
            length=3,
            late=Lateness.PRESUMPTION_ONLY,
            source=notice,
            note=term("in writing; not needed where both inspected the goods together"),
        ),
        PeriodRule(
            occasion=PeriodKind.ACTION,
            length=12,
            counting=Counting.MONTHS,
            late=Lateness.RIGHT_ENDS,
            source=action,
            note=term("longer only where it is agreed after the event"),
            undelivered=NeverDelivered(
                words=term("from the day on which the goods should have been delivered"), source=action
            ),
        ),
    )


_HAGUE_VISBY_NOTICE = term("Hague-Visby Rules, article III, 6")
_HAGUE_NOTICE = term("Hague Rules 1924, article III, 6 (from memory)")
_PACKED_BY_SEA = term("the carrier is not liable for insufficient packing (article IV, 2(n), from memory)")

HAGUE_VISBY = LiabilityRegime(
    name="hague-visby",
    title=term("Hague-Visby"),
    unit="XDR",
    figures=(LimitFigure(Decimal("666.67"), Per.PACKAGE), LimitFigure(Decimal(2), Per.KILOGRAM)),
    counts=Counted.SHARE,
    by_package=True,
    limit_source=term(
        "Hague-Visby Rules with the SDR Protocol of 1979, article IV, 5(a); the packages of a container or "
        "pallet count as far as the bill enumerates them, IV, 5(c)"
    ),
    periods=_periods_by_sea(_HAGUE_VISBY_NOTICE, _HAGUE_VISBY_NOTICE),
    requires=(term("a bill of lading or like document covers the carriage by sea (article I(b), from memory)"),),
    declaration=term("Hague-Visby Rules, article IV, 5(a): nature and value declared before shipment and in the bill"),
    owner_packed=_PACKED_BY_SEA,
    value_source=term("the value at the place and time of discharge (article IV, 5(b))"),
    left_out=(
        term("intent or recklessness with knowledge, which lifts the limit (article IV, 5(e))"),
        term("a value knowingly misstated in the bill, which ends all liability (article IV, 5(h))"),
    ),
)

HAGUE_1924 = LiabilityRegime(
    name="hague-1924",
    title=term("Hague 1924"),
    unit="GBP",
    figures=(LimitFigure(Decimal(100), Per.PACKAGE),),
    counts=Counted.SHARE,
    by_package=True,
    limit_source=term("Hague Rules 1924, article IV, 5: 100 pounds sterling a package or unit (seen in a copy)"),
    periods=_periods_by_sea(_HAGUE_NOTICE, _HAGUE_NOTICE),
    requires=(term("the bill or the law of the port adopts the Hague Rules of 1924 without their later protocols"),),
    declaration=term(
        "Hague Rules, article IV, 5: nature and value declared before shipment and in the bill (from memory)"
    ),
    owner_packed=_PACKED_BY_SEA,
    left_out=(
        term("the gold value of the pound, which may make the limit a multiple of it (article IX, from memory)"),
    ),
)

US_COGSA = LiabilityRegime(
    name="us-cogsa",
    title=term("US COGSA"),
    unit="USD",
    figures=(LimitFigure(Decimal(500), Per.PACKAGE),),
    counts=Counted.SHARE,
    by_package=True,
    limit_source=term(
        "COGSA, section 4(5) (46 USC 30701 note): 500 dollars a package, never more than the loss (seen in a copy)"
    ),
    periods=_periods_by_sea(term("COGSA, section 3(6) (from memory)"), term("COGSA, section 3(6) (seen in a copy)")),
    requires=(term("the carriage by sea is to or from the United States, or the bill adopts COGSA (from memory)"),),
    declaration=term("COGSA, section 4(5): nature and value declared before shipment and in the bill (seen in a copy)"),
    owner_packed=term("the carrier is not liable for insufficient packing (section 4(2)(n), from memory)"),
    left_out=(term("the customary freight unit of goods that are not in packages (section 4(5))"),),
)

ROTTERDAM = LiabilityRegime(
    name="rotterdam",
    title="Rotterdam Rules",
    unit="XDR",
    figures=(),
    counts=Counted.SHARE,
    limit_source="Rotterdam Rules 2008, article 59",
    periods=(),
    refused="are not in force: they need 20 ratifications, and five were counted at the end of 2019 (seen in a copy)",
)

MONTREAL = LiabilityRegime(
    name="montreal",
    title=term("Montreal"),
    unit="XDR",
    figures=(
        LimitFigure(Decimal(17), Per.KILOGRAM),
        LimitFigure(Decimal(19), Per.KILOGRAM, date(2009, 12, 30)),
        LimitFigure(Decimal(22), Per.KILOGRAM, date(2019, 12, 28)),
        LimitFigure(Decimal(26), Per.KILOGRAM, date(2024, 12, 28)),
    ),
    counts=Counted.PACKAGES,
    limit_source=term("Montreal Convention 1999, article 22(3) and (4), with the limits revised under article 24"),
    periods=(
        PeriodRule(
            occasion=PeriodKind.APPARENT,
            length=0,
            late=Lateness.PRESUMPTION_ONLY,
            source=term("Montreal Convention 1999, article 31(1)"),
            note=term("receipt without complaint is evidence of good condition; complain at once on discovery"),
        ),
        PeriodRule(
            occasion=PeriodKind.HIDDEN,
            length=14,
            late=Lateness.ACTION_BARRED,
            source=term("Montreal Convention 1999, article 31(2), (3) and (4)"),
            note=term("of any damage, seen or hidden, in writing; to send it in time is enough"),
        ),
        PeriodRule(
            occasion=PeriodKind.DELAY,
            length=21,
            late=Lateness.ACTION_BARRED,
            source=term("Montreal Convention 1999, article 31(2), (3) and (4)"),
            note=term("in writing, from when the goods were put at your disposal"),
        ),
        PeriodRule(
            occasion=PeriodKind.ACTION,
            length=24,
            counting=Counting.MONTHS,
            late=Lateness.RIGHT_ENDS,
            source=term("Montreal Convention 1999, article 35"),
            undelivered=NeverDelivered(
                words=term("from the day on which the aircraft ought to have arrived, or the carriage stopped"),
                source=term("Montreal Convention 1999, article 35 (from memory)"),
            ),
        ),
    ),
    requires=(term("the carriage is international carriage by air (article 1, from memory)"),),
    declaration=term(
        "Montreal Convention 1999, article 22(3): interest declared at handing over, against a supplement (from memory)"
    ),
    overdue=NeverDelivered(
        words=term("7 days after the day on which they ought to have arrived, or when the carrier admits the loss"),
        source=term("Montreal Convention 1999, article 13(3) (from memory)"),
    ),
    owner_packed=term("the carrier is not liable for defective packing by others (article 18(2)(b), from memory)"),
    left_out=(
        term("higher limits that the carrier has agreed to (article 25)"),
        term("the next revision of the limits, due at the end of 2029 (article 24)"),
    ),
)
