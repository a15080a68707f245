"""Underinsurance and single articles: what a policy asks of the list, with the arithmetic shown.

The condition of average: where the sum insured is less than the value at risk, a loss is paid in the proportion of the
two, and never more than the sum insured or the loss. Some policies waive average from a share of the value on (three
quarters is one). A single-article limit caps what is paid for one article that is not listed by itself. Which of these
a policy holds, and at what figures, is the policy's to say.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.errors import UsageError
from intake.model.currencies import amount_text, rounded
from intake.model.valuations import Valuation
from intake.valuing.totals import Worth


@dataclass(frozen=True, slots=True, kw_only=True)
class Average:
    """What a loss would pay.

    Attributes:
        working: the arithmetic, one line a step.
    """

    paid: Decimal
    short: Decimal
    underinsured: bool
    working: tuple[str, ...]


def average(
    *, loss: Decimal, insured: Decimal, at_risk: Decimal, currency: str, waived_from: Decimal | None = None
) -> Average:
    """Reckon what a policy with average pays for a loss.

    Args:
        loss: what is lost.
        insured: the sum insured.
        at_risk: the value of all that is insured, just before the loss.
        currency: of all amounts.
        waived_from: share of the value (0.75) from which on the policy waives average; None where it never does.

    Raises:
        UsageError: an amount is negative, nothing is at risk, or more is lost than was at risk.
    """
    if min(loss, insured, at_risk) < 0:
        raise UsageError("An amount of the reckoning", "is negative", "give what was lost, insured and at risk")
    if at_risk == 0 or loss > at_risk:
        why = "is nothing" if at_risk == 0 else f"is less than the loss of {amount_text(loss, currency)}"
        raise UsageError("The value at risk", why, "give the value of all that was insured, before the loss")
    say = [f"Sum insured {amount_text(insured, currency)}, value at risk {amount_text(at_risk, currency)}"]
    if insured >= at_risk:
        say.append("The sum insured covers the value: no average")
        paid = loss
    elif waived_from is not None and insured >= waived_from * at_risk:
        say.append(f"The sum insured is at least {waived_from:.0%} of the value: average is waived")
        paid = min(loss, insured)
    else:
        paid = min(rounded(loss * insured / at_risk, currency), insured)
        numbers = (amount_text(x, currency).split(" ")[1] for x in (loss, insured, at_risk))
        say.append(f"{' × '.join([next(numbers), next(numbers)])} ÷ {next(numbers)} = {amount_text(paid, currency)}")
    say.append(f"Paid {amount_text(paid, currency)} of a loss of {amount_text(loss, currency)}")
    return Average(paid=paid, short=loss - paid, underinsured=insured < at_risk, working=tuple(say))


def listed_by_themselves(worths: Iterable[Worth], limit: Decimal) -> tuple[Worth, ...]:
    """Return what is worth more than the single-article limit, the dearest first, equal ones in the order given."""
    over = [worth for worth in worths if worth.amount is not None and worth.amount > limit]
    return tuple(sorted(over, key=lambda worth: -(worth.amount or 0)))


def older_than(valuations: Iterable[Valuation], *, years: int, on: date) -> tuple[Valuation, ...]:
    """Return the valuations that were made more than so many years before a day, the oldest first.

    A valuation of 29 February is a year old on 1 March.
    """
    try:
        limit = on.replace(year=on.year - years)
    except ValueError:
        limit = on.replace(year=on.year - years, day=28)
    old = [one for one in valuations if one.on < limit]
    return tuple(sorted(old, key=lambda one: (one.on, one.id)))
