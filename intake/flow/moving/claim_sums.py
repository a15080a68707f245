"""The rate that a limit is converted by, and what a policy with average pays of a loss."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Context, Decimal

from intake.carriage.liability import Liability
from intake.errors import UsageError
from intake.flow.moving.claimed_sets import SetFall
from intake.flow.moving.losses import AtRisk, ConsignmentValues, Loss
from intake.flow.values.average import pays_under_average
from intake.flow.values.exchange_rates import command_to_enter
from intake.model.carriage import LiabilityTerms
from intake.units.advice import advice
from intake.valuing.insurance import AverageResult
from intake.valuing.rates import NoRate, convert_amount

RATE_DIGITS = Context(prec=10)
"""A rate that is a fraction is rounded to so many digits: it is printed, and multiplied by, with just these."""


def with_rate(terms: LiabilityTerms, values: ConsignmentValues) -> LiabilityTerms:
    """Return the terms with the rate of the regime's unit that the library holds, where the person gave none.

    Raises:
        UsageError: the library holds none of that day or of the week before it.
    """
    unit = terms.regime.unit
    if terms.rate is not None or unit in ("", terms.currency):
        return terms
    conversion = values.table.conversion(unit, terms.currency, values.on)
    if isinstance(conversion, NoRate):
        commands = " and ".join(f"'{command_to_enter(missing)}'" for missing in conversion.missing)
        raise UsageError(
            f"The limit of {terms.regime.title}",
            f"is in {unit}, which the rates on record do not convert into {terms.currency} on {values.on.isoformat()}: "
            f"{conversion.why}",
            advice(
                f"record it with {commands}, or state the rate with its day and publisher",
                "write the rate here with its day and publisher, or record it once by 'Enter an exchange rate'",
            ),
            field="rate",
        )
    factor = conversion.factor
    rate = RATE_DIGITS.divide(Decimal(factor.numerator), Decimal(factor.denominator))
    return replace(terms, rate=rate, rate_on=None, rate_source=conversion.words, rate_recorded=True)


def averages(
    owed: Liability | None,
    insured: Decimal | None,
    at_risk: AtRisk,
    falls: Iterable[SetFall],
    losses: Sequence[Loss],
    values: ConsignmentValues,
) -> tuple[AverageResult | None, AverageResult | None]:
    """Return what a policy with average pays of the loss, and of the loss where a set's fall stands for its volumes."""
    if owed is None or insured is None or not at_risk.amount:
        return None, None

    def pays(loss: Decimal) -> AverageResult | None:
        if loss > at_risk.amount:
            return None
        return pays_under_average(loss, insured, at_risk.amount, values.currency)

    by_sets = loss_by_sets(owed.loss, falls, losses, values)
    return pays(owed.loss), None if by_sets is None else pays(by_sets)


def loss_by_sets(
    loss: Decimal, falls: Iterable[SetFall], losses: Iterable[Loss], values: ConsignmentValues
) -> Decimal | None:
    """Return the loss where what it took from each set stands for the lost volumes; None where no fall is known."""
    own = {one.copy: one.amount or Decimal(0) for one in losses}
    known = False
    for fall in falls:
        if fall.fall is None:
            continue
        conversion = values.table.conversion(fall.before.currency, values.currency, values.on)
        if isinstance(conversion, NoRate):
            continue
        loss += convert_amount(fall.fall, conversion) - sum((own[copy] for copy in fall.volumes), Decimal(0))
        known = True
    return loss if known else None
