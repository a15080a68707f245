"""The greatest amount that a carrier could owe for what is missing or damaged, compared with the loss.

The figures and their sources are in `intake.carriage.regimes`. A limit is not an amount due: the carrier is liable for
a proved loss up to the limit, and has its defences; a damaged copy counts with its whole value, which is the most that
it can be. Not legal advice.

    limit   = amount x what it is multiplied by; of several figures of a regime the one that yields most
    owed    = the lower of loss and limit, package by package or for all together, as the regime has it
    charges = the charges of the carriage x counted mass / mass of the shipment        (CMR, article 23(4))

Every factor is rounded as it is printed before it is multiplied, and so is every product: who works the printed figures
out again gets the printed result.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from intake.carriage.counted_mass import BoxMass, CountedBox, LostCopy, beside_box, count_box
from intake.carriage.regimes import check_scope
from intake.carriage.regimes_us import EXTRAORDINARY_USD_PER_LB
from intake.errors import UsageError
from intake.model.carriage import Counted, LiabilityTerms, LimitFigure, Per
from intake.model.currencies import rounded
from intake.units.convert import G_PER_LB

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitLine:
    """A limit: of one box, or of all that is concerned where `box` is empty.

    Attributes:
        figure: the amount that yields most; None where a declared value replaces the limit.
        quantity: what it is multiplied by.
        lower: the other amounts of the regime, each with what it is multiplied by.
        in_unit, amount: in the unit of the regime, and in the currency of the calculation.
        loss: of what it covers.
    """

    box: str
    figure: LimitFigure | None
    quantity: Decimal
    lower: tuple[tuple[LimitFigure, Decimal], ...]
    in_unit: Decimal
    amount: Decimal
    loss: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Liability:
    """The liability of a carrier.

    Attributes:
        packages: how many packages are concerned, at most; `shipment_boxes` all boxes of the consignment.
        loss: value of what is missing or damaged, as far as it is known in the currency; `unvalued` copies are not in.
        limit: the sum of the lines.
        charges: what is refunded of the charges of the carriage besides.
        counted_mass, shipment_mass: what was counted in all, and the whole consignment, as `shown_mass` has them.
        most: the greatest amount that could be owed, charges included.
        gap: the rest of the loss.
        to_name: copies of extraordinary value, which had to be declared to a mover in writing.
    """

    terms: LiabilityTerms
    counted: tuple[CountedBox, ...]
    lines: tuple[LimitLine, ...]
    packages: int
    shipment_boxes: int
    loss: Decimal
    unvalued: tuple[str, ...]
    limit: Decimal
    charges: Decimal
    counted_mass: Decimal
    shipment_mass: Decimal
    most: Decimal
    gap: Decimal
    to_name: tuple[str, ...] = ()


def compute_liability(
    lost: Sequence[LostCopy],
    boxes: Mapping[str, BoxMass],
    terms: LiabilityTerms,
    *,
    shipment_mass: Decimal,
    shipment_boxes: int,
    beside: Sequence[str] = (),
) -> Liability:
    """Compute the greatest amount that could be owed.

    Args:
        lost: copies that are missing or damaged.
        boxes: masses of each box concerned.
        terms: regime, currency, rate and what the contract states.
        shipment_mass: of the whole consignment, box by box as `shown_mass` has it.
        shipment_boxes: how many boxes it has.
        beside: further boxes whose mass counts under a regime that counts packages (Montreal, article 22(4)).

    Raises:
        RefusedError: the regime does not apply to the goods.
        UsageError: a rate, an amount or a volume that the limit needs is missing or not greater than zero.
    """
    check_scope(terms)
    by_box: dict[str, list[LostCopy]] = {}
    for copy in lost:
        by_box.setdefault(copy.box, []).append(copy)
    counted = tuple(count_box(box, copies, boxes[box], terms.regime) for box, copies in by_box.items())
    if terms.regime.counts is Counted.PACKAGES:
        counted += tuple(beside_box(box, boxes[box], terms.regime) for box in beside if box not in by_box)
    packages = len(by_box) if terms.packages is None else min(len(by_box), terms.packages)
    one_each = not terms.regime.counts_packages() or terms.packages is None or terms.packages >= shipment_boxes
    if terms.regime.by_package and one_each:
        lines = tuple(_line(box.box, (box,), by_box[box.box], terms, 1, shipment_mass) for box in counted)
    else:
        lines = (_line("", counted, lost, terms, packages, shipment_mass),)
    lines = _declared(lines, lost, terms)
    loss, limit = _value(lost), sum((line.amount for line in lines), ZERO)
    paid = sum((min(line.amount, line.loss) for line in lines), ZERO)
    counted_mass = sum((box.quantity for box in counted), ZERO)
    charges = ZERO
    if terms.charges is not None and terms.regime.charges and shipment_mass:
        charges = rounded(terms.charges * min(counted_mass / shipment_mass, Decimal(1)), terms.currency)
    return Liability(
        terms=terms,
        counted=counted,
        lines=lines,
        packages=packages,
        shipment_boxes=shipment_boxes,
        loss=loss,
        unvalued=tuple(copy.copy for copy in lost if copy.value is None),
        limit=limit,
        charges=charges,
        counted_mass=counted_mass,
        shipment_mass=shipment_mass,
        most=paid + charges,
        gap=loss - paid,
        to_name=_extraordinary(lost, terms) if any(f.per is Per.POUND for f in terms.regime.figures) else (),
    )


def _line(
    name: str,
    counted: Sequence[CountedBox],
    lost: Sequence[LostCopy],
    terms: LiabilityTerms,
    packages: int,
    shipment_mass: Decimal,
) -> LimitLine:
    whole = terms.regime.counts is Counted.SHIPMENT
    mass = shipment_mass if whole else sum((box.quantity for box in counted), ZERO)
    figures = _figures(terms)
    products = [(figure, _quantity(figure.per, mass, packages, terms)) for figure in figures]
    products.sort(key=lambda product: -product[0].amount * product[1])
    (figure, quantity), *lower = products
    unit = terms.regime.unit or terms.currency
    in_unit = rounded(figure.amount * quantity, unit)
    return LimitLine(
        box=name,
        figure=figure,
        quantity=quantity,
        lower=tuple(lower),
        in_unit=in_unit,
        amount=rounded(in_unit * unit_rate(terms), terms.currency),
        loss=_value(lost),
    )


def _figures(terms: LiabilityTerms) -> tuple[LimitFigure, ...]:
    if terms.regime.figures:
        return terms.regime.figures_on(terms.dispatched)
    if terms.per_kg is None or not terms.per_kg.is_finite() or terms.per_kg <= 0:
        raise UsageError(
            "The amount per kilogram",
            "is missing or not greater than zero",
            "give the amount stated in the contract",
            field="per_kg",
        )
    return (LimitFigure(terms.per_kg, Per.KILOGRAM),)


def _quantity(per: Per, mass: Decimal, packages: int, terms: LiabilityTerms) -> Decimal:
    if per is Per.PACKAGE:
        return Decimal(packages)
    if per is Per.CUBIC_METRE:
        if terms.volume_m3 is None or terms.volume_m3 <= 0:
            raise UsageError(
                f"The limit of {terms.regime.title}",
                "is per cubic metre of loading space, and the volume is missing or not greater than zero",
                "give the cubic metres that the contract states, for all that moved and not for the books alone",
                field="volume_m3",
            )
        return terms.volume_m3
    return mass


def unit_rate(terms: LiabilityTerms) -> Decimal:
    """Return what one unit of the regime is in the currency of the calculation.

    Raises:
        UsageError: it is not given, or not greater than zero.
    """
    unit = terms.regime.unit
    if unit in ("", terms.currency):
        return Decimal(1)
    if terms.rate is None:
        name = "special drawing rights (XDR)" if unit == "XDR" else unit
        why = f"is in {name}, and no rate to {terms.currency} is given or recorded"
        remedy = "give the rate with its day and publisher, or record it among the rates"
        raise UsageError(f"The limit of {terms.regime.title}", why, remedy, field="rate")
    if not terms.rate.is_finite() or terms.rate <= 0:
        raise UsageError(f"The rate {terms.rate}", "is not greater than zero", "look it up again", field="rate")
    return terms.rate


def _declared(lines: tuple[LimitLine, ...], lost: Sequence[LostCopy], terms: LiabilityTerms) -> tuple[LimitLine, ...]:
    """Return one line of the declared value, where the regime knows one and it is more than the limit."""
    limit = sum((line.amount for line in lines), ZERO)
    if terms.declared is None or not terms.regime.declaration or terms.declared <= limit:
        return lines
    in_unit = rounded(terms.declared / unit_rate(terms), terms.regime.unit or terms.currency)
    return (
        LimitLine(
            box="",
            figure=None,
            quantity=Decimal(1),
            lower=(),
            in_unit=in_unit,
            amount=terms.declared,
            loss=_value(lost),
        ),
    )


def _extraordinary(lost: Sequence[LostCopy], terms: LiabilityTerms) -> tuple[str, ...]:
    """Return the copies that had to be declared to the mover in writing."""
    per_lb = EXTRAORDINARY_USD_PER_LB * unit_rate(terms)
    return tuple(
        copy.copy for copy in lost if copy.value is not None and copy.value > per_lb * _decimal(copy.mass_g / G_PER_LB)
    )


def _value(lost: Sequence[LostCopy]) -> Decimal:
    return sum((copy.value for copy in lost if copy.value is not None), ZERO)


def _decimal(value: float) -> Decimal:
    """Convert a measured mass with five decimals; more digits would only pretend to precision."""
    return Decimal(f"{value:.5f}")
