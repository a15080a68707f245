"""What a carrier would owe at most for what is missing or damaged, beside the loss, the declared and the insured value.

Figures and sources are in `intake.carriage.regimes`. A limit is not an amount due: the carrier answers for a proved
loss, up to it, and has its defences; for a damaged copy the loss is taken as its whole value, which is the most it can
be. Does not know what breaks a limit (wilful misconduct, a special declaration of interest), nor what a contract or
local law adds. No legal advice.
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
class Lost:
    """One copy that is missing or damaged.

    Attributes:
        value: in the currency of the reckoning; None where it has none in that currency.
        mass_g: measured or estimated.
    """

    copy: str
    box: str
    mass_g: float
    value: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What the person says of contract and rate.

    Attributes:
        currency: of the reckoning.
        rate: how much of it one unit of the regime (a special drawing right, a US dollar) is; None where they are one.
        rate_on, rate_source: the day of the rate and who published it.
        per_kg: for an amount per kilogram typed in, in `currency`.
        dispatched: the day the carriage began; decides which figure of the Montreal Convention holds.
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
    """The limit for one box: in the unit of the regime, in the currency of the reckoning, and how it was found."""

    box: str
    in_unit: Decimal
    amount: Decimal
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Owed:
    """The reckoning.

    Attributes:
        loss: value of what is missing or damaged, as far as valued; `unvalued` copies are not in it.
        limit: the sum of the boxes' limits.
        most: what could be owed at most: the lower of loss and limit.
        gap: what is left of the loss.
    """

    terms: Terms
    rule: LiabilityRule
    boxes: tuple[BoxLimit, ...]
    loss: Decimal
    unvalued: int
    limit: Decimal
    most: Decimal
    gap: Decimal
    to_name: tuple[str, ...] = ()


def reckon(lost: Sequence[Lost], gross_g: dict[str, float | None], terms: Terms, shipment_g: float) -> Owed:
    """Reckon what would be owed at most.

    Args:
        lost: copies that are missing or damaged.
        gross_g: gross mass of each box concerned; where None the copies' own mass is taken, which may be too low.
        terms: regime, currency and rate.
        shipment_g: mass of the whole consignment; full value protection is reckoned on it.

    Raises:
        UsageError: a rate or an amount per kilogram that is needed is not given, or is not more than nothing.
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
    # Across boxes a limit left over in one does not pay for another: each box is cut at its own loss.
    most = loss if terms.regime is Regime.FULL else _cut(boxes, lost)
    most = min(most, limit)
    return Owed(
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


def _cut(boxes: Sequence[BoxLimit], lost: Sequence[Lost]) -> Decimal:
    """Sum over the boxes the lower of limit and loss."""
    return sum(
        (
            min(box.amount, sum((copy.value or Decimal(0) for copy in lost if copy.box == box.box), Decimal(0)))
            for box in boxes
        ),
        Decimal(0),
    )


def _rate(rule: LiabilityRule, terms: Terms) -> Decimal:
    if rule.unit in ("", terms.currency):
        return Decimal(1)
    if terms.rate is None:
        why = f"is reckoned in {rule.unit}, and no rate to {terms.currency} is given"
        raise UsageError(f"The limit under {terms.regime}", why, "give the rate, its day and who published it")
    if not terms.rate.is_finite() or terms.rate <= 0:
        raise UsageError(f"The rate {terms.rate}", "is not more than nothing", "look it up again")
    return terms.rate


def _whole_shipment(rule: LiabilityRule, shipment_g: float, rate: Decimal) -> BoxLimit:
    pounds = _decimal(shipment_g / G_PER_LB)
    owed = (rule.per_lb or Decimal(0)) * pounds
    words = f"{rule.per_lb} {rule.unit} x {pounds:.2f} lb of the shipment"
    return BoxLimit(box="", in_unit=_cents(owed), amount=_cents(owed * rate), words=words)


def _box_limit(
    name: str, lost: Sequence[Lost], gross_g: float | None, rule: LiabilityRule, terms: Terms, rate: Decimal
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


def _per_kg(rule: LiabilityRule, terms: Terms) -> tuple[Decimal, str]:
    if terms.regime is Regime.MONTREAL and terms.dispatched is not None:
        return montreal_per_kg(terms.dispatched)[0], rule.unit
    if rule.per_kg is not None:
        return rule.per_kg, rule.unit
    if terms.per_kg is None or not terms.per_kg.is_finite() or terms.per_kg <= 0:
        raise UsageError("The amount per kilogram", "is not given, or is not more than nothing", "read the contract")
    return terms.per_kg, terms.currency


def _extraordinary(lost: Sequence[Lost], rate: Decimal) -> tuple[str, ...]:
    """Name the copies that a carrier had to be told of in writing."""
    return tuple(
        copy.copy
        for copy in lost
        if copy.value is not None and copy.value > EXTRAORDINARY_USD_PER_LB * rate * _decimal(copy.mass_g / G_PER_LB)
    )


def _decimal(value: float) -> Decimal:
    """Take a measured mass to the gram: more digits would only seem exact."""
    return Decimal(f"{value:.5f}")


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)
