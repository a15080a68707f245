"""What a loss pays where the sum insured is less than the value at risk."""

from decimal import Decimal

from intake.flow.values.exchange_rates import currency_code
from intake.flow.values.figures import check_amount
from intake.valuing.insurance import AverageResult, apply_average


def pays_under_average(
    loss: Decimal, insured: Decimal, at_risk: Decimal, currency: str, *, waived_from: Decimal | None = None
) -> AverageResult:
    """Apply the condition of average; see `intake.valuing.insurance.apply_average`.

    Raises:
        UsageError: the currency is not one of ISO 4217, or an amount cannot be one.
    """
    code = currency_code(currency)
    for name, amount in (("Loss", loss), ("Sum insured", insured), ("Value at risk", at_risk)):
        check_amount(name, amount, code)
    return apply_average(loss=loss, insured=insured, at_risk=at_risk, currency=code, waived_from=waived_from)
