"""What a loss pays where the sum insured is less than the value at risk."""

from decimal import Decimal

from intake.flow.values.exchange_rates import currency_code
from intake.valuing.insurance import AverageResult, apply_average


def pays_under_average(
    loss: Decimal, insured: Decimal, at_risk: Decimal, currency: str, *, waived_from: Decimal | None = None
) -> AverageResult:
    """Apply the condition of average; see `intake.valuing.insurance.apply_average`.

    Raises:
        UsageError: the currency is not one of ISO 4217.
    """
    code = currency_code(currency)
    return apply_average(loss=loss, insured=insured, at_risk=at_risk, currency=code, waived_from=waived_from)
