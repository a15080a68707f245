"""Household goods by road within the United States: released value and full value.

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

EXTRAORDINARY_USD_PER_LB = Decimal(100)
"""49 CFR 375: what is worth more than this per pound has to be declared to the mover in writing (seen in a copy)."""

_PERIODS = (
    PeriodRule(
        occasion=PeriodKind.CLAIM,
        length=9,
        counting=Counting.MONTHS,
        late=Lateness.SEE_CONTRACT,
        source=term("49 USC 14706(e)(1)"),
        note=term(
            "nine months are the least that a carrier may set; the contract says how many and what lateness costs"
        ),
        undelivered=NeverDelivered(
            words=term("from when a reasonable time for delivery has passed (from memory); the contract says"),
            source=term("49 USC 14706(e)(1)"),
        ),
    ),
    PeriodRule(
        occasion=PeriodKind.ACTION,
        length=None,
        late=Lateness.RIGHT_ENDS,
        source=term("49 USC 14706(e)(1)"),
        note=term("at least two years from the carrier's written refusal of a part of the claim"),
        undelivered=NeverDelivered(
            words=term("at least two years from the carrier's written refusal of a part of the claim"),
            source=term("49 USC 14706(e)(1)"),
        ),
    ),
)
_EXCLUDED = {Goods.FREIGHT: "is for household goods (49 CFR 375); other freight has no such limit unless agreed"}
_BY_OWNER = term(
    "the mover may deny damage inside boxes that it did not pack; read the contract (common practice, no source)"
)

RELEASED = LiabilityRegime(
    name="released-value",
    title=term("US household goods, released value"),
    unit="USD",
    figures=(LimitFigure(Decimal("0.60"), Per.POUND),),
    counts=Counted.SHARE,
    by_package=True,
    limit_source=term(
        "49 CFR 375 and the Surface Transportation Board's released rates: 0.60 dollars per pound per article "
        "(seen in a copy); a box counts as the article"
    ),
    periods=_PERIODS,
    excluded=_EXCLUDED,
    requires=(term("you waived full value in writing (49 USC 14706(f), seen in a copy); else full value applies"),),
    owner_packed=_BY_OWNER,
    left_out=(term("that each book may count as an article of its own: its pounds then do not cover another's loss"),),
)

FULL = LiabilityRegime(
    name="full-value",
    title=term("US household goods, full value"),
    unit="USD",
    figures=(LimitFigure(Decimal("6.00"), Per.POUND),),
    counts=Counted.SHIPMENT,
    limit_source=term("49 CFR 375, full (replacement) value: 6.00 dollars at least per pound shipped (seen in a copy)"),
    periods=_PERIODS,
    excluded=_EXCLUDED,
    requires=(
        term(
            "the move is between states, and you did not waive full value in writing (49 USC 14706(f), seen in a copy)"
        ),
    ),
    declaration=term("49 USC 14706(f): the value declared in the bill of lading (seen in a copy)"),
    owner_packed=_BY_OWNER,
    value_source=term("the replacement value"),
    left_out=(
        term("a deductible that the contract sets"),
        term("that the mover may repair or replace instead of paying"),
    ),
)
