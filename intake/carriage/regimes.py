"""All regimes of a carrier's liability, by the name that a person types; to add one, add a record to `REGIMES`."""

from collections.abc import Mapping

from intake.carriage.regimes_road import CMR, GERMAN_REMOVAL, PER_KG
from intake.carriage.regimes_sea_air import HAGUE_1924, HAGUE_VISBY, MONTREAL, ROTTERDAM, US_COGSA
from intake.carriage.regimes_us import FULL, RELEASED
from intake.errors import RefusedError, UsageError
from intake.model.carriage import LiabilityRegime, LiabilityTerms

REGIMES: Mapping[str, LiabilityRegime] = {
    regime.name: regime
    for regime in (
        RELEASED, FULL, GERMAN_REMOVAL, CMR, HAGUE_VISBY, HAGUE_1924, US_COGSA, MONTREAL, PER_KG, ROTTERDAM,
    )
}  # fmt: skip


def check_scope(terms: LiabilityTerms) -> None:
    """Refuse a regime that does not apply to the carriage, as far as the terms tell.

    Raises:
        RefusedError: the regime is not in force, or does not apply to these goods.
        UsageError: it applies only to some goods, and which these are is not stated.
    """
    regime = terms.regime
    if regime.refused:
        remedy = "name the rules that the contract names"
        raise RefusedError(f"The {regime.title}", regime.refused, remedy, field="regime")
    if terms.goods is None and regime.excluded:
        why = f"{' and '.join(regime.excluded.values())}, and what moved is not stated"
        remedy = "state it: 'household' for a household that moved, 'freight' for boxes that were sent as freight"
        raise UsageError(f"The regime {regime.title}", why, remedy, field="goods")
    if terms.goods is not None and terms.goods in regime.excluded:
        why = regime.excluded[terms.goods]
        remedy = "name the regime that the contract or the law gives"
        raise RefusedError(f"The regime {regime.title}", why, remedy, field="regime")
