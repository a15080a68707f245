"""Carriage by road: the CMR, and removals under the German commercial code (HGB).

A source that says 'seen in a copy' was read in a public copy or a secondary text; 'from memory' was not looked up.
"""

from decimal import Decimal

from intake.model.carriage import (
    Counted,
    Counting,
    Goods,
    Lateness,
    LiabilityRegime,
    LimitFigure,
    NeverDelivered,
    Per,
    PeriodKind,
    PeriodRule,
)
from intake.units.language import term

CMR = LiabilityRegime(
    name="cmr",
    title=term("CMR"),
    unit="XDR",
    figures=(LimitFigure(Decimal("8.33"), Per.KILOGRAM),),
    counts=Counted.SHARE,
    limit_source=term("CMR 1956 with the Protocol of 1978, article 23(3); for damage article 25"),
    periods=(
        PeriodRule(
            occasion=PeriodKind.APPARENT,
            length=0,
            late=Lateness.PRESUMPTION_ONLY,
            source=term("CMR, article 30(1)"),
            note=term("a general indication is enough"),
        ),
        PeriodRule(
            occasion=PeriodKind.HIDDEN,
            length=7,
            counting=Counting.WORKING_DAYS,
            late=Lateness.PRESUMPTION_ONLY,
            source=term("CMR, article 30(1) and (4)"),
            note=term("in writing"),
        ),
        PeriodRule(
            occasion=PeriodKind.DELAY,
            length=21,
            late=Lateness.CLAIM_LOST,
            source=term("CMR, article 30(3)"),
            note=term("in writing, from when the goods were put at your disposal"),
        ),
        PeriodRule(
            occasion=PeriodKind.ACTION,
            length=12,
            counting=Counting.MONTHS,
            late=Lateness.RIGHT_ENDS,
            source=term("CMR, article 32"),
            note=term(
                "three years for wilful misconduct; a written claim stops the clock until it is rejected in writing"
            ),
            undelivered=NeverDelivered(
                words=term(
                    "from the 60th day after taking over where no time was agreed, else from the 30th day after that "
                    "time"
                ),
                source=term("CMR, article 32(1)(b) (from memory)"),
                start_days=60,
            ),
        ),
    ),
    excluded={Goods.HOUSEHOLD: "does not apply to furniture removal (CMR, article 1(4)(c))"},
    requires=(
        term(
            "the goods went by road between two countries, one of them a party to the CMR (article 1(1), from memory)"
        ),
    ),
    charges=term("CMR, article 23(4)"),
    declaration=term("CMR, article 24: entered in the consignment note, against a surcharge"),
    owner_packed=term(
        "the carrier is freed where defective packing caused the loss; a plausible risk is presumed to have "
        "caused it, which you may rebut (CMR, articles 17(4) and 18(2))"
    ),
    overdue=NeverDelivered(
        words=term("30 days after the agreed time, or 60 days after taking over where none was agreed"),
        source=term("CMR, article 20"),
        start_days=60,
    ),
    value_source=term("the value at the place and time of taking over (CMR, article 23(1) and (2))"),
    left_out=(
        term("interest of 5 % a year from the written claim (article 27)"),
        term("wilful misconduct, which lifts the limit (article 29)"),
        term("damages for delay, up to the carriage charges (article 23(5))"),
    ),
)

GERMAN_REMOVAL = LiabilityRegime(
    name="german-removal",
    title=term("German removals"),
    unit="EUR",
    figures=(LimitFigure(Decimal(620), Per.CUBIC_METRE),),
    counts=Counted.CONTRACT,
    limit_source=term("HGB, section 451e (seen in a copy)"),
    periods=(
        PeriodRule(
            occasion=PeriodKind.APPARENT,
            length=1,
            late=Lateness.CLAIM_LOST,
            source=term("HGB, section 451f no. 1"),
            note=term(
                "at the latest on the day after delivery, in text form; timely dispatch is enough "
                "(section 438(4), seen in a copy)"
            ),
        ),
        PeriodRule(
            occasion=PeriodKind.HIDDEN,
            length=14,
            late=Lateness.CLAIM_LOST,
            source=term("HGB, section 451f no. 2"),
            note=term("in text form; timely dispatch is enough"),
        ),
        PeriodRule(
            occasion=PeriodKind.DELAY,
            length=21,
            late=Lateness.CLAIM_LOST,
            source=term("HGB, section 438(3) (seen in a copy)"),
        ),
        PeriodRule(
            occasion=PeriodKind.ACTION,
            length=12,
            counting=Counting.MONTHS,
            late=Lateness.RIGHT_ENDS,
            source=term("HGB, section 439 (from memory)"),
            undelivered=NeverDelivered(
                words=term("from the end of the day on which the goods should have been delivered"),
                source=term("HGB, section 439(2) (from memory)"),
            ),
        ),
    ),
    excluded={Goods.FREIGHT: "is for removals (HGB, section 451); freight is under its general law or a treaty"},
    requires=(term("German law governs the removal and no treaty applies (HGB, section 451)"),),
    overdue=NeverDelivered(
        words=term("when the time of delivery and as long again have passed, at least 20 days, across borders 30"),
        source=term("HGB, section 424(1) (from memory)"),
    ),
    owner_packed=term(
        "the mover is freed as far as the loss is due to goods being in containers that it did not pack (HGB, "
        "section 451d(1), seen in a copy); where it can be due to that, it is presumed to be, which you may rebut, and "
        "it is freed only if it took the measures due in the circumstances (section 451d(2) and (3), from memory)"
    ),
    value_source=term("the market value at taking over (HGB, section 429, seen in a copy)"),
    last_day_law=term("BGB, section 193, from memory"),
    left_out=(
        term(
            "a mover that did not inform a consumer of these rules cannot rely on them (HGB, section 451g, from memory)"
        ),
        term("delay: up to three times the freight (HGB, section 431(3), seen in a copy)"),
        term("another amount that clearly shown terms of the contract set (HGB, section 451h, seen in a copy)"),
        (
            term(
                "documents, stamps, coins, securities and other goods that section 451d(1) of the HGB names (seen in a "
                "copy): the mover is freed only as far as the loss is due to the danger of their kind, which is "
                "presumed and may be rebutted, and only if it took the measures due in the circumstances (section "
                "451d(2) and (3), from memory)"
            )
        ),
    ),
)

PER_KG = LiabilityRegime(
    name="per-kg",
    title=term("Amount per kilogram of the contract"),
    unit="",
    figures=(),
    counts=Counted.SHARE,
    limit_source=term("your contract, as you stated it"),
    periods=(
        PeriodRule(
            occasion=PeriodKind.CLAIM,
            length=None,
            late=Lateness.SEE_CONTRACT,
            source=term("your contract"),
            note=term("the contract states the period; until you have read it, give notice today"),
            undelivered=NeverDelivered(words=term("from when the contract states"), source=term("your contract")),
        ),
    ),
    requires=(term("the law that governs the contract allows this amount: some law is mandatory"),),
    owner_packed=term("look up in the contract what it says about boxes that the owner packed"),
)
