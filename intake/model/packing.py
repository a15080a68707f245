"""The rules that a packing plan keeps to."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class PackingRules:
    """Further rules for a plan.

    Attributes:
        together: keep each set in one box, if it fits in one.
        share: greatest share of the total value, in any currency, in one box, except for a single copy or set worth
            more; None for a quarter, or with few boxes twice an equal share, but at most half.
    """

    together: bool = True
    share: float | None = None
