"""Sets that are incomplete since volumes of them went missing: what papers about the loss say beside their sums."""

from collections.abc import Iterable

from intake.edges.store.queries.papers import copies_with_editions
from intake.edges.store.queries.values import copies_in_sets, values_of_sets
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import volumes_words
from intake.flow.values.value_sets import set_states
from intake.model.boxes import DiscrepancyKind
from intake.model.currencies import amount_text
from intake.model.editions import BookSet, CopyState
from intake.model.moving_papers import DiscrepancyLine
from intake.model.valuations import SetValue
from intake.model.volumes import split_volumes
from intake.units.language import say, say_of, term
from intake.valuing.set_values import value_before_loss


def broken_set_words(records: LibraryReader, lines: Iterable[DiscrepancyLine]) -> tuple[str, ...]:
    """Return a sentence for each set that lacks volumes which are reported missing, by the number of the set.

    A set of which another copy of the volume is there is complete. What the loss took from the value of a set is no
    part of the sums of these papers, which count every copy with its own value: that is said, not worked out here.

    Args:
        records: the library.
        lines: what is missing or damaged.
    """
    missing = [line.number for line in lines if line.what == DiscrepancyKind.MISSING.value]
    lost = {
        copy.accession: edition
        for copy, edition in copies_with_editions(records, missing).values()
        if edition.set_id is not None
    }
    if not lost:
        return ()
    copies = copies_in_sets(records)
    there = {copy.edition_id for copy in copies if copy.state is not CopyState.MISSING}
    volumes: dict[int, list[str]] = {}
    for number in missing:
        edition = lost.get(number)
        if edition is not None and edition.set_id is not None and edition.id not in there:
            volumes.setdefault(edition.set_id, []).append(number)
    if not volumes:
        return ()
    values = values_of_sets(records, volumes)
    states = {state.set.id: state for state in set_states(records, volumes, copies=copies)}
    return tuple(
        _words(
            states[set_id].set,
            volumes[set_id],
            value_before_loss(states[set_id], (value for value in values if value.set_id == set_id), volumes[set_id]),
        )
        for set_id in sorted(volumes)
    )


def _words(book_set: BookSet, volumes: list[str], before: SetValue | None) -> str:
    named = {"title": book_set.title, "copies": ", ".join(volumes)}
    first = say("The set “{title}” is incomplete without {copies}.", **named)
    if before is not None and not before.lacking:
        worth = term("The set “{title}”, valued as a whole at {amount}, is incomplete without {copies}.")
        first = say(worth, amount=amount_text(before.amount, before.currency), **named)
    elif before is not None:
        worth = term("The set “{title}”, valued without {lacking} at {amount} before, lacks {copies} too.")
        lacking = volumes_words(split_volumes(before.lacking))
        first = say(worth, amount=amount_text(before.amount, before.currency), lacking=lacking, **named)
    second = say_of(
        len(volumes),
        "The sums here count each copy with its own value; what the loss of it took from the value of the set is in "
        "none of them, and is reserved.",
        "The sums here count each copy with its own value; what the loss of them took from the value of the set is in "
        "none of them, and is reserved.",
    )
    return f"{first} {second}"
