"""Whether the value of one copy is unlike those of similar copies; only those are read."""

from collections.abc import Iterator
from datetime import date

from intake.edges.store.queries.values import Shared, latest_valuations_of, peer_valuations
from intake.edges.store.reader import LibraryReader
from intake.flow.values.exchange_rates import rate_table
from intake.model.currencies import amount_text, rounded
from intake.model.editions import Copy, Edition
from intake.model.valuations import Valuation
from intake.valuing.counting import precedence
from intake.valuing.likeness import FEWEST_FOR_OUTLIERS, Outlier, Trait, unlike_peers
from intake.valuing.totals import total_value

PEERS = 1000
"""Most values that one value is compared with: the median of more hardly differs."""


def question_about(records: LibraryReader, copy: Copy, own: Valuation, *, on: date) -> Outlier | None:
    """Return the question to ask about a value of a copy, None where it is like those of like copies.

    Args:
        records: the library.
        copy: the copy.
        own: its value, in whose currency values are compared; nothing is asked about one that does not count.
        on: the day of the rates.
    """
    recorded = latest_valuations_of(records, [copy.accession]).get(copy.accession)
    edition = records.get(Edition, copy.edition_id)
    if edition is None or (recorded is not None and precedence(recorded)[:2] > precedence(own)[:2]):
        return None
    currency = own.currency
    for alike, shared in _likenesses(copy, edition):
        valuations = peer_valuations(records, shared, besides=copy.accession, limit=PEERS)
        if len(valuations) < FEWEST_FOR_OUTLIERS:
            continue
        values = {valuation.copy: valuation for valuation in (own, *valuations)}
        table = rate_table(records, {currency, *(value.currency for value in values.values())}, on=on)
        worths = total_value(values, values, table, currency=currency, on=on).worths
        amounts = {worth.copy: worth.amount for worth in worths if worth.amount is not None and worth.amount > 0}
        amount = amounts.pop(copy.accession, None)
        if amount is None:
            return None
        if len(amounts) >= FEWEST_FOR_OUTLIERS:
            return unlike_peers(copy.accession, amount, list(amounts.values()), alike)
    return None


def _likenesses(copy: Copy, edition: Edition) -> Iterator[tuple[Trait, Shared]]:
    """Yield in what the copy may be like others, the closest likeness first (see `Kin.traits`)."""
    if copy.printing_id is not None:
        yield Trait.PRINTING, Shared(edition_id=copy.edition_id, printing_id=copy.printing_id)
    yield Trait.EDITION, Shared(edition_id=copy.edition_id)
    if edition.set_id is not None:
        yield Trait.SET, Shared(set_id=edition.set_id)
    if edition.subject:
        yield Trait.SUBJECT, Shared(subject=edition.subject)
    yield Trait.COLLECTION, Shared()


def outlier_words(outlier: Outlier, currency: str) -> str:
    """Write how far a value is from those of like copies."""
    middle = amount_text(rounded(outlier.middle, currency), currency)
    amount = amount_text(outlier.amount, currency)
    alike = f"{outlier.count} of the same {outlier.alike}"
    return f"{amount} is {outlier.times:.2g} times the median ({middle}) of {alike}"
