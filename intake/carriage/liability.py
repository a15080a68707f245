"""The greatest amount that a carrier could owe for what is missing or damaged, compared with the loss.

Figures and sources are in `intake.carriage.regimes`. A limit is not an amount due: the carrier is liable for a proved
loss up to the limit, and has its defences; the loss of a damaged copy is taken as its whole value, which is the most it
can be. What lifts a limit (wilful misconduct, a special declaration of interest), and what a contract or local law
adds, is not considered. Not legal advice.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from intake.carriage.regimes import EXTRAORDINARY_USD_PER_LB, RULES, LiabilityRule, Regime, montreal_per_kg
from intake.errors import UsageError
from intake.units.convert import G_PER_KG, G_PER_LB

CENT = Decimal("0.01")
NOT_ADVICE = "Not legal advice: the contract and local law decide."


@dataclass(frozen=True, slots=True, kw_only=True)
class LostCopy:
    """One copy that is missing or damaged.

    Attributes:
        value: in the currency of the calculation; None if it has none in that currency.
        mass_g: measured or estimated.
    """

    copy: str
    box: str
    mass_g: float
    value: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LiabilityTerms:
    """The contract and the exchange rate, as given by the person.

    Attributes:
        currency: of the calculation.
        rate: amount of it for one unit of the regime (a special drawing right, a US dollar); None if they are the same.
        rate_on, rate_source: date and publisher of the rate.
        per_kg: amount per kilogram in `currency`, for the regime of that name.
        dispatched: the day the carriage began, which decides which figure of the Montreal Convention applies.
    """

    regime: Regime
    currency: str
    rate: Decimal | None = None
    rate_on: date | None = None
    rate_source: str = ""
    per_kg: Decimal | None = None
    dispatched: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxLimit:
    """The limit for one box: in the unit of the regime, in the currency of the calculation, and the arithmetic."""

    box: str
    in_unit: Decimal
    amount: Decimal
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Liability:
    """The liability of a carrier.

    Attributes:
        loss: value of what is missing or damaged, as far as valued; `unvalued` copies are not included.
        limit: the sum of the boxes' limits.
        most: the greatest amount that could be owed: the lower of loss and limit, box by box.
        gap: the rest of the loss.
        to_name: copies of extraordinary value, which had to be declared to the carrier in writing.
    """

    terms: LiabilityTerms
    rule: LiabilityRule
    boxes: tuple[BoxLimit, ...]
    loss: Decimal
    unvalued: int
    limit: Decimal
    most: Decimal
    gap: Decimal
    to_name: tuple[str, ...] = ()


def compute_liability(
    lost: Sequence[LostCopy], gross_g: dict[str, float | None], terms: LiabilityTerms, shipment_g: float
) -> Liability:
    """Compute the greatest amount that could be owed.

    Args:
        lost: copies that are missing or damaged.
        gross_g: gross mass of each box concerned; for None the mass of the copies is used, which may be too low.
        terms: regime, currency and rate.
        shipment_g: mass of the whole consignment, on which full value protection is based.

    Raises:
        UsageError: a required rate or amount per kilogram is missing or not greater than zero.
    """
    rule = RULES[terms.regime]
    rate = _rate(rule, terms)
    if terms.regime is Regime.FULL:
        boxes: tuple[BoxLimit, ...] = (_whole_shipment(rule, shipment_g, rate),)
    else:
        names = dict.fromkeys(copy.box for copy in lost)
        boxes = tuple(_box_limit(name, lost, gross_g.get(name), rule, terms, rate) for name in names)
    values = [copy.value for copy in lost if copy.value is not None]
    loss, limit = sum(values, Decimal(0)), sum((box.amount for box in boxes), Decimal(0))
    # The unused limit of one box does not cover another: each box is capped at its own loss.
    most = loss if terms.regime is Regime.FULL else _capped_by_box(boxes, lost)
    most = min(most, limit)
    return Liability(
        terms=terms,
        rule=rule,
        boxes=boxes,
        loss=loss,
        unvalued=len(lost) - len(values),
        limit=limit,
        most=most,
        gap=loss - most,
        to_name=_extraordinary(lost, rate) if rule.unit == "USD" else (),
    )


def _capped_by_box(boxes: Sequence[BoxLimit], lost: Sequence[LostCopy]) -> Decimal:
    """Return the sum over the boxes of the lower of limit and loss."""
    return sum(
        (
            min(box.amount, sum((copy.value or Decimal(0) for copy in lost if copy.box == box.box), Decimal(0)))
            for box in boxes
        ),
        Decimal(0),
    )


def _rate(rule: LiabilityRule, terms: LiabilityTerms) -> Decimal:
    if rule.unit in ("", terms.currency):
        return Decimal(1)
    if terms.rate is None:
        why = f"is in {rule.unit}, and no rate to {terms.currency} is given"
        raise UsageError(f"The limit under {terms.regime}", why, "give the rate, its date and its publisher")
    if not terms.rate.is_finite() or terms.rate <= 0:
        raise UsageError(f"The rate {terms.rate}", "is not greater than zero", "look it up again")
    return terms.rate


def _whole_shipment(rule: LiabilityRule, shipment_g: float, rate: Decimal) -> BoxLimit:
    pounds = _decimal(shipment_g / G_PER_LB)
    owed = (rule.per_lb or Decimal(0)) * pounds
    words = f"{rule.per_lb} {rule.unit} x {pounds:.2f} lb of the shipment"
    return BoxLimit(box="", in_unit=_cents(owed), amount=_cents(owed * rate), words=words)


def _box_limit(
    name: str,
    lost: Sequence[LostCopy],
    gross_g: float | None,
    rule: LiabilityRule,
    terms: LiabilityTerms,
    rate: Decimal,
) -> BoxLimit:
    own_g = sum(copy.mass_g for copy in lost if copy.box == name)
    by_package = terms.regime is Regime.MONTREAL
    kilograms = _decimal((gross_g if by_package and gross_g else own_g) / G_PER_KG)
    if rule.per_lb is not None:
        pounds = _decimal(own_g / G_PER_LB)
        owed, words = rule.per_lb * pounds, f"{rule.per_lb} {rule.unit} x {pounds:.2f} lb"
    else:
        per_kg, unit = _per_kg(rule, terms)
        owed, words = per_kg * kilograms, f"{per_kg} {unit} x {kilograms:.2f} kg"
        if by_package:
            words += ", gross mass of the box" if gross_g else ", the copies alone: the box was never weighed"
    if rule.per_package is not None and rule.per_package > owed:
        owed, words = rule.per_package, f"{rule.per_package} {rule.unit} a package, more than {words}"
    return BoxLimit(box=name, in_unit=_cents(owed), amount=_cents(owed * rate), words=words)


def _per_kg(rule: LiabilityRule, terms: LiabilityTerms) -> tuple[Decimal, str]:
    if terms.regime is Regime.MONTREAL and terms.dispatched is not None:
        return montreal_per_kg(terms.dispatched)[0], rule.unit
    if rule.per_kg is not None:
        return rule.per_kg, rule.unit
    if terms.per_kg is None or not terms.per_kg.is_finite() or terms.per_kg <= 0:
        raise UsageError(
            "The amount per kilogram", "is missing or not greater than zero", "give the amount stated in the contract"
        )
    return terms.per_kg, terms.currency


def _extraordinary(lost: Sequence[LostCopy], rate: Decimal) -> tuple[str, ...]:
    """Return the copies that had to be declared to the carrier in writing."""
    return tuple(
        copy.copy
        for copy in lost
        if copy.value is not None and copy.value > EXTRAORDINARY_USD_PER_LB * rate * _decimal(copy.mass_g / G_PER_LB)
    )


def _decimal(value: float) -> Decimal:
    """Convert a measured mass with five decimals; more digits would only pretend to precision."""
    return Decimal(f"{value:.5f}")


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)
