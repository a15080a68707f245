"""What is special about the copy in the hand beyond where it goes: another copy of it, or a value worth a picture."""

from decimal import Decimal

from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.sightings import sightings_of
from intake.edges.store.queries.values import valuations_of
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import where_each_is
from intake.model.editions import Copy, CopyState, Edition
from intake.model.sightings import ReadingMethod, methods_in

PHOTOGRAPH_ABOVE = Decimal(250)
"""Common practice, no source: insurers name their own limit, in the currency of the policy."""


def attention(
    reader: LibraryReader, copy: Copy, edition: Edition, *, above: Decimal = PHOTOGRAPH_ABOVE
) -> tuple[str, ...]:
    """Return what a person should know, one sentence each.

    Args:
        reader: the library at one moment.
        copy: the copy in the hand.
        edition: what it is a copy of.
        above: amount, in the currency of the valuation, from which on a picture is asked for.
    """
    sentences: list[str] = []
    others = [other for other in copies_of_editions(reader, [edition.id]) if other.accession != copy.accession]
    where = where_each_is(reader, others)
    for other in others:
        place = f" ({where[other.accession]})" if where[other.accession] else ""
        sentences.append(f"There is another copy, {other.accession}, {other.state}{place}.")
    if copy.state is CopyState.WITHDRAWN:
        return tuple(sentences)
    valuations = valuations_of(reader, copy.accession)
    # No amount: a phone is shown this, and values only with the laptop's word.
    if valuations and valuations[-1].amount >= above and not _is_pictured(reader, copy):
        sentences.append(
            "Take a picture of it: of a book like this many insurers ask for one (from what value on, the policy says; "
            "here the tool's own limit counts)."
        )
    return tuple(sentences)


def _is_pictured(reader: LibraryReader, copy: Copy) -> bool:
    methods = (methods_in(sighting.methods) for sighting in sightings_of(reader, copy.accession))
    return any(ReadingMethod.PHOTOGRAPH in methods_used for methods_used in methods)
