"""What is special about the copy in the hand beyond where it goes: another copy of it, or a value worth a picture."""

from decimal import Decimal

from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.sightings import sightings_of
from intake.edges.store.queries.values import latest_valuations_of
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import where_words
from intake.model.editions import Copy, Edition
from intake.model.sightings import ReadingMethod, methods_in

PHOTOGRAPH_ABOVE = Decimal(250)
"""Common practice, no source: insurers name their own limit, in the currency of the policy."""


def attention(
    records: LibraryReader, copy: Copy, edition: Edition, *, above: Decimal = PHOTOGRAPH_ABOVE
) -> tuple[str, ...]:
    """Say what a person should know, one sentence each.

    Args:
        records: the library at one moment.
        copy: the copy in the hand.
        edition: what it is a copy of.
        above: amount, in the currency of the valuation, from which on a picture is asked for.
    """
    sentences: list[str] = []
    for other in copies_of_editions(records, [edition.id]):
        if other.accession != copy.accession:
            where = where_words(records, other)
            sentences.append(
                f"There is another copy, {other.accession}, {other.state}{f' ({where})' if where else ''}."
            )
    latest = latest_valuations_of(records, [copy.accession]).get(copy.accession)
    if latest and latest.amount >= above and not _is_pictured(records, copy):
        sentences.append(f"Valued at {latest.amount} {latest.currency}: take a picture of it.")
    return tuple(sentences)


def _is_pictured(records: LibraryReader, copy: Copy) -> bool:
    methods = (methods_in(sighting.methods) for sighting in sightings_of(records, copy.accession))
    return any(ReadingMethod.PHOTOGRAPH in each for each in methods)
